"""What a planned season is supposed to be like: from the log's own fit, or stated stand-ins.

Scope: the reference's rate with its limits, the session effect, the clumps, the rod-hours of a
trip and the trips of a season, each from the log where that holds enough.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.checks.allocation import days_of
from rodhours.evidence.guard import guard_rate_lower, guard_rate_upper
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import most_shared

STAND_IN_PER_100, STAND_IN_SESSION_SD, STAND_IN_CLUMPING = 3.0, 1.0, 0.0
"""Those of the invented seasons on which the intervals of this project were tried; no water's."""
STAND_IN_RODS, STAND_IN_TRIP_HOURS, STAND_IN_TRIPS = 3, 24.0, 20

FEWEST_TRIPS, FEWEST_FISH = 8, 10
"""A log with less than this says too little of its own catch rate and of how uneven trips are."""
LOG, STAND_IN = "log", "stand-in"
NO_LOG, NO_REFERENCE, TOO_LITTLE, NO_FIT = "no log", "no fish", "too little", "no fit"


@dataclass(frozen=True)
class Grounds:
    """What the planning rests on.

    `source` is "log" or "stand-in", `reason` why it is a stand-in. Rates are fish per 100
    rod-hours of the reference, the limits at 95 % (None without any), `plain_per_100` its fish over
    its rod-hours; `trips` and `fish` are those of the fit. `rod_hours` of a trip and `season_trips`
    are the log's, or stand-ins by themselves (`hours_source`, `season_source`).
    """

    source: str
    reason: str | None
    reference: str | None
    per_100: float
    per_100_low: float | None
    per_100_high: float | None
    plain_per_100: float | None
    session_sd: float
    clumping: float
    trips: int
    fish: int
    rod_hours: float
    hours_source: str
    season_trips: int
    season_source: str

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        return {
            "from": self.source,
            "why_stand_in": self.reason,
            "reference": self.reference,
            "rate_per_100": self.per_100,
            "rate_per_100_low": self.per_100_low,
            "rate_per_100_high": self.per_100_high,
            "plain_rate_per_100": self.plain_per_100,
            "session_sd": self.session_sd,
            "clumping": self.clumping,
            "trips": self.trips,
            "fish": self.fish,
            "rod_hours_a_trip": self.rod_hours,
            "rod_hours_a_trip_from": self.hours_source,
        }


def grounds_of(
    stints: pd.DataFrame | None,
    reference: str | None = None,
    rods: int | None = None,
    trip_hours: float | None = None,
) -> Grounds:
    """The grounds for planning from a stint frame (see `compare`), or stand-ins without one.

    `rods` and `trip_hours` give the rod-hours of a trip; with neither, the log's median trip.
    Without a reference, the variant with most shared rod-hours. UsageError for an unknown
    reference.
    """
    if stints is None or not len(stints):
        return _stand_ins(NO_LOG, None, 0, 0, _hours(None, rods, trip_hours), None)
    prepared = prepare(stints)
    code = most_shared(prepared)[0] if reference is None else prepared.code_of(reference)
    name = prepared.variants[code]
    session, trip = np.unique(prepared.session, return_inverse=True)
    by_trip = np.bincount(trip, prepared.hours)
    hours = _hours(float(np.median(by_trip)), rods, trip_hours)
    season = _trips_of_a_year(stints, prepared)
    fish = int(prepared.fish.sum())
    too_little = len(session) < FEWEST_TRIPS or fish < FEWEST_FISH
    if too_little:
        return _stand_ins(TOO_LITTLE, name, len(session), fish, hours, season)
    basis = Basis.of(prepared, code, same_trips=False)
    if basis.base != code:
        return _stand_ins(NO_REFERENCE, name, len(session), fish, hours, season)
    best = basis.fitted.best
    if not best.converged or basis.df < FEWEST_DF:
        return _stand_ins(NO_FIT, name, len(session), fish, hours, season)
    low, high = _rate_limits(basis, int(basis.fish[code]))
    trips, source = season or (STAND_IN_TRIPS, STAND_IN)
    return Grounds(
        source=LOG,
        reason=None,
        reference=name,
        per_100=100.0 * float(np.exp(best.b[0])),
        per_100_low=low,
        per_100_high=high,
        plain_per_100=100.0 * float(basis.fish[code] / basis.rod_hours[code]),
        session_sd=abs(float(best.s)),
        clumping=float(best.t) ** 2,
        trips=len(session),
        fish=fish,
        rod_hours=hours[0],
        hours_source=hours[1],
        season_trips=trips,
        season_source=source,
    )


def _stand_ins(
    reason: str,
    reference: str | None,
    trips: int,
    fish: int,
    hours: tuple[float, str],
    season: tuple[int, str] | None,
) -> Grounds:
    season_trips, season_source = season or (STAND_IN_TRIPS, STAND_IN)
    return Grounds(
        source=STAND_IN,
        reason=reason,
        reference=reference,
        per_100=STAND_IN_PER_100,
        per_100_low=None,
        per_100_high=None,
        plain_per_100=None,
        session_sd=STAND_IN_SESSION_SD,
        clumping=STAND_IN_CLUMPING,
        trips=trips,
        fish=fish,
        rod_hours=hours[0],
        hours_source=hours[1],
        season_trips=season_trips,
        season_source=season_source,
    )


def _hours(median: float | None, rods: int | None, trip_hours: float | None) -> tuple[float, str]:
    """Rod-hours of a trip, and where they come from."""
    if rods is None and trip_hours is None and median is not None:
        return median, LOG
    given = (rods or STAND_IN_RODS) * (trip_hours or STAND_IN_TRIP_HOURS)
    return given, STAND_IN if rods is None and trip_hours is None else "asked for"


def _trips_of_a_year(stints: pd.DataFrame, prepared: Stints) -> tuple[int, str] | None:
    """Trips in the 365 days up to the last one; None where dates are not logged."""
    days = days_of(stints)[prepared.first_row]
    known = days[~np.isnat(days)]
    if len(known) < FEWEST_TRIPS:
        return None
    return int((known > known.max() - np.timedelta64(365, "D")).sum()), LOG


def _rate_limits(basis: Basis, fish: int) -> tuple[float | None, float | None]:
    """95 % limits of the reference's rate in fish per 100 rod-hours, from the same fit."""
    quantile = float(stdtrit(basis.df, 0.975)) ** 2
    profile = Profile.of(basis.fitted, 0)
    low = profile.limit(-1, max(quantile, guard_rate_lower(fish, 0.05)))
    high = profile.limit(1, max(quantile, guard_rate_upper(fish, 0.05)))
    return _per_100(low), _per_100(high)


def _per_100(log_rate: float | None) -> float | None:
    return None if log_rate is None else 100.0 * float(np.exp(log_rate))
