"""Catch rates by group: fish per 100 rod-hours, with the interval of the session model.

The rate is total fish over total rod-hours; its interval is that of exp(intercept) in the session
model of the group's stints alone, so that clumps and good trips widen it as they should. A group
of few trips takes how uneven trips are from the whole log, and keeps its own rate.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from scipy.optimize import brentq

from rodhours.errors import UsageError
from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.cutoffs import rate_cutoffs
from rodhours.evidence.dates import dates_of, season_names
from rodhours.evidence.rates import one_rate_limits
from rodhours.evidence.results import RateRow, RateSummary
from rodhours.evidence.session_model.data import SessionData, lay_out
from rodhours.evidence.session_model.evaluation import Evaluation
from rodhours.evidence.session_model.fit import NO_SESSIONS, Fit, climb, fit, poisson_start
from rodhours.evidence.session_model.likelihood import evaluate
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.session_model.quadrature import Centre, nodes_for
from rodhours.evidence.stints import Stints, prepare, require_confidence, require_frame
from rodhours.near import unknown_name

USUAL = ("variant", "venue", "rod", "angler", "batch", "planned")
"""Columns that are usual, be they there or not."""
PER = 100.0
"""Rates are said per 100 rod-hours."""

SESSION_MODEL = "session model"
WHOLE_LOG = "session model, unevenness of the whole log"
GAMMA_MODEL = "session model, upper limit from gamma sessions"
NO_UPPER_LIMIT = "session model, too few trips for an upper limit"
EXACT_FEW_SESSIONS = "exact Poisson, fewer than 3 sessions"
EXACT_NO_FISH = "exact Poisson, no fish"

WIDEST = 8.0
"""An upper limit more than this many times the plain rate is none: the profile all but levels
off there, and where it crosses the cutoff is an accident. One fish alone has an upper limit of 5.6
times its rate (7.4 times at 99 % confidence; exact Poisson), so what goes further comes of too few
trips. Measured on 100 simulated seasons of each length, trips as uneven as s = 0.9: no upper limit
in 43 of 100 seasons of 6 trips, 13 of 10 and none of 20; the others are up to 31, 29 and 16 times
the lower limit, where a bound of 100 had let 547, 442 and 43 times stand."""

FEW_TRIPS = 10
"""A group of fewer trips than this takes their unevenness from the whole log, if that has more."""
FURTHEST_APART, FEWEST_FISH = 20.0, 3
"""So many times apart its limits say nothing above; fewer fish are that however even trips are. No
second `WIDEST`: unevenness is given here, so the profile does not level off and is merely wide."""
FEWEST_SESSIONS = 3
"""Below this many sessions the session model has nothing to go by."""
_NOT_RECORDED = "not recorded"
_REACH = 12.0
"""A limit further than this from the plain log rate is none."""


@dataclass(frozen=True)
class Unevenness:
    """How uneven a log's trips are: spread s and clumping t of its fit, and that fit's df.

    Few trips cannot say that, the whole log can: s and t are held and a group's own log rate alone
    is profiled. Simulated coverage stands with `tests/evidence/test_rates_of_few_trips.py`.

    Cells are session x variant, or single stints where no session had two variants.
    """

    s: float
    t: float
    df: int
    sessions: int
    one_cell_a_stint: bool

    @classmethod
    def of(cls, stints: Stints) -> Unevenness | None:
        """That of all trips, variants as indicators; None where they are too few to tell."""
        basis = Basis.of(stints, int(stints.variant[0]), same_trips=False)
        if not stints.fish.any() or basis.df < FEWEST_DF or not basis.fitted.converged:
            return None
        best = basis.fitted.best
        return cls(best.s, best.t, basis.df, basis.sessions, basis.one_cell_a_stint)

    def limits(self, group: Stints, cut_low: float, cut_high: float) -> tuple[float, float | None]:
        """Limits of the group's rate, fish per hour, at two cutoffs of L; None: no upper one.

        In the log rate the likelihood is log-concave, so it has one top and one limit a side.
        """
        cell = np.arange(len(group)) if self.one_cell_a_stint else group.variant
        ones = np.ones((len(group), 1))
        data = lay_out(group.session, cell, group.hours, group.fish, ones)
        centre = Centre(np.zeros(len(data.weight)))

        def at(theta: float) -> Evaluation:
            return evaluate(data, np.array([theta]), self.s, self.t, centre, nodes_for(self.s))

        fish = float(group.fish.sum())
        plain = float(np.log(max(fish, 0.5) / group.hours.sum()))
        ends = plain - _REACH, plain + _REACH
        # Without a fish the likelihood rises for ever as the rate falls.
        top = ends[0] if not fish else brentq(lambda one: float(at(one).gradient[0]), *ends)
        height = at(top).value

        def limit(end: float, cut: float) -> float | None:
            def short(theta: float) -> float:
                return 2.0 * (height - at(theta).value) - cut

            return None if short(end) < 0.0 else float(np.exp(brentq(short, top, end)))

        low = limit(ends[0], cut_low) if fish else None
        return low or 0.0, limit(ends[1], cut_high)


def summarise(
    stints: pd.DataFrame,
    by: str = "variant",
    confidence: float = 0.95,
    *,
    recipes: pd.DataFrame | None = None,
    season_starts: tuple[int, int] = (1, 1),
) -> RateSummary:
    """Sessions, blanks, rod-hours, fish and catch rates by group, and of all stints together.

    `stints` is a stint frame (see `compare`); `by` is a column of it or of `recipes` (one row a
    variant), `month` or `season`, which starts on the month and day of `season_starts`. Stints
    whose group was not recorded form a group of their own, the last. Rates and limits are fish per
    100 rod-hours. UsageError for an unknown grouping or a frame without what the grouping needs.
    """
    require_confidence(confidence)
    require_frame(stints, "Stints")
    if "variant" not in stints:
        prepare(stints)  # Says what is missing.
    labels = _labels(stints, by, recipes, season_starts)
    label, levels = pd.factorize(labels, sort=True)
    names = [f"{one:g}" if isinstance(one, float) else str(one) for one in levels]
    if (label < 0).any():
        label, names = np.where(label < 0, len(names), label), [*names, _NOT_RECORDED]
    # A stint is one variant's: rows are added up within a group and a variant, never across.
    variant, _ = pd.factorize(stints["variant"].to_numpy(dtype=object))
    pair = pd.Series(label + len(names) * variant, stints.index, dtype=object)
    prepared = prepare(stints.assign(variant=pair.where(variant >= 0, None)))
    group = np.array([int(one) % len(names) for one in prepared.variants])[prepared.variant]
    parts = [prepared.take(group == code) for code in range(len(names))]
    few = any(len(np.unique(one.session)) < FEW_TRIPS or not one.fish.any() for one in parts)
    whole = Unevenness.of(prepare(stints)) if few else None
    rows = tuple(
        _row(name, part, int((label == code).sum()), confidence, whole)
        for code, (name, part) in enumerate(zip(names, parts, strict=True))
    )
    return RateSummary(by, rows, _row("all", prepared, len(stints), confidence), confidence)


def _labels(
    stints: pd.DataFrame, by: str, recipes: pd.DataFrame | None, starts: tuple[int, int]
) -> pd.Series[Any]:
    """The group of each stint: numbers, or texts, missing where it was not recorded."""
    if by in ("month", "season") and by not in stints:
        if "date" not in stints or not stints["date"].notna().any():
            raise UsageError(f"There is no summary by {by}: the log has no dates.")
        dates = dates_of(stints)
        # Months of different years are different months here: 2025-04 and 2026-04.
        return dates.dt.strftime("%Y-%m") if by == "month" else season_names(dates, starts)
    labels = stints.get(by)
    if labels is None and recipes is not None and by in recipes:
        labels = stints["variant"].map(recipes.set_index("variant")[by])
    if labels is None and by not in USUAL:
        of_recipes = () if recipes is None else recipes.columns
        known = {*stints.columns, *of_recipes, *USUAL, "month", "season"}
        raise UsageError(f"There is no summary by {by}. {unknown_name('column', by, known)}")
    if labels is None or not labels.notna().any():
        raise UsageError(f"There is no summary by {by}: the log has no {by} column filled in.")
    if pd.api.types.is_datetime64_any_dtype(labels):
        return labels.dt.strftime("%Y-%m-%d")
    numeric = pd.api.types.is_numeric_dtype(labels)
    return labels.astype(float) if numeric else labels.astype(object).map(str, na_action="ignore")


def _row(
    group: str, stints: Stints, logged: int, confidence: float, whole: Unevenness | None = None
) -> RateRow:
    """A row of so many stints as they were `logged`; a rod's of one trip are added up in it."""
    hours, fish = float(stints.hours.sum()), int(stints.fish.sum())
    sessions, code = np.unique(stints.session, return_inverse=True)
    by_session = np.bincount(code, stints.fish)
    plain = RateRow(
        group=group,
        sessions=len(sessions),
        blanks=int((by_session == 0).sum()),
        stints=logged,
        rod_hours=hours,
        fish=fish,
        per_100_rod_hours=PER * fish / hours,
        conf_low=None,
        conf_high=None,
        method=SESSION_MODEL,
    )
    few = len(sessions) < FEW_TRIPS or not fish
    if whole is not None and few and whole.sessions > len(sessions):
        low, high = whole.limits(stints, *rate_cutoffs(fish, whole.df, 1.0 - confidence))
        if high is None or (fish >= FEWEST_FISH and high > FURTHEST_APART * low):
            return replace(plain, conf_low=PER * low, method=NO_UPPER_LIMIT)
        return replace(plain, conf_low=PER * low, conf_high=PER * high, method=WHOLE_LOG)
    if len(sessions) < FEWEST_SESSIONS or fish == 0:
        exact = [PER * one for one in one_rate_limits(fish, hours, confidence)]
        method = EXACT_NO_FISH if fish == 0 else EXACT_FEW_SESSIONS
        return replace(plain, conf_low=exact[0], conf_high=exact[1], method=method)
    return _modelled(plain, stints, code, confidence)


def _modelled(plain: RateRow, stints: Stints, session: np.ndarray, confidence: float) -> RateRow:
    """The row with the session model's limits."""
    alpha = 1.0 - confidence
    ones = np.ones((len(stints), 1))
    data = lay_out(session, np.arange(len(stints)), stints.hours, stints.fish, ones)
    fitted = fit(data)
    if not fitted.converged:
        return replace(plain, method=NO_UPPER_LIMIT)
    # df = G − K + 2 with K = 1.
    lower_cut, upper_cut = rate_cutoffs(plain.fish, plain.sessions + 1, alpha)
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
    return Profile.of(Fit(data, point, (point,)), 0).limit(1, cut)
