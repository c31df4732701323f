"""Many invented seasons judged, on one core or several: so many of each kind.

A kind is whatever tells seasons apart beside their number: an arm at a ratio, a design of so many
trips. Outcomes depend on kind and number alone, never on how the work was shared out. Processes
are started afresh ("spawn"), so that this works alike on every system; each keeps its linear
algebra to one thread, and leaves Ctrl-C to the process that started it.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from functools import partial
from multiprocessing import get_context
from typing import TypeVar

from rodhours.errors import RodhoursError, UsageError
from rodhours.progress import Progress

CONFIDENCE = 0.95
"""At which every invented season is judged; shared by the comparisons of a family."""
_THREAD_SETTINGS = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
)

Kind = TypeVar("Kind", bound=Hashable)
Outcome = TypeVar("Outcome")
Piece = TypeVar("Piece")


class Meter:
    """Seasons done and to do, for whoever watches."""

    def __init__(self, watch: Progress | None) -> None:
        self._watch = watch
        self._done = self._to_do = 0

    def expect(self, seasons: int) -> None:
        """So many more are to do."""
        self._to_do += seasons

    def after(self, seasons: int) -> None:
        """So many more are done."""
        self._done += seasons
        if self._watch is not None:
            self._watch(self._done, self._to_do)


def judged(
    judge: Callable[[Kind, int], Outcome],
    asked: Mapping[Kind, int],
    seasons_a_piece: Callable[[Kind], int],
    jobs: int,
    meter: Meter,
) -> dict[Kind, list[Outcome]]:
    """The outcome of each season of each kind, in the order of their numbers.

    `judge` takes a kind and a number and can be pickled where `jobs` > 1. All kinds advance
    together, so that work that Ctrl-C ends answers every question in part: fewer outcomes than
    asked for.
    """
    meter.expect(sum(asked.values()))
    pieces = [
        (kind, range(first, min(first + size, seasons)))
        for kind, seasons in asked.items()
        for size in [seasons_a_piece(kind)]
        for first in range(0, seasons, size)
    ]
    pieces.sort(key=lambda piece: piece[1].start / asked[piece[0]])
    done = spread(partial(_outcomes, judge), pieces, jobs, lambda piece: meter.after(len(piece[1])))
    outcomes: dict[Kind, list[Outcome]] = {kind: [] for kind in asked}
    for (kind, _), found in zip(pieces, done, strict=True):
        outcomes[kind] += found or []
    return outcomes


def _outcomes(judge: Callable[[Kind, int], Outcome], piece: tuple[Kind, range]) -> list[Outcome]:
    """The outcomes of one piece of work."""
    return [judge(piece[0], number) for number in piece[1]]


def spread(
    work: Callable[[Piece], Outcome],
    pieces: Sequence[Piece],
    jobs: int,
    after_each: Callable[[Piece], None],
) -> list[Outcome | None]:
    """The result of each piece, in the order of the pieces.

    `work` and the pieces can be pickled where `jobs` > 1; with one job all is done in this
    process. `after_each` is called here as pieces are finished, in no fixed order. Ctrl-C
    (KeyboardInterrupt) ends the work: pieces not done are None. RodhoursError where the
    processes cannot be kept running.
    """
    done: list[Outcome | None] = [None] * len(pieces)
    with suppress(KeyboardInterrupt):
        if jobs > 1:
            _in_processes(work, pieces, jobs, after_each, done)
        else:
            for i, piece in enumerate(pieces):
                done[i] = work(piece)
                after_each(piece)
    return done


def _in_processes(
    work: Callable[[Piece], Outcome],
    pieces: Sequence[Piece],
    jobs: int,
    after_each: Callable[[Piece], None],
    done: list[Outcome | None],
) -> None:
    """Fill in the result of each piece; of those that were finished where Ctrl-C comes between."""
    executor = ProcessPoolExecutor(
        min(jobs, max(1, len(pieces))), mp_context=get_context("spawn"), initializer=_leave_ctrl_c
    )
    futures: dict[Future[Outcome], int] = {}
    try:
        with _one_thread_each(), _no_ctrl_c():
            # Processes start while pieces are handed in, and inherit what is set here.
            for i, piece in enumerate(pieces):
                futures[executor.submit(work, piece)] = i
        for future in as_completed(futures):
            future.result()
            after_each(pieces[futures[future]])
    except BrokenProcessPool as error:
        raise RodhoursError(
            "The processes that share the work stopped before it was done; one at a time "
            "needs less memory (--jobs 1)."
        ) from error
    finally:
        # Processes that outlive this call can end in the middle of Python's own clean-up at exit,
        # which then complains in front of the user. A second Ctrl-C waits no longer.
        with suppress(KeyboardInterrupt):
            executor.shutdown(wait=True, cancel_futures=True)
        for future, i in futures.items():
            if future.done() and not future.cancelled() and future.exception() is None:
                done[i] = future.result()


def check_work(seed: int, jobs: int) -> None:
    """UsageError for a seed or a number of jobs that there cannot be."""
    if seed < 0:
        raise UsageError(f"A seed is a whole number from 0 on, not {seed}.")
    if jobs < 1:
        raise UsageError(f"The number of jobs is 1 or more, not {jobs}.")


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _leave_ctrl_c() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Processes started inside read these settings when they load their libraries."""
    before = {name: os.environ.get(name) for name in _THREAD_SETTINGS}
    os.environ.update(dict.fromkeys(_THREAD_SETTINGS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextmanager
def _no_ctrl_c() -> Iterator[None]:
    """Hold Ctrl-C back: a process started inside never hears it, this one hears it afterwards.

    A blocked signal is inherited, which keeps it from the new processes. It does not keep it from
    this one, whose other threads (those of linear algebra) may take it: so its handler waits too.
    """
    heard: list[int] = []
    main = threading.current_thread() is threading.main_thread()
    handler = signal.getsignal(signal.SIGINT)
    waits = main and callable(handler)
    if waits:
        signal.signal(signal.SIGINT, lambda number, _: heard.append(number))
    blocks = hasattr(signal, "pthread_sigmask")
    if blocks:
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        if blocks:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
        if waits:
            signal.signal(signal.SIGINT, handler)
    if heard and callable(handler):
        handler(signal.SIGINT, None)
