"""The frozen result of looking after every trip: intervals and what they rest on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import pandas as pd

from rodhours.evidence.result import Result

FEW_FISH, FEW_TRIPS, NO_FIT, NO_SAME_TRIPS = "few_fish", "few_trips", "no_fit", "no_same_trips"
"""Why a look has no interval."""


@dataclass(frozen=True)
class Look:
    """What the log said after one trip, on the basis of the season's headline answer.

    `trip` counts from 1 in order of date. `sessions`, fish and rod-hours are those of the basis
    so far. `conf_low` and `conf_high` are the running limits of this trip itself, `fixed_low`
    and `fixed_high` those of one look settled beforehand. None where a value does not exist, with
    `missing` saying why there is no interval: fewer than 5 fish on the two or none on one of them
    (`few_fish`), too few trips (`few_trips`), no maximum or a fixed limit not found (`no_fit`), no
    same-trip answer in the season (`no_same_trips`). `spread` is the standard error of the log
    ratio, `cutoff` the running cutoff R.
    """

    trip: int
    session: str
    angler: str | None
    date: str | None
    sessions: int = 0
    fish: int = 0
    rod_hours: float = 0.0
    reference_fish: int = 0
    reference_rod_hours: float = 0.0
    rate_ratio: float | None = None
    conf_low: float | None = None
    conf_high: float | None = None
    fixed_low: float | None = None
    fixed_high: float | None = None
    spread: float | None = None
    df: int | None = None
    cutoff: float | None = None
    missing: str | None = None

    @property
    def has_interval(self) -> bool:
        """Whether there is an interval, be it without limits."""
        return self.cutoff is not None

    @property
    def side(self) -> int:
        """+1 where the running interval lies above 1, −1 where below, 0 where it holds 1."""
        return _side(self.conf_low, self.conf_high)

    @property
    def fixed_side(self) -> int:
        """The same of the fixed interval."""
        return _side(self.fixed_low, self.fixed_high)


def _side(low: float | None, high: float | None) -> int:
    if low is not None and low > 1.0:
        return 1
    return -1 if high is not None and high < 1.0 else 0


@dataclass(frozen=True)
class RunningComparison:
    """One variant against the reference, look by look, on the basis of its headline answer."""

    variant: str
    basis: str
    looks: tuple[Look, ...]

    KEYS: ClassVar[tuple[str, ...]] = (
        "variant",
        "basis",
        "first_trip",
        "excluded_one_since",
        "low_so_far",
        "high_so_far",
        "looks",
    )

    @property
    def shown(self) -> tuple[Look, ...]:
        """The looks that have an interval."""
        return tuple(look for look in self.looks if look.has_interval)

    @property
    def first_trip(self) -> int | None:
        """The first trip after which there is an interval."""
        return self.shown[0].trip if self.shown else None

    @property
    def excluded_one_since(self) -> int | None:
        """The trip of the first look whose running interval left out 1; None where none did."""
        return next((look.trip for look in self.looks if look.side), None)

    @property
    def low_so_far(self) -> float | None:
        """The highest lower limit of all looks: the intersection of the intervals so far."""
        lows = [look.conf_low for look in self.shown if look.conf_low is not None]
        return max(lows, default=None)

    @property
    def high_so_far(self) -> float | None:
        """The lowest upper limit of all looks."""
        highs = [look.conf_high for look in self.shown if look.conf_high is not None]
        return min(highs, default=None)


@dataclass(frozen=True, kw_only=True, repr=False)
class RunningResult(Result):
    """Intervals that may be looked at after every trip, for all variants asked for.

    `trips` is the number of trips in the log, `undated` how many of them have no date and so no
    sure place in the order; `every_trip` is False where only some looks were taken. `family` is
    the number of comparisons that share 1 − `confidence`, fixed for all looks. `until_trip` is the
    last trip looked at, where that was stated before the first look.
    """

    reference: str
    confidence: float
    family: int
    margin: float
    adjusted_for: tuple[str, ...]
    trips: int
    undated: int
    every_trip: bool
    comparisons: tuple[RunningComparison, ...]
    until_trip: int | None = None

    ROWS: ClassVar[str] = "comparisons"
    KEYS: ClassVar[tuple[str, ...]] = (
        "reference",
        "confidence",
        "family",
        "margin",
        "adjusted_for",
        "trips",
        "undated",
        "every_trip",
        "until_trip",
        "comparisons",
        "filters",
        "version",
        "logbook_sha256",
    )

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row a comparison and look.

        Columns: variant, reference, basis, trip, session, date, sessions, fish, reference_fish,
        rate_ratio, conf_low, conf_high (running), fixed_low, fixed_high, missing.
        """
        numbers = ["rate_ratio", "conf_low", "conf_high", "fixed_low", "fixed_high"]
        columns = ["variant", "reference", "basis", "trip", "session", "date", "sessions"]
        columns += ["fish", "reference_fish", *numbers, "missing"]
        rows = [
            {"variant": one.variant, "reference": self.reference, "basis": one.basis, **vars(look)}
            for one in self.comparisons
            for look in one.looks
        ]
        return pd.DataFrame(rows, columns=columns).astype(dict.fromkeys(numbers, float))
