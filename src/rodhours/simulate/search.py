"""Searches for the trips, or the ratio, at which simulated seasons reach the power asked for.

Scope: where to look first by formula, the line through the simulated shares (straight on the
probit scale, with the formula's own slope as the expectation), where to look next. A search holds
no data and runs nothing itself: it names conditions and reads their counts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from rodhours.simulate.formulas import (
    Assumptions,
    power_of_trips,
    ratio_by_formula,
    trips_by_formula,
)
from rodhours.simulate.planned import Condition
from rodhours.simulate.season import WIDEST_RATIO

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

SLOPE_DOUBT, NO_GUIDE = 0.3, 3.0
"""The formula's slope is taken to be right within so much of itself (a standard error); and that
of a slope that is no more than a size."""
_GENTLEST = 0.3
"""A fitted slope is never less than this part of the formula's: the curve rises."""

Counts = Mapping[Condition, int]


@dataclass(frozen=True)
class PowerLine:
    """probit(power) = `level` + `slope` · (x − `centre`), with the standard error of each."""

    centre: float
    level: float
    slope: float
    level_error: float
    slope_error: float

    def power(self, x: float) -> float:
        """The power at x."""
        return float(ndtr(self.level + self.slope * (x - self.centre)))

    def power_error(self, x: float) -> float:
        """Monte-Carlo standard error of the power at x, as a share."""
        at = self.level + self.slope * (x - self.centre)
        return float(np.exp(-0.5 * at * at) / np.sqrt(2.0 * np.pi)) * self._probit_error(x)

    def reaches(self, power: float) -> float:
        """The x at which the line reaches a power."""
        return self.centre + (float(ndtri(power)) - self.level) / self.slope

    def place_error(self, power: float) -> float:
        """Monte-Carlo standard error of that x."""
        return self._probit_error(self.reaches(power)) / self.slope

    def _probit_error(self, x: float) -> float:
        return float(np.hypot(self.level_error, self.slope_error * (x - self.centre)))


def power_line(
    x: Sequence[float],
    settled: Sequence[int],
    seasons: Sequence[int],
    slope: float,
    doubt: float = SLOPE_DOUBT,
) -> PowerLine:
    """The line through simulated shares, settled of seasons at each x.

    `slope` > 0 is the formula's, which the simulated one is drawn towards as far as `doubt` lets
    it. The probit of a share has the variance p (1 − p) / (n φ²) (delta method); half a season is
    added on either side, so that shares of 0 and 1 have one.
    """
    places, count = np.asarray(x, dtype=float), np.asarray(seasons, dtype=float)
    share = (np.asarray(settled, dtype=float) + 0.5) / (count + 1.0)
    probit = ndtri(share)
    density = np.exp(-0.5 * probit**2) / np.sqrt(2.0 * np.pi)
    weight = count * density**2 / (share * (1.0 - share))
    total = float(weight.sum())
    centre = float(weight @ places) / total
    away = places - centre
    expected = 1.0 / (doubt * slope) ** 2
    known = float(weight @ away**2) + expected
    fitted = (float(weight @ (away * probit)) + expected * slope) / known
    return PowerLine(
        centre=centre,
        level=float(weight @ probit) / total,
        slope=max(fitted, _GENTLEST * slope),
        level_error=total**-0.5,
        slope_error=known**-0.5,
    )


@dataclass(frozen=True)
class Place:
    """Where the power is reached: x with its standard error, and the line there."""

    x: float
    error: float
    line: PowerLine


@dataclass(frozen=True)
class Search:
    """The trips that a ratio needs, or the ratio nearest to 1 that so many trips settle.

    x is a place on the axis that is searched: the square root of the trips; where `trips` are
    given, the size of the logarithm of the ratio, which is above 1 or `below`.
    """

    design: str
    given: Assumptions
    power: float
    alpha: float
    ratio: float = 1.0
    trips: int | None = None
    below: bool = False

    def first(self) -> list[Condition]:
        """Where to look first; nothing where the formula sees no answer within reach."""
        if self.trips is None:
            start = trips_by_formula(self.design, self.ratio, self.given, self.power, self.alpha)
            if start is None or start > MOST_SIMULATED_TRIPS:
                return []
            # Few trips lie close together: each place is a trip or more from the others.
            looked = enumerate(_AHEAD_WHEN_FEW if start < _FEW_TRIPS else _AHEAD_OF_FORMULA)
            trips = sorted({max(start + k, round(start * one)) for k, one in looked})
            return [self.at(math.sqrt(one)) for one in trips]
        if not self.given.fewest_trips <= self.trips <= MOST_SIMULATED_TRIPS:
            return []
        ratio = ratio_by_formula(
            self.design, self.trips, self.given, self.power, self.alpha, below=self.below
        )
        if ratio is not None:
            factors = _AHEAD_WHEN_FEW if self.trips < _FEW_TRIPS else _AHEAD_OF_FORMULA
            places = [abs(math.log(ratio)) * one for one in factors]
        elif self.below:
            # The formula is no guide near a bait that catches nothing.
            places = [part * _WIDEST for part in (0.3, 0.6, 1.0)]
        else:
            return []
        return list(dict.fromkeys(self.at(one) for one in places))

    def at(self, x: float) -> Condition:
        """The condition nearest to a place."""
        if self.trips is None:
            return Condition(self.design, max(self.given.fewest_trips, round(x * x)), self.ratio)
        x = min(x, _WIDEST)
        return Condition(self.design, self.trips, math.exp(-x if self.below else x))

    def place(self, condition: Condition) -> float:
        """The place of a condition."""
        if self.trips is None:
            return math.sqrt(condition.trips)
        return abs(math.log(condition.ratio))

    def found(self, counts: Counts, conditions: list[Condition], seasons: int) -> Place | None:
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
        return Place(x, line.place_error(self.power), line)

    def next(self, place: Place, conditions: list[Condition]) -> list[Condition]:
        """Where to look again: nowhere once the answer lies between places looked at."""
        if self.trips is None and place.x > math.sqrt(2.0 * MOST_SIMULATED_TRIPS):
            return []
        places = [self.place(one) for one in conditions]
        if min(places) * 0.99 <= place.x <= max(places) * 1.01:
            return []
        wanted = [self.at(place.x * factor) for factor in _NEXT]
        return [one for one in dict.fromkeys(wanted) if one not in conditions]

    def _slope(self, low: float, high: float) -> tuple[float, float]:
        """The formula's slope on the probit scale, and how far it is in doubt."""
        if high <= low:
            low, high = 0.95 * low, 1.05 * high
        ends = np.clip([self._by_formula(low), self._by_formula(high)], 1e-12, 1.0 - 1e-12)
        rise = float(np.diff(ndtri(ends))[0]) / (high - low)
        least = 1.0 / high
        return (rise, SLOPE_DOUBT) if rise > least else (least, NO_GUIDE)

    def _by_formula(self, x: float) -> float:
        """The formula's power at a place."""
        trips, ratio = x * x, self.ratio
        if self.trips is not None:
            trips, ratio = self.trips, math.exp(-x if self.below else x)
        return power_of_trips(self.design, trips, ratio, self.given, self.alpha)
