"""Ratios of two pieces of work, measured in turn within one run."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Ratio:
    """The median time of one piece of work over that of another, pair by pair."""

    name: str
    median: float
    lowest: float
    highest: float
    goal: float

    def __str__(self) -> str:
        verdict = "within" if self.median <= self.goal else "ABOVE"
        return (
            f"{self.name}: {self.median:.2f} x ({self.lowest:.2f} to {self.highest:.2f}), "
            f"{verdict} the goal of {self.goal:g} x"
        )


def seconds(work: Callable[[], object], repeats: int = 1) -> float:
    """Mean seconds of one call, over `repeats` calls."""
    begin = time.perf_counter()
    for _ in range(repeats):
        work()
    return (time.perf_counter() - begin) / repeats


def ratio(
    name: str,
    work: Callable[[], object],
    yardstick: Callable[[], object],
    goal: float,
    *,
    pairs: int = 9,
    yardstick_repeats: int = 1,
) -> Ratio:
    """Time the two in turn, `pairs` times after one warm-up."""
    work()
    yardstick()
    found = []
    for _ in range(pairs):
        one = seconds(work)
        found.append(one / seconds(yardstick, yardstick_repeats))
    return Ratio(name, statistics.median(found), min(found), max(found), goal)
