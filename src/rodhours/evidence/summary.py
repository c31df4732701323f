"""Catch rates by group: fish per 100 rod-hours, with the interval of the session model.

The rate is total fish over total rod-hours; its interval is that of exp(intercept) in the session
model of the group's stints alone, so that clumps and good trips widen it as they should. A group
of few trips takes how uneven trips are from the whole log, and keeps its own rate.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from rodhours.errors import UsageError
from rodhours.evidence.dates import dates_of
from rodhours.evidence.guard import guard_rate_lower, guard_rate_upper
from rodhours.evidence.held import Unevenness
from rodhours.evidence.rates import one_rate_limits
from rodhours.evidence.results import RateRow, RateSummary
from rodhours.evidence.session_model.data import SessionData, lay_out
from rodhours.evidence.session_model.fit import NO_SESSIONS, Fit, climb, fit, poisson_start
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.stints import Stints, prepare, require_frame

GROUPINGS = ("variant", "venue", "month", "rod", "angler")
PER = 100.0
"""Rates are said per 100 rod-hours."""

SESSION_MODEL = "session model"
WHOLE_LOG = "session model, unevenness of the whole log"
GAMMA_MODEL = "session model, upper limit from gamma sessions"
NO_UPPER_LIMIT = "session model, too few trips for an upper limit"
EXACT_FEW_SESSIONS = "exact Poisson, fewer than 3 sessions"
EXACT_NO_FISH = "exact Poisson, no fish"

WIDEST = 100.0
"""An upper limit more than this many times the plain rate is none: the profile all but levels
off there, and where it crosses the cutoff is an accident."""

FEW_TRIPS = 10
"""A group of fewer trips than this takes their unevenness from the whole log, if that has more."""
FURTHEST_APART, FEWEST_FISH = 20.0, 3
"""So many times apart its limits say nothing above; fewer fish are that however even trips are."""
FEWEST_SESSIONS = 3
"""Below this many sessions the session model has nothing to go by."""
_NOT_RECORDED = "not recorded"


def summarise(stints: pd.DataFrame, by: str = "variant", confidence: float = 0.95) -> RateSummary:
    """Sessions, blanks, rod-hours, fish and catch rates by group, and of all stints together.

    `stints` is a stint frame (see `compare`); `by` is one of variant, venue, month, rod, angler;
    stints whose group was not recorded form a group of their own. Rates and limits are fish per
    100 rod-hours. UsageError for an unknown grouping or a frame without what the grouping needs.
    """
    if by not in GROUPINGS:
        raise UsageError(f"A summary is by one of {', '.join(GROUPINGS)}, not by '{by}'.")
    if not 0.0 < confidence < 1.0:
        raise UsageError(f"Confidence is between 0 and 1, such as 0.95, not {confidence}.")
    prepared, group, names = _grouped(stints, by)
    whole = Unevenness.of(prepare(stints))
    rows = tuple(
        _row(str(name), prepared.take(group == code), confidence, whole)
        for code, name in enumerate(names)
    )
    return RateSummary(by, rows, _row("all", prepared, confidence), confidence)


def _grouped(stints: pd.DataFrame, by: str) -> tuple[Stints, np.ndarray, list[Hashable]]:
    """The stints, the code of each one's group, and the groups' names in reading order."""
    require_frame(stints, "Stints")
    if by == "variant":
        prepared = prepare(stints)
        return prepared, prepared.variant, list(prepared.variants)
    if by == "month":
        if "date" not in stints.columns or not stints["date"].notna().any():
            raise UsageError("There is no summary by month: the log has no dates.")
        # Months of different years are different months here: 2025-04 and 2026-04.
        labels = dates_of(stints).dt.strftime("%Y-%m")
    elif by not in stints.columns or not stints[by].notna().any():
        raise UsageError(f"There is no summary by {by}: the log has no {by} column filled in.")
    else:
        labels = stints[by]
    filled = labels.astype(object).where(labels.notna(), _NOT_RECORDED).astype(str)
    label, names = pd.factorize(filled.to_numpy(), sort=True)
    if "variant" not in stints.columns:
        prepare(stints)  # Says what is missing.
    # A stint is one variant's: rows are added up within a group and a variant, never across.
    variant, _ = pd.factorize(stints["variant"].to_numpy(dtype=object))
    pair = pd.Series(label + len(names) * variant, stints.index, dtype=object)
    prepared = prepare(stints.assign(variant=pair.where(variant >= 0, None)))
    group = np.array([int(one) % len(names) for one in prepared.variants])
    return prepared, group[prepared.variant], list(names)


def _row(group: str, stints: Stints, confidence: float, whole: Unevenness | None = None) -> RateRow:
    hours, fish = float(stints.hours.sum()), int(stints.fish.sum())
    sessions, code = np.unique(stints.session, return_inverse=True)
    by_session = np.bincount(code, stints.fish)
    plain = RateRow(
        group=group,
        sessions=len(sessions),
        blanks=int((by_session == 0).sum()),
        stints=len(stints),
        rod_hours=hours,
        fish=fish,
        per_100_rod_hours=PER * fish / hours,
        conf_low=None,
        conf_high=None,
        method=SESSION_MODEL,
    )
    few = len(sessions) < FEW_TRIPS or not fish
    if whole is not None and few and whole.sessions > len(sessions):
        return _with_the_whole_log(plain, stints, whole, 1.0 - confidence)
    if len(sessions) < FEWEST_SESSIONS or fish == 0:
        low, high = one_rate_limits(fish, hours, confidence)
        method = EXACT_NO_FISH if fish == 0 else EXACT_FEW_SESSIONS
        return replace(plain, conf_low=PER * low, conf_high=PER * high, method=method)
    return _modelled(plain, stints, code, confidence)


def _cuts(fish: int, df: int, alpha: float) -> tuple[float, float]:
    """Cutoffs of L for the lower and the upper limit: t², or the few-fish guard if higher."""
    quantile = float(stdtrit(df, 1.0 - alpha / 2.0)) ** 2
    guards = guard_rate_lower(fish, alpha), guard_rate_upper(fish, alpha)
    return max(quantile, guards[0]), max(quantile, guards[1])


def _with_the_whole_log(plain: RateRow, stints: Stints, whole: Unevenness, alpha: float) -> RateRow:
    """The row of a group of few trips."""
    low, high = whole.limits(stints, *_cuts(plain.fish, whole.df, alpha))
    if high is None or (plain.fish >= FEWEST_FISH and high > FURTHEST_APART * low):
        return replace(plain, conf_low=PER * low, method=NO_UPPER_LIMIT)
    return replace(plain, conf_low=PER * low, conf_high=PER * high, method=WHOLE_LOG)


def _modelled(plain: RateRow, stints: Stints, session: np.ndarray, confidence: float) -> RateRow:
    """The row with the session model's limits."""
    alpha = 1.0 - confidence
    ones = np.ones((len(stints), 1))
    data = lay_out(session, np.arange(len(stints)), stints.hours, stints.fish, ones)
    fitted = fit(data)
    if not fitted.converged:
        return replace(plain, method=NO_UPPER_LIMIT)
    # df = G − K + 2 with K = 1.
    lower_cut, upper_cut = _cuts(plain.fish, plain.sessions + 1, alpha)
    profile = Profile.of(fitted, 0)
    furthest = float(np.log(WIDEST * plain.fish / plain.rod_hours))
    low = profile.limit(-1, lower_cut)
    profile = replace(profile, reach=furthest - float(fitted.best.b[0]))
    high = profile.limit(1, upper_cut)
    method = SESSION_MODEL
    if high is None or high > furthest:
        high = _gamma_upper(stints, session, upper_cut)
        method = GAMMA_MODEL
    if high is None or high > furthest:
        high, method = None, NO_UPPER_LIMIT
    low_rate = 0.0 if low is None else PER * float(np.exp(low))
    high_rate = None if high is None else PER * float(np.exp(high))
    rate = plain.per_100_rod_hours
    outside = rate is not None and (rate < low_rate or (high_rate is not None and rate > high_rate))
    return replace(
        plain,
        conf_low=low_rate,
        conf_high=high_rate,
        method=method,
        model_per_100_rod_hours=PER * float(np.exp(fitted.best.b[0])) if outside else None,
    )


def _gamma_upper(stints: Stints, session: np.ndarray, cut: float) -> float | None:
    """Upper limit of the log rate in the gamma session model: s = 0, one cell a session."""
    hours = np.asarray(np.bincount(session, stints.hours), dtype=np.float64)
    fish = np.asarray(np.bincount(session, stints.fish), dtype=np.float64)
    codes = np.arange(len(hours))
    data: SessionData = lay_out(codes, codes, hours, fish, np.ones((len(hours), 1)))
    point = climb(data, poisson_start(data), 0.0, 0.7, NO_SESSIONS)
    if not point.converged:
        return None
    return Profile.of_one_branch(Fit(data, point, (point,)), 0).limit(1, cut)
