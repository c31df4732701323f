"""The interval after each trip that stays honest however often one looks and whenever one stops.

Each look is the fit of the trips so far, on the basis and for the family of the season's headline
answer: both are matters of who fished what, not of the fish, and they are the same for all looks.

Its cutoff is the normal-mixture boundary: Robbins 1970, Annals of Mathematical Statistics
41:1397-1409; Howard, Ramdas, McAuliffe & Sekhon 2021, Annals of Statistics 49:1055-1080. For a
normal score it is a theorem; under the session model its honesty is measured on simulated seasons
(`tests/evidence/test_running_honesty.py`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, inf, isfinite, log
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import chdtri, stdtrit

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.compare import compare
from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.dates import dates_of
from rodhours.evidence.results import SAME_TRIPS, ComparisonResult
from rodhours.evidence.running_result import (
    FEW_FISH,
    FEW_TRIPS,
    NO_FIT,
    NO_SAME_TRIPS,
    Look,
    RunningComparison,
    RunningResult,
)
from rodhours.evidence.session_model.data import Integers
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.stated_end import FIRST_LOOK, stated_cutoff
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import same_trips
from rodhours.evidence.verdicts import FEWEST_FISH
from rodhours.progress import Progress

TAU = 0.7
"""Log rate ratios that the boundary is made narrowest for: about twice or half as fast."""


def running_looks(
    stints: pd.DataFrame,
    reference: str | None = None,
    variant: str | None = None,
    *,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    basis: str = "auto",
    margin: float = 1.25,
    most: int | None = None,
    progress: Progress | None = None,
) -> RunningResult:
    """Compare after every trip, with intervals that allow for all the looks.

    Parameters are those of `compare`; `date` gives the order of the trips. `most` takes that many
    looks at the most, spread evenly, the last trip always one of them. `progress` is called with
    the looks done and those to do.

    Raises what `compare` raises.
    """
    season = compare(stints, reference, variant, adjust, confidence, basis, margin, checks=False)
    return looks_of(stints, season, most=most, progress=progress)


def looks_of(
    stints: pd.DataFrame,
    season: ComparisonResult,
    *,
    until_trip: int | None = None,
    most: int | None = None,
    progress: Progress | None = None,
) -> RunningResult:
    """The looks that led to a comparison: `season` is what `compare` said of these stints.

    Its reference, variants, confidence, bases and columns to adjust for are those of every look.
    `until_trip` is the trip that was stated, before the first look, as the last one looked at:
    the looks then begin after trip 8 and end with it, and are narrower.
    """
    prepared = prepare(stints, season.adjusted_for)
    trips = trips_in_order(stints, prepared)
    if until_trip is None:
        after = looks_at(len(trips), most)
    else:
        after = np.arange(FIRST_LOOK, min(until_trip, len(trips)) + 1)
    reference = prepared.code_of(season.reference)
    family = max(1, len(season.comparisons))
    alpha = (1.0 - season.confidence) / family
    barred = {note.variant for note in season.notes if note.code == "no_same_trips"}
    seen = {
        name: bases_after(prepared, trips, reference, after, name)
        for name in {one.basis for one in season.comparisons}
    }
    looks: list[list[Look]] = [[] for _ in season.comparisons]
    for number, trip in enumerate(after):
        of = trips[trip - 1]
        when = {"trip": int(trip), "session": of.session, "angler": of.angler, "date": of.date}
        for own, one in zip(looks, season.comparisons, strict=True):
            basis = seen[one.basis][number]
            if own and basis is seen[one.basis][number - 1]:
                own.append(replace(own[-1], **when))
                continue
            is_barred = one.basis == SAME_TRIPS and one.variant in barred
            found = _look(basis, prepared.code_of(one.variant), is_barred, alpha, until_trip)
            own.append(Look(**when, **found))
        if progress is not None:
            progress(number + 1, len(after))
    return RunningResult(
        reference=season.reference,
        confidence=season.confidence,
        family=family,
        margin=season.margin,
        adjusted_for=season.adjusted_for,
        trips=len(trips),
        undated=sum(trip.date is None for trip in trips),
        every_trip=until_trip is not None or len(after) == len(trips),
        comparisons=tuple(
            RunningComparison(one.variant, one.basis, tuple(own))
            for one, own in zip(season.comparisons, looks, strict=True)
        ),
        filters=season.filters,
        logbook_sha256=season.logbook_sha256,
        until_trip=until_trip,
    )


def _look(
    basis: Basis | None, variant: int, is_barred: bool, alpha: float, until_trip: int | None
) -> dict[str, Any]:
    """What a look rests on; its estimate, running and fixed limits, or why there are none."""
    if basis is None:
        return {"missing": NO_SAME_TRIPS if is_barred else FEW_FISH}
    fish, reference_fish = int(basis.fish[variant]), int(basis.fish[basis.reference])
    look: dict[str, Any] = {
        "sessions": basis.sessions,
        "fish": fish,
        "rod_hours": float(basis.rod_hours[variant]),
        "reference_fish": reference_fish,
        "reference_rod_hours": float(basis.rod_hours[basis.reference]),
    }
    missing = NO_SAME_TRIPS if is_barred else missing_of(basis, variant)
    if missing is not None:
        return look | {"missing": missing}
    profile, cutoff = profile_of(basis, variant, alpha, until_trip)
    fixed = Cutoff(basis.df, fish, reference_fish)
    low, high = (profile.limit(side, fixed.at(alpha, side)) for side in (-1, 1))
    if low is None or high is None or not isfinite(cutoff):
        # A profile that levels off has its estimate anywhere along it.
        return look | {"missing": NO_FIT}
    running = (profile.limit(side, cutoff) for side in (-1, 1))
    conf_low, conf_high = (None if one is None else exp(one) for one in running)
    return look | {
        "rate_ratio": exp(profile.estimate),
        "conf_low": conf_low,
        "conf_high": conf_high,
        "fixed_low": exp(low),
        "fixed_high": exp(high),
        "spread": profile.spread,
        "df": basis.df,
        "cutoff": cutoff,
    }


def missing_of(basis: Basis, variant: int) -> str | None:
    """Why a look has no interval for a variant, of the reasons in `running_result`; None where
    it has."""
    fish, reference_fish = basis.fish[variant], basis.fish[basis.reference]
    if min(fish, reference_fish) == 0 or fish + reference_fish < FEWEST_FISH:
        return FEW_FISH
    if basis.df < FEWEST_DF:
        return FEW_TRIPS
    fitted = basis.fitted
    return None if fitted.converged and fitted.determined[basis.column_of(variant)] else NO_FIT


def profile_of(
    basis: Basis, variant: int, alpha: float, until_trip: int | None = None
) -> tuple[Profile, float]:
    """The profile of a variant's log rate ratio and the running cutoff R of its L.

    For a variant with nothing `missing`; R is infinite where the curvature gives no standard
    error.
    """
    profile = basis.profile(variant)
    if not (isfinite(profile.spread) and profile.spread > 0):
        return profile, inf
    if until_trip is not None:
        return profile, stated_cutoff(alpha, basis.df, until_trip)
    return profile, running_cutoff(alpha, basis.df, profile.spread)


def bases_after(
    stints: Stints, trips: Sequence[Trip], reference: int, after: Integers, name: str
) -> list[Basis | None]:
    """What is seen after each of the trips named, on one basis; None where it has no stint yet.

    `after` counts the trips from 1. After a trip without stints of the basis it is the one before,
    which is not fitted again.
    """
    place = np.empty(int(stints.session.max()) + 1)
    place[[trip.code for trip in trips]] = np.arange(1, len(trips) + 1)
    found: list[Basis | None] = []
    before = np.empty(0, dtype=np.int64)
    for trip in after:
        rows = np.flatnonzero(place[stints.session] <= trip)
        if name == SAME_TRIPS:
            rows = rows[same_trips(stints.take(rows), reference)]
        if found and np.array_equal(before, rows):
            found.append(found[-1])
            continue
        before = rows
        of = {"same_trips": name == SAME_TRIPS}
        found.append(Basis.of(stints.take(rows), reference, **of) if len(rows) else None)
    return found


@dataclass(frozen=True)
class Trip:
    """One trip in its place: `code` is that of the stints, `date` an ISO date or None."""

    code: int
    session: str
    angler: str | None
    date: str | None


def trips_in_order(frame: pd.DataFrame, stints: Stints) -> tuple[Trip, ...]:
    """The trips by date, then by the number in the session's label, its text and the angler.

    `frame` is what `stints` was prepared from. Trips without a date come last, among themselves
    in the order of their labels: that is a guess, which a result has to own up to. The order is
    the same whatever the order of the rows.
    """
    codes = np.unique(stints.session)
    rows = frame.iloc[stints.first_row[codes]]
    dates = dates_of(rows)
    anglers = rows["angler"] if "angler" in rows else pd.Series(None, index=rows.index)
    trips = [
        (
            pd.isna(date),
            pd.Timestamp(0) if pd.isna(date) else pd.Timestamp(date),
            # Numbers in a label by their size, so that T2 comes before T10.
            [
                (0, int(part), "") if part.isdecimal() and part.isascii() else (1, 0, part)
                for part in re.split(r"([0-9]+)", str(session))
                if part
            ],
            str(session),
            "" if pd.isna(angler) else str(angler),
            int(code),
        )
        for code, session, angler, date in zip(codes, rows["session"], anglers, dates, strict=True)
    ]
    return tuple(
        Trip(code, session, angler or None, None if undated else date.date().isoformat())
        for undated, date, _, session, angler, code in sorted(trips)
    )


def looks_at(trips: int, most: int | None) -> Integers:
    """After which trips one looks: all of 1 to `trips`, or `most` of them spread evenly.

    The last trip is always one of them, and where there is room for more than one the first.
    """
    if most is None or trips <= most:
        return np.arange(1, trips + 1)
    if most <= 1:
        return np.array([trips])
    return np.unique(np.round(np.linspace(1, trips, most)).astype(np.int64))


def mixture_cutoff(alpha: float, w: float) -> float:
    """The value that z² of a normal estimate crosses at any of its looks with chance `alpha`.

    `w` > 0 is (standard error / tau)² at this look. The likelihood ratio of a normal mixture of
    truths with spread tau is sqrt(w / (1 + w)) exp(z² / (2 (1 + w))), which by Ville's inequality
    ever reaches 1 / alpha with chance alpha at most; this is that solved for z².
    """
    if w <= 0.0:
        return inf
    return (1.0 + w) * (2.0 * log(1.0 / alpha) + log(1.0 + 1.0 / w))


def running_cutoff(alpha: float, df: int, spread: float, tau: float = TAU) -> float:
    """The cutoff R of L(theta) for the interval that may be looked at after every trip.

    The mixture's cutoff, widened as a t quantile with `df` degrees of freedom is wider than a
    normal one. `alpha` is that of the comparison (the family's share), `spread` > 0 the standard
    error of the log rate ratio from the curvature at the estimate.
    """
    widened = float(stdtrit(df, 1.0 - alpha / 2.0)) ** 2 / float(chdtri(1, alpha))
    return mixture_cutoff(alpha, (spread / tau) ** 2) * widened
