"""What a planned season is supposed to be like: from the log's own fit, or stated stand-ins.

Scope: the reference's rate with its limits, the session effect, the clumps, the rod-hours of a
trip and the trips of a season, each from the log where that holds enough.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
import pandas as pd

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.checks.allocation import days_of
from rodhours.evidence.cutoffs import rate_cutoffs
from rodhours.evidence.rates import one_rate_limits
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import most_shared
from rodhours.simulate.formulas import Assumptions

STAND_IN_RODS, STAND_IN_TRIP_HOURS, STAND_IN_TRIPS = 3, 24.0, 20
FEWEST_TRIPS, FEWEST_FISH = 8, 10
"""A log with less than this says too little of its own catch rate and of how uneven trips are."""
LOG, STAND_IN, ASKED_FOR = "log", "stand-in", "asked for"
NO_LOG, NO_REFERENCE, TOO_LITTLE, NO_FIT = "no log", "no fish", "too little", "no fit"


@dataclass(frozen=True)
class Grounds:
    """What the planning rests on.

    `source` is "log" or "stand-in", `reason` why it is a stand-in. Rates are fish per 100
    rod-hours of the reference, the limits at 95 % (None without any), `plain_per_100` its fish over
    its rod-hours; `trips` and `fish` are those of the fit. `rod_hours` of a trip and `season_trips`
    are the log's, or stand-ins by themselves (`hours_source`, `season_source`). The rate, session
    effect and clumps that stand in are those of the invented seasons on which the intervals of
    this project were tried; no water's.
    """

    rod_hours: float
    hours_source: str
    source: str = STAND_IN
    reason: str | None = NO_LOG
    reference: str | None = None
    per_100: float = 3.0
    per_100_low: float | None = None
    per_100_high: float | None = None
    plain_per_100: float | None = None
    session_sd: float = 1.0
    clumping: float = 0.0
    trips: int = 0
    fish: int = 0
    season_trips: int = STAND_IN_TRIPS
    season_source: str = STAND_IN
    rods: int | None = None
    """Of a usual trip, or as asked for; None where the log does not say."""
    at_most: bool = False
    """Whether the rate is the upper limit that hours without a fish leave, below the stand-in."""

    KEYS: ClassVar[tuple[str, ...]] = (
        "from=source", "why_stand_in=reason", "reference", "rate_per_100=per_100",
        "rate_per_100_low=per_100_low", "rate_per_100_high=per_100_high",
        "plain_rate_per_100=plain_per_100", "session_sd", "clumping", "trips", "fish",
        "rod_hours_a_trip=rod_hours", "rod_hours_a_trip_from=hours_source", "rods",
        "rate_is_upper_limit=at_most",
    )  # fmt: skip

    def assumptions(self, variants: int) -> Assumptions:
        """What the formulas and the simulation suppose where so many variants share the trips."""
        rate = self.per_100 / 100.0
        return Assumptions(rate, self.session_sd, self.clumping, self.rod_hours, variants)


def grounds_of(
    stints: pd.DataFrame | None,
    reference: str | None = None,
    rods: int | None = None,
    trip_hours: float | None = None,
) -> Grounds:
    """The grounds for planning from a stint frame (see `compare`), or stand-ins without one.

    `rods` and `trip_hours` give the rod-hours of a trip; with neither, the log's median trip.
    Without a reference, the variant with most shared rod-hours. A reference without a fish is
    reckoned at the exact upper 95 % limit of its own hours where that is below the stand-in, so
    that trips are "at least" so many. UsageError for an unknown reference.
    """
    if stints is None or not len(stints):
        return Grounds(*_hours(None, rods, trip_hours), rods=rods or STAND_IN_RODS)
    prepared = prepare(stints)
    code = most_shared(prepared)[0] if reference is None else prepared.code_of(reference)
    session, trip = np.unique(prepared.session, return_inverse=True)
    median = float(np.median(np.bincount(trip, prepared.hours)))
    season_trips, season_source = _trips_of_a_year(stints, prepared)
    grounds = Grounds(
        *_hours(median, rods, trip_hours),
        reference=prepared.variants[code],
        trips=len(session),
        fish=int(prepared.fish.sum()),
        season_trips=season_trips,
        season_source=season_source,
        rods=rods or _usual_rods(stints),
    )
    own = prepared.variant == code
    if not prepared.fish[own].any():
        # No fish yet: a rate above what these hours leave would promise too much.
        highest = 100.0 * one_rate_limits(0, float(prepared.hours[own].sum()))[1]
        if highest < grounds.per_100:
            grounds = replace(grounds, per_100=highest, at_most=True)
    if grounds.trips < FEWEST_TRIPS or grounds.fish < FEWEST_FISH:
        return replace(grounds, reason=TOO_LITTLE)
    basis = Basis.of(prepared, code, same_trips=False)
    if basis.base != code:
        return replace(grounds, reason=NO_REFERENCE)
    best = basis.fitted.best
    if not best.converged or basis.df < FEWEST_DF:
        return replace(grounds, reason=NO_FIT)
    low, high = _rate_limits(basis, int(basis.fish[code]))
    return replace(
        grounds,
        source=LOG,
        reason=None,
        per_100=100.0 * float(np.exp(best.b[0])),
        per_100_low=low,
        per_100_high=high,
        plain_per_100=100.0 * float(basis.fish[code] / basis.rod_hours[code]),
        session_sd=abs(float(best.s)),
        clumping=float(best.t) ** 2,
    )


def _hours(median: float | None, rods: int | None, trip_hours: float | None) -> tuple[float, str]:
    """Rod-hours of a trip, and where they come from."""
    asked = rods is not None or trip_hours is not None
    if not asked and median is not None:
        return median, LOG
    given = (rods or STAND_IN_RODS) * (trip_hours or STAND_IN_TRIP_HOURS)
    return given, ASKED_FOR if asked else STAND_IN


def _usual_rods(stints: pd.DataFrame) -> int | None:
    """The rods of the median trip, where they are logged."""
    trip = [name for name in ("session", "angler") if name in stints]
    if "rod" not in stints or stints["rod"].isna().all():
        return None
    known = stints[stints["rod"].notna()]
    return int(known.groupby(trip, dropna=False)["rod"].nunique().median())


def _trips_of_a_year(stints: pd.DataFrame, prepared: Stints) -> tuple[int, str]:
    """Trips in the 365 days up to the last one; a stand-in where dates are not logged."""
    days = days_of(stints)[prepared.first_row]
    known = days[~np.isnat(days)]
    if len(known) < FEWEST_TRIPS:
        return STAND_IN_TRIPS, STAND_IN
    return int((known > known.max() - np.timedelta64(365, "D")).sum()), LOG


def _rate_limits(basis: Basis, fish: int) -> tuple[float | None, float | None]:
    """95 % limits of the reference's rate in fish per 100 rod-hours, from the same fit."""
    profile, (lower, upper) = Profile.of(basis.fitted, 0), rate_cutoffs(fish, basis.df, 0.05)
    return _per_100(profile.limit(-1, lower)), _per_100(profile.limit(1, upper))


def _per_100(log_rate: float | None) -> float | None:
    return None if log_rate is None else 100.0 * float(np.exp(log_rate))
