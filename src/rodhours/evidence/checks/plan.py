"""Was the plan followed? Other baits than planned, the answer as planned, rods not fished."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace

import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note
from rodhours.evidence.results import AllTripsEstimate, Comparison, ComparisonResult

MOST_DEPARTED = 0.05
"""Where more of the planned stints than this share departed, the answer as planned is given."""
UNEVEN = 0.05
NO_PLAN = (
    "No stint says what was planned for it, so there is no answer as planned: the column planned "
    "of a rotation's CSV, or planned in notes, says so."
)


def departures(stints: pd.DataFrame) -> pd.DataFrame:
    """The stints for which a plan asked, with `departed`: whether another bait was fished."""
    plan = stints["planned"] if "planned" in stints else pd.Series(index=stints.index, dtype=object)
    asked = stints[plan.notna()]
    return asked.assign(departed=(asked["variant"] != plan[plan.notna()]).astype(bool))


def as_planned(stints: pd.DataFrame) -> pd.DataFrame:
    """The stints for which a plan asked, each under the bait that it asked for.

    A comparison of these estimates the ratio between being told to fish one bait and the other
    (by intention to treat; ICH E9, 1998, section 5.2.1). UsageError where no stint has a plan.
    """
    asked = departures(stints)
    if asked.empty:
        raise UsageError(NO_PLAN)
    return asked.assign(variant=asked["planned"]).drop(columns="departed")


def with_plan_beside(
    result: ComparisonResult,
    stints: pd.DataFrame,
    again: Callable[[pd.DataFrame], ComparisonResult],
) -> ComparisonResult:
    """The comparison with a note on departures; with the answers as planned, where they are many.

    `again` makes the same comparison of other stints. The note is serious where a verdict is
    another as planned, else a caution where more than 5 % of the planned stints departed.
    Numbers: `planned` and `departed` stints, `towards` (bait: stints), `rods` (rod: stints),
    `answers` with each variant's ratio as fished and as planned.
    """
    asked = departures(stints)
    off = asked[asked["departed"]]
    if off.empty:
        return result
    weight, answers = INFORMATION, []
    if len(off) > MOST_DEPARTED * len(asked):
        weight = CAUTION
        try:
            planned = {one.variant: one for one in again(as_planned(stints)).comparisons}
        except UsageError:
            # The plan had not both of them.
            planned = {}
        beside = [replace(one, as_planned=_estimate(planned, one)) for one in result.comparisons]
        result = replace(result, comparisons=tuple(beside))
        for one in beside:
            if one.as_planned is None:
                continue
            if planned[one.variant].verdict != one.verdict:
                weight = SERIOUS
            limits = {"conf_low": one.as_planned.conf_low, "conf_high": one.as_planned.conf_high}
            ratios = {"rate_ratio": one.rate_ratio, "as_planned": one.as_planned.rate_ratio}
            answers.append({"variant": one.variant, **ratios, **limits})
    numbers = {
        "planned": len(asked),
        "departed": len(off),
        "towards": _counted(off["variant"]),
        "rods": _counted(off["rod"]) if "rod" in off else {},
        "answers": answers,
    }
    return result.with_notes([Note("plan_departed", None, weight, numbers)])


def _estimate(planned: Mapping[str, Comparison], of: Comparison) -> AllTripsEstimate | None:
    one = planned.get(of.variant)
    if one is None or one.rate_ratio is None:
        return None
    limits = one.conf_low, one.conf_high, one.p_value
    return AllTripsEstimate(one.rate_ratio, *limits, one.fish, one.rod_hours, one.sessions)


def _counted(column: pd.Series) -> dict[str, int]:
    """How often each value is there, the most often first."""
    return {str(one): int(many) for one, many in column.dropna().value_counts().items()}


def rods_unfished(stints: pd.DataFrame, empty: Mapping[str, int]) -> list[Note]:
    """A note where rods that a plan asked for were not fished, or nothing is said of them.

    `empty` are the rods that wait, by the bait planned; those not fished are in the column
    `unfished`. Serious where they are more than 5 % of all planned rods, or where one bait has more
    of them than chance would often give it: an exact binomial test at 5 % over the number of
    baits, against its share of the planned rods. Numbers: `empty` and `unfished` by bait, `share`
    of the planned rods, `p_value` and `bait`, where one stands out.
    """
    out = stints["unfished"].dropna() if "unfished" in stints else pd.Series(dtype=object)
    unfished = Counter(bait for cell in out for bait in str(cell).split("; "))
    missing = Counter(empty) + unfished
    total = missing.total()
    if not total:
        return []
    from scipy.stats import binomtest

    asked = Counter(departures(stints).get("planned", pd.Series(dtype=object))) + missing
    tests = {
        bait: float(binomtest(missing[bait], total, asked[bait] / asked.total(), "greater").pvalue)
        for bait in asked
    }
    bait = min(tests, key=lambda one: tests[one])
    uneven = len(asked) > 1 and tests[bait] * len(asked) < UNEVEN
    share = total / asked.total()
    numbers = {
        "empty": dict(empty),
        "unfished": dict(unfished),
        "share": share,
        "bait": bait if uneven else None,
        "p_value": min(1.0, tests[bait] * len(asked)),
    }
    weight = SERIOUS if uneven or share > MOST_DEPARTED else CAUTION
    return [Note("rods_unfished", None, weight, numbers)]
