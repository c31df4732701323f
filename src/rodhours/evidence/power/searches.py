"""Searches for the trips, or the ratio, at which simulated seasons reach the power asked for.

Scope: where to look first by formula, what the simulated shares say, where to look next. A search
holds no data and runs nothing itself: it names conditions and reads their counts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from rodhours.evidence.power.formulas import (
    WIDEST_RATIO,
    Assumptions,
    power_of_trips,
    ratio_by_formula,
    trips_by_formula,
)
from rodhours.evidence.power.interpolation import NO_GUIDE, SLOPE_DOUBT, PowerLine, power_line
from rodhours.evidence.power.simulated import Condition

MOST_SIMULATED_TRIPS = 2_000
"""Above this the formula stands alone: it is at its best there, and seasons take too long."""
_FEW_TRIPS = 25
_AHEAD_OF_FORMULA, _AHEAD_WHEN_FEW = (0.95, 1.08, 1.25), (1.0, 1.3, 1.7)
"""Trips to look at, as parts of the formula's: it is too hopeful, the more so with few trips."""
_NEXT = (0.9, 1.0, 1.1)
_NEAR = 0.2
"""Places further than this part away from the answer do not count towards it."""

_NEAREST = 1e-3
_WIDEST = math.log(WIDEST_RATIO)

Counts = Mapping[Condition, int]


@dataclass(frozen=True)
class Found:
    """Where the power is reached: x with its standard error, and the line there."""

    x: float
    error: float
    line: PowerLine


@dataclass(frozen=True)
class Search:
    """What all searches share; x is a place on the axis that is searched."""

    design: str
    given: Assumptions
    power: float
    alpha: float

    def first(self) -> list[Condition]:
        """Where to look first; nothing where the formula sees no answer within reach."""
        raise NotImplementedError

    def at(self, x: float) -> Condition:
        """The condition nearest to a place."""
        raise NotImplementedError

    def place(self, condition: Condition) -> float:
        """The place of a condition."""
        raise NotImplementedError

    def by_formula(self, x: float) -> float:
        """The formula's power at a place."""
        raise NotImplementedError

    def found(self, counts: Counts, conditions: list[Condition], seasons: int) -> Found | None:
        """Where the line through the simulated shares reaches the power; None without any."""
        if not conditions:
            return None
        near = conditions
        for _ in range(2):
            places = [self.place(one) for one in near]
            line = power_line(
                places,
                [counts[one] for one in near],
                [seasons] * len(near),
                *self._slope(min(places), max(places)),
            )
            x = max(line.reaches(self.power), _NEAREST)
            kept = [one for one in conditions if abs(self.place(one) / x - 1.0) < _NEAR]
            if len(kept) < 2 or kept == near:
                break
            near = kept
        return Found(x, line.place_error(self.power), line)

    def next(self, found: Found, conditions: list[Condition]) -> list[Condition]:
        """Where to look again: nowhere once the answer lies between places looked at."""
        places = [self.place(one) for one in conditions]
        if min(places) * 0.99 <= found.x <= max(places) * 1.01:
            return []
        wanted = [self.at(found.x * factor) for factor in _NEXT]
        return [one for one in dict.fromkeys(wanted) if one not in conditions]

    def _slope(self, low: float, high: float) -> tuple[float, float]:
        """The formula's slope on the probit scale, and how far it is in doubt."""
        if high <= low:
            low, high = 0.95 * low, 1.05 * high
        ends = np.clip([self.by_formula(low), self.by_formula(high)], 1e-12, 1.0 - 1e-12)
        rise = float(np.diff(ndtri(ends))[0]) / (high - low)
        least = 1.0 / high
        return (rise, SLOPE_DOUBT) if rise > least else (least, NO_GUIDE)


@dataclass(frozen=True)
class TripsSearch(Search):
    """The trips that a ratio needs; x is the square root of the trips."""

    ratio: float

    def formula(self) -> int | None:
        """Trips by formula."""
        return trips_by_formula(self.design, self.ratio, self.given, self.power, self.alpha)

    def first(self) -> list[Condition]:
        start = self.formula()
        if start is None or start > MOST_SIMULATED_TRIPS:
            return []
        factors = _AHEAD_WHEN_FEW if start < _FEW_TRIPS else _AHEAD_OF_FORMULA
        # Few trips lie close together: each place is a trip or more from the others.
        trips = sorted({max(start + k, round(start * one)) for k, one in enumerate(factors)})
        return [self.at(math.sqrt(one)) for one in trips]

    def at(self, x: float) -> Condition:
        trips = max(self.given.fewest_trips, round(x * x))
        return Condition(self.design, trips, self.ratio)

    def place(self, condition: Condition) -> float:
        return math.sqrt(condition.trips)

    def by_formula(self, x: float) -> float:
        return power_of_trips(self.design, x * x, self.ratio, self.given, self.alpha)

    def next(self, found: Found, conditions: list[Condition]) -> list[Condition]:
        if found.x > math.sqrt(2.0 * MOST_SIMULATED_TRIPS):
            return []
        return super().next(found, conditions)


@dataclass(frozen=True)
class RatioSearch(Search):
    """The ratio nearest to 1 that so many trips settle; x is the size of its logarithm."""

    trips: int
    below: bool

    def formula(self) -> float | None:
        """The ratio by formula."""
        return ratio_by_formula(
            self.design, self.trips, self.given, self.power, self.alpha, below=self.below
        )

    def first(self) -> list[Condition]:
        if not self.given.fewest_trips <= self.trips <= MOST_SIMULATED_TRIPS:
            return []
        start = self.formula()
        if start is None and not self.below:
            return []
        if start is None:
            # The formula is no guide near a bait that catches nothing.
            places = [part * _WIDEST for part in (0.3, 0.6, 1.0)]
        else:
            factors = _AHEAD_WHEN_FEW if self.trips < _FEW_TRIPS else _AHEAD_OF_FORMULA
            places = [abs(math.log(start)) * one for one in factors]
        return list(dict.fromkeys(self.at(one) for one in places))

    def at(self, x: float) -> Condition:
        x = min(x, _WIDEST)
        return Condition(self.design, self.trips, math.exp(-x if self.below else x))

    def place(self, condition: Condition) -> float:
        return abs(math.log(condition.ratio))

    def by_formula(self, x: float) -> float:
        ratio = math.exp(-x if self.below else x)
        return power_of_trips(self.design, self.trips, ratio, self.given, self.alpha)
