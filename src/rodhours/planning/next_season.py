"""What next: what each variant would cost or gain, which are worth more hours, which trips help.

Scope: a comparison turned into choices by stated rules, the hours to go by formula, and where the
trips went that a check found one-sided.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, ClassVar

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from rodhours.errors import UsageError
from rodhours.evidence.checks.allocation import days_of
from rodhours.evidence.checks.confounding import confounded
from rodhours.evidence.compare import compare
from rodhours.evidence.result import SERIOUS, Result
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, Comparison, ComparisonResult
from rodhours.evidence.verdicts import AHEAD, BEHIND, LEVEL
from rodhours.simulate.formulas import (
    NOTHING_YET,
    TOGETHER,
    SoFar,
    ratio_by_formula,
    trips_by_formula,
)
from rodhours.simulate.grounds import LOG, Grounds, grounds_of

FISH_IT, STOP, BY_COST = "fish it", "stop", "choose by cost"
MORE_HOURS, NO_GAIN, CONFIRM = "more hours", "no gain left", "confirm"
OPEN = (MORE_HOURS, CONFIRM)
"""The choices that ask for hours."""
CHOICES = (FISH_IT, CONFIRM, MORE_HOURS, BY_COST, NO_GAIN, STOP)
"""In the order in which they matter for the next trips."""

NOT_SAME_TRIPS, ONE_TRIP, OTHER_RODS = "not same trips", "one trip", "other rods"
"""Why an answer is to be confirmed before anybody acts on it."""
SESSION_MODEL, PLAIN_RATE = "session model", "plain rate"
"""Where the reference's rate comes from."""
MONTH, ROD, TEMPERATURE = "month", "rod", "water_temp_c"
"""What the trips of two variants may differ in, beside the venue."""


@dataclass(frozen=True)
class VariantPlan:
    """One variant: its answer so far as fish gained or lost, the choice, and the hours to go.

    Gains are fish per 100 rod-hours against the reference: its estimated rate times (ratio − 1),
    the limits at the limits of the ratio (None without one); `because` says why an answer is to
    be confirmed. `trips_to_go` (formula alone) is until a bait that truly catches `ratio` times as
    fast would be settled with the power asked for; None where no hours are proposed, and where no
    number that anybody fishes would do (`within_reach` False), and for a bait that waits for a
    rod. `season_shows` is the ratio that one more season would settle; `alone` is with no bait but
    the variant and the reference.
    """

    variant: str
    verdict: str
    basis: str
    rate_ratio: float | None
    conf_low: float | None
    conf_high: float | None
    gain_per_100: float | None
    gain_low: float | None
    gain_high: float | None
    small: bool
    choice: str
    because: str | None
    trips_to_go: int | None
    rod_hours_to_go: float | None
    trips_to_go_alone: int | None
    season_shows: float | None
    within_reach: bool
    shared_sessions: int
    sessions: int


@dataclass(frozen=True)
class MissingTrips:
    """Where one of two was fished and the other was not: what would break a confounding.

    `by` is month, venue, rod or water_temp_c. `variant_only` and `reference_only` are levels with
    rod-hours of one alone; where both were everywhere, `level` is where the variant had `share`
    of its rod-hours and the reference `reference_share`. For temperature, the two means.
    `for_all_trips` is True where it bears on the all-trips answer alone.
    """

    variant: str
    by: str
    variant_only: tuple[str, ...]
    reference_only: tuple[str, ...]
    level: str | None
    share: float | None
    reference_share: float | None
    mean: float | None
    reference_mean: float | None
    for_all_trips: bool


@dataclass(frozen=True, repr=False)
class NextSeason(Result):
    """What to fish next, and on what grounds.

    `per_100` is the reference's rate that gains are reckoned at (None where it has no fish);
    `rate_from` is "session model" or "plain rate". `ratio` is the true ratio that hours to go are
    for, with `power`; `sharing` are the variants, the reference among them, that share the next
    trips; `cost_a_bait` by variant, where prices are known.
    """

    reference: str
    per_100: float | None
    rate_from: str | None
    confidence: float
    margin: float
    ratio: float
    power: float
    variants: tuple[VariantPlan, ...]
    trips_that_help: tuple[MissingTrips, ...]
    sharing: tuple[str, ...]
    grounds: Grounds
    hours_by_formula: bool = True
    cost_a_bait: Mapping[str, float] = field(default_factory=dict)

    ROWS: ClassVar[str] = "variants"
    KEYS: ClassVar[tuple[str, ...]] = (
        "reference", "rate_per_100=per_100", "rate_from", "confidence", "margin", "ratio", "power",
        "variants", "trips_that_help", "sharing", "hours_by_formula", "cost_a_bait", "grounds",
        "season_trips=grounds.season_trips", "filters", "version",
    )  # fmt: skip

    @property
    def waiting(self) -> list[str]:
        """The baits worth hours for which the usual trip has no rod."""
        open_ones = [one.variant for one in self.variants if one.choice in OPEN]
        return [name for name in open_ones if name not in self.sharing]

    @property
    def first(self) -> VariantPlan | None:
        """Of those that share the trips, the one that is settled first; None out of reach."""
        known = [one for one in self.variants if one.trips_to_go is not None]
        return min(known, key=lambda one: one.trips_to_go or 0, default=None)


def next_season(
    stints: pd.DataFrame,
    reference: str | None = None,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    margin: float = 1.25,
    ratio: float = 1.5,
    power: float = 0.8,
    result: ComparisonResult | None = None,
) -> NextSeason:
    """What to fish next, from all variants against the reference on the headline basis.

    Parameters
    ----------
    stints
        A stint frame (see `compare`).
    reference, adjust, confidence, margin
        Those of `compare`. `margin` is also the gain worth having.
    ratio, power
        The hours to go are until a bait that truly catches `ratio` (> 1) times as fast would be
        settled with the chance `power`.
    result
        The comparison of these stints where it is made already; it goes before the four above.

    The rules. Ahead: fish it. Behind: stop. Level: choose by cost. Else, while the upper limit
    allows a gain above the margin (or is missing): more hours; once it does not: no gain left. All
    of these but more hours are to be confirmed where they rest on all trips only, on one trip (the
    verdict changes without it), or on rods that the reference was never on. With more baits worth
    hours than the rods of a usual trip hold beside the reference, those settled first by
    themselves share the next trips, and the others wait. Raises UsageError (a ValueError) as
    `compare` does.
    """
    if not (math.isfinite(ratio) and 1.02 <= ratio <= 100):
        raise UsageError(
            f"The ratio of interest is between 1.02 and 100, such as 1.5, not {ratio}."
        )
    if not 0.5 <= power <= 0.99:
        raise UsageError(f"The power is a chance from 0.5 to 0.99, such as 0.8, not {power:g}.")
    if result is None:
        result = compare(stints, reference, None, adjust, confidence, "auto", margin)
    reference = result.reference
    grounds = grounds_of(stints, reference)
    per_100, rate_from = _rate(stints, grounds)
    one_sided = {one.variant: _one_sided(stints, one, result) for one in result.comparisons}
    pairs = [
        (one, _without_hours(one, result, per_100, one_sided[one.variant]))
        for one in result.comparisons
    ]

    def with_hours(one: Comparison, plan: VariantPlan, sharing: int) -> VariantPlan:
        return _with_hours(plan, one, result, grounds, sharing, ratio, power)

    alone = {
        plan.variant: with_hours(one, plan, 2).trips_to_go
        for one, plan in pairs
        if plan.choice in OPEN
    }
    soonest = sorted(alone, key=lambda name: (alone[name] is None, alone[name]))
    share = soonest[: None if grounds.rods is None else max(grounds.rods - 1, 1)]
    sharing = (reference, *(plan.variant for _, plan in pairs if plan.variant in share))
    plans = [
        replace(
            with_hours(one, plan, len(sharing)) if plan.variant in share else plan,
            trips_to_go_alone=alone.get(plan.variant),
        )
        for one, plan in pairs
    ]
    return NextSeason(
        reference=reference,
        per_100=per_100,
        rate_from=rate_from,
        confidence=result.confidence,
        margin=result.margin,
        ratio=ratio,
        power=power,
        variants=tuple(plans),
        trips_that_help=tuple(
            _missing_trips(stints, one, reference, numbers)
            for one in result.comparisons
            for numbers in one_sided[one.variant]
        ),
        sharing=sharing,
        grounds=grounds,
        filters=result.filters,
    )


def _rate(stints: pd.DataFrame, grounds: Grounds) -> tuple[float | None, str | None]:
    """The reference's rate per 100 rod-hours: the session model's, else fish over rod-hours."""
    if grounds.source == LOG:
        return grounds.per_100, SESSION_MODEL
    own = stints[stints["variant"].astype(str) == grounds.reference]
    fish = float(own["fish"].sum())
    return (100.0 * fish / float(own["hours"].sum()), PLAIN_RATE) if fish else (None, None)


def _without_hours(
    one: Comparison,
    result: ComparisonResult,
    per_100: float | None,
    one_sided: Sequence[Mapping[str, Any]],
) -> VariantPlan:
    choice, because = _choice(one, result, one_sided)
    low, high = one.conf_low, one.conf_high

    def gain(ratio: float | None) -> float | None:
        return None if ratio is None or per_100 is None else per_100 * (ratio - 1.0)

    return VariantPlan(
        variant=one.variant,
        verdict=one.verdict,
        basis=one.basis,
        rate_ratio=one.rate_ratio,
        conf_low=low,
        conf_high=high,
        gain_per_100=gain(one.rate_ratio),
        # A ratio has no lower limit only as it has none above 0.
        gain_low=gain(0.0 if low is None else low),
        gain_high=gain(high),
        small=one.verdict in (AHEAD, BEHIND)
        and low is not None
        and high is not None
        and 1.0 / result.margin <= low
        and high <= result.margin,
        choice=choice,
        because=because,
        trips_to_go=None,
        rod_hours_to_go=None,
        trips_to_go_alone=None,
        season_shows=None,
        within_reach=True,
        shared_sessions=one.shared_sessions,
        sessions=one.sessions,
    )


def _choice(
    one: Comparison, result: ComparisonResult, one_sided: Sequence[Mapping[str, Any]]
) -> tuple[str, str | None]:
    """The choice by the rules of `next_season`, and why an answer is to be confirmed."""
    choice = {AHEAD: FISH_IT, BEHIND: STOP, LEVEL: BY_COST}.get(one.verdict, NO_GAIN)
    if choice == NO_GAIN and (one.conf_high is None or one.conf_high > result.margin):
        return MORE_HOURS, None
    if one.basis == ALL_TRIPS:
        return CONFIRM, NOT_SAME_TRIPS
    hangs_on_one = any(
        note.code == "red_letter_trip" and note.variant == one.variant and note.severity == SERIOUS
        for note in result.notes
    )
    # Not settled with a gain ruled out is no verdict that a trip could change to a gain's.
    if hangs_on_one and choice != NO_GAIN:
        return CONFIRM, ONE_TRIP
    if any(found["by"] == ROD and found["difference"] is None for found in one_sided):
        # Within a trip it is the rod as much as the bait.
        return CONFIRM, OTHER_RODS
    return choice, None


def _with_hours(
    plan: VariantPlan,
    one: Comparison,
    result: ComparisonResult,
    grounds: Grounds,
    sharing: int,
    ratio: float,
    power: float,
) -> VariantPlan:
    """The plan with its hours to go: so many baits on every trip, the hours shared equally."""
    if plan.because == ONE_TRIP:
        # Other trips have to say the same, and how many that takes is not a matter of precision.
        return plan
    alpha = (1.0 - result.confidence) / max(1, len(result.comparisons))
    given = grounds.assumptions(sharing)
    so_far = NOTHING_YET if plan.because == OTHER_RODS else _so_far(one, result, alpha)
    further = trips_by_formula(TOGETHER, ratio, given, power, alpha, so_far)
    return replace(
        plan,
        trips_to_go=further,
        rod_hours_to_go=None if further is None else further * grounds.rod_hours,
        season_shows=ratio_by_formula(TOGETHER, grounds.season_trips, given, power, alpha, so_far),
        within_reach=further is not None,
    )


def _so_far(one: Comparison, result: ComparisonResult, alpha: float) -> SoFar:
    """The information about the log ratio that the limits stand for.

    Nothing where a limit is missing, and for an answer over all trips: what is to come is an
    answer from the same trips, to which it adds nothing.
    """
    low, high = one.conf_low, one.conf_high
    if one.basis != SAME_TRIPS or not low or high is None:
        return NOTHING_YET
    df = next(model.df for model in result.models if model.basis == SAME_TRIPS)
    if df is None:
        return NOTHING_YET
    spread = (math.log(high) - math.log(low)) / (2.0 * float(stdtrit(df, 1.0 - alpha / 2.0)))
    return spread**-2, one.sessions


def _one_sided(
    stints: pd.DataFrame, one: Comparison, result: ComparisonResult
) -> list[Mapping[str, Any]]:
    """The figures of what the checks found one-sided about a variant."""
    found = [note.numbers for note in confounded(stints, result.reference, one.variant)]
    if not any(numbers["by"] == ROD for numbers in found):
        found += [
            {
                **note.numbers,
                "difference": 0.0,
                "mean": None,
                "reference_mean": None,
                "constant_within_trips": False,
            }
            for note in result.notes
            if note.code == "rods_not_rotated"
            and note.variant == one.variant
            and note.numbers["by"] == ROD
        ]
    return found


def _missing_trips(
    stints: pd.DataFrame, one: Comparison, reference: str, numbers: Mapping[str, Any]
) -> MissingTrips:
    """Which levels one of the two has to itself, for what a check found one-sided."""
    by = numbers["by"]
    level = _levels(stints, by)
    variants = stints["variant"].astype(str).to_numpy()
    mine, others = (
        {str(name) for name in level[variants == who] if name is not None}
        for who in (one.variant, reference)
    )
    return MissingTrips(
        variant=one.variant,
        by=by,
        variant_only=tuple(sorted(mine - others)),
        reference_only=tuple(sorted(others - mine)),
        level=numbers["level"],
        share=numbers["share"],
        reference_share=numbers["reference_share"],
        mean=numbers["mean"],
        reference_mean=numbers["reference_mean"],
        for_all_trips=one.basis == SAME_TRIPS and bool(numbers["constant_within_trips"]),
    )


def _levels(stints: pd.DataFrame, by: str) -> np.ndarray:
    """The level of each row as text, None where it is not logged; months as 2025-06.

    Temperatures are no levels: None.
    """
    if by == TEMPERATURE:
        return np.full(len(stints), None)
    if by == MONTH:
        days = days_of(stints)
        months = days.astype("datetime64[M]").astype(str).astype(object)
        months[np.isnat(days)] = None
        return np.asarray(months)
    values = stints[by].astype(object)
    return np.asarray(values.where(values.notna(), None).to_numpy(dtype=object))
