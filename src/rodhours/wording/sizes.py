"""The words about sizes of fish: the opening sentences, the headings, the picture.

Works from the machine form of a `SizesResult`. Weights are kilograms there and are said in the
angler's unit. Every answer says that it is about the fish that were weighed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.wording.numbers import confidence_level, count, limits, listed, ratio, times
from rodhours.wording.weights import weight

ONLY_WEIGHED = (
    "This is about the fish that were weighed and only those; it says nothing about how many a "
    "bait catches."
)
HEAVIER, LIGHTER = "Heavier", "Lighter"
_WHY_NONE = {
    "few_fish": "that needs at least 5 weighed fish on it and 5 on {reference}",
    "few_sessions": "the weighed fish come from too few trips",
    "no_fit": "the weights allow no fit",
}


def verdict(comparison: Mapping[str, Any]) -> str:
    """Heavier or lighter where both limits lie on one side of 1."""
    low, high = comparison["conf_low"], comparison["conf_high"]
    return HEAVIER if low > 1 else LIGHTER if high < 1 else "Not settled"


def opening(comparison: Mapping[str, Any], reference: str, confidence: float) -> str:
    """One comparison of typical weight in plain words."""
    variant, typical = comparison["variant"], comparison["weight_ratio"]
    fish = (
        f"{count(comparison['fish'], 'fish')} on {variant} against "
        f"{comparison['reference_fish']:,} on {reference}"
    )
    if typical is None:
        why = _WHY_NONE[comparison["reason"]].format(reference=reference)
        return f"No answer for {variant}: {why} ({fish})."
    low, high = comparison["conf_low"], comparison["conf_high"]
    return (
        f"{verdict(comparison)}: a typical weighed fish on {variant} was {times(typical)} as heavy "
        f"as one on {reference}; with {confidence_level(confidence)} confidence "
        f"{limits(low, high)} ({fish})."
    )


def rests_on(model: Mapping[str, Any] | None, comparisons: Sequence[Mapping[str, Any]]) -> str:
    """What the comparison rests on, and how it was worked out."""
    if model is None:
        return ONLY_WEIGHED
    shared = listed(
        f"{count(one['shared_sessions'], 'trip')} with both for {one['variant']}"
        for one in comparisons
        if one["weight_ratio"] is not None
    )
    return (
        f"{ONLY_WEIGHED} It comes from {count(model['fish'], 'fish')} on "
        f"{count(model['sessions'], 'trip')} ({shared}), by a mixed model of log weight that lets "
        "fish of one trip be alike; where baits were on different trips, it cannot fully tell bait "
        "from water."
    )


def together(confidence: float, family: int) -> str:
    """What the limits hold for."""
    level = confidence_level(confidence)
    return f"Limits hold with {level} confidence{' for all comparisons together' * (family > 1)}."


def heading(
    rows: Sequence[Mapping[str, Any]],
    units: str,
    comparisons: Sequence[Mapping[str, Any]] = (),
    reference: str = "",
) -> str:
    """The sizes as a finding: whose fish were heavier or lighter, if that is settled.

    Where nothing can be compared, the biggest fish and what caught it.
    """
    known = [row for row in rows if row["biggest_kg"] is not None]
    if not known:
        return "No fish was weighed"
    told = [one for one in comparisons if one["weight_ratio"] is not None]
    found = [
        f"{kind} on {listed(names)}"
        for kind, names in (
            ("heavier", [one["variant"] for one in told if verdict(one) == HEAVIER]),
            ("lighter", [one["variant"] for one in told if verdict(one) == LIGHTER]),
        )
        if names
    ]
    if found:
        return f"Fish that were weighed were {listed(found)} than on {reference}"
    if told:
        return "Whether any bait brings heavier fish is not settled"
    best = max(known, key=lambda row: float(row["biggest_kg"]))
    return (
        f"The biggest fish weighed, {weight(best['biggest_kg'], units)}, came on {best['variant']}"
    )


def caption(reference: str, confidence: float, family: int) -> str:
    """Under the picture of sizes."""
    hold = " for all comparisons together" if family > 1 else ""
    figures = (
        f" The figures are typical weight against {reference} with {confidence_level(confidence)} "
        f"limits{hold}, fish of one trip allowed to be alike."
        if family
        else ""
    )
    return (
        "Each dot is a fish that was weighed; the line spans the middle half of them, the mark on "
        f"it is the median.{figures} Fish that were not weighed are not here."
    )


def alt(
    rows: Sequence[Mapping[str, Any]], comparisons: Sequence[Mapping[str, Any]], units: str
) -> str:
    """What the picture of sizes shows."""
    ratios = {one["variant"]: one for one in comparisons if one["weight_ratio"] is not None}
    parts = []
    for row in rows:
        if not row["weighed"]:
            parts.append(f"{row['variant']} none weighed")
            continue
        said = (
            f"{row['variant']} {count(row['weighed'], 'fish')}, median "
            f"{weight(row['median_kg'], units)}, biggest {weight(row['biggest_kg'], units)}"
        )
        if row["variant"] in ratios:
            one = ratios[row["variant"]]
            said += (
                f", {ratio(one['weight_ratio'])} times as heavy as the reference "
                f"({limits(one['conf_low'], one['conf_high'])})"
            )
        parts.append(said)
    return f"Weights of fish by variant: {'; '.join(parts)}."
