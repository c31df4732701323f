"""Many independent pieces of work on several cores, with the results in the order of the pieces.

Processes are started afresh ("spawn"), so that this works alike on every system; each keeps its
linear algebra to one thread, and leaves Ctrl-C to the process that started it.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context
from typing import TypeVar

from rodhours.errors import RodhoursError

Piece = TypeVar("Piece")
Done = TypeVar("Done")

_THREAD_SETTINGS = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "VECLIB_MAXIMUM_THREADS",
)


def spread(
    work: Callable[[Piece], Done],
    pieces: Sequence[Piece],
    jobs: int,
    after_each: Callable[[Piece], None],
) -> list[Done | None]:
    """The result of each piece, in the order of the pieces.

    `work` and the pieces can be pickled where `jobs` > 1; with one job all is done in this
    process. `after_each` is called here as pieces are finished, in no fixed order. Ctrl-C
    (KeyboardInterrupt) ends the work: pieces not done are None. RodhoursError where the
    processes cannot be kept running.
    """
    if jobs <= 1:
        return _here(work, pieces, after_each)
    done: list[Done | None] = [None] * len(pieces)
    executor = ProcessPoolExecutor(
        min(jobs, max(1, len(pieces))), mp_context=get_context("spawn"), initializer=_leave_ctrl_c
    )
    futures: dict[Future[Done], int] = {}
    is_interrupted = False
    try:
        with _one_thread_each(), _no_ctrl_c():
            # Processes start while pieces are handed in, and inherit what is set here.
            for i, piece in enumerate(pieces):
                futures[executor.submit(work, piece)] = i
        for future in as_completed(futures):
            done[futures[future]] = future.result()
            after_each(pieces[futures[future]])
    except KeyboardInterrupt:
        is_interrupted = True
        _stop(executor)
        for future, i in futures.items():
            if future.done() and not future.cancelled() and future.exception() is None:
                done[i] = future.result()
    except BrokenProcessPool as error:
        raise RodhoursError(
            "The processes that share the work stopped before it was done; one at a time "
            "needs less memory (--jobs 1)."
        ) from error
    finally:
        # Processes that outlive this call can end in the middle of Python's own clean-up at exit,
        # which then complains in front of the user.
        if not is_interrupted:
            _stop(executor)
    return done


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _here(
    work: Callable[[Piece], Done], pieces: Sequence[Piece], after_each: Callable[[Piece], None]
) -> list[Done | None]:
    done: list[Done | None] = [None] * len(pieces)
    try:
        for i, piece in enumerate(pieces):
            done[i] = work(piece)
            after_each(piece)
    except KeyboardInterrupt:
        pass
    return done


def _stop(executor: ProcessPoolExecutor) -> None:
    """Wait for what is under way and begin nothing new; a second Ctrl-C waits no longer."""
    try:
        executor.shutdown(wait=True, cancel_futures=True)
    except KeyboardInterrupt:
        return


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
