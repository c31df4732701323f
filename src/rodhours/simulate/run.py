"""Many invented seasons judged, on one core or several: so many of each kind.

A kind is whatever tells seasons apart beside their number: an arm at a ratio, a design of so many
trips. Outcomes depend on kind and number alone, never on how the work was shared out.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Generic, TypeVar

from rodhours.errors import UsageError
from rodhours.simulate.processes import spread

CONFIDENCE = 0.95
"""At which every invented season is judged; shared by the comparisons of a family."""

Kind = TypeVar("Kind", bound=Hashable)
Outcome = TypeVar("Outcome")
Progress = Callable[[int, int], None]
"""Called with the seasons done and those to do."""


@dataclass(frozen=True)
class Piece(Generic[Kind]):
    """Seasons `first` to `stop` (not included) of one kind: one piece of work."""

    kind: Kind
    first: int
    stop: int


class Meter:
    """Seasons done and to do, for whoever watches."""

    def __init__(self, watch: Progress | None) -> None:
        self._watch = watch
        self._done = self._to_do = 0

    def expect(self, seasons: int) -> None:
        """So many more are to do."""
        self._to_do += seasons

    def after(self, piece: Piece[Kind]) -> None:
        """A piece is done."""
        self._done += piece.stop - piece.first
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
    shares = [
        (first / seasons, Piece(kind, first, min(first + size, seasons)))
        for kind, seasons in asked.items()
        for size in [seasons_a_piece(kind)]
        for first in range(0, seasons, size)
    ]
    pieces = [piece for _, piece in sorted(shares, key=lambda share: share[0])]
    done = spread(partial(outcomes_of, judge), pieces, jobs, meter.after)
    outcomes: dict[Kind, list[Outcome]] = {kind: [] for kind in asked}
    for piece, found in zip(pieces, done, strict=True):
        outcomes[piece.kind] += found or []
    return outcomes


def outcomes_of(judge: Callable[[Kind, int], Outcome], piece: Piece[Kind]) -> list[Outcome]:
    """The outcomes of one piece of work."""
    return [judge(piece.kind, number) for number in range(piece.first, piece.stop)]


def check_work(seed: int, jobs: int) -> None:
    """UsageError for a seed or a number of jobs that there cannot be."""
    if seed < 0:
        raise UsageError(f"A seed is a whole number from 0 on, not {seed}.")
    if jobs < 1:
        raise UsageError(f"The number of jobs is 1 or more, not {jobs}.")
