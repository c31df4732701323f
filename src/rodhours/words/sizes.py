"""The words about the fish themselves: their sizes, and those lost against those landed.

Weights are said in the angler's unit. Every answer says that it is about the fish that were
weighed.
"""

from __future__ import annotations

from rodhours.evidence.sizes import (
    FEW_FISH,
    FEW_SESSIONS,
    FEWEST_FISH,
    NO_FIT,
    SizeComparison,
    SizesResult,
)
from rodhours.words.numbers import (
    MISSING,
    confidence_level,
    count,
    for_all,
    limits,
    listed,
    ratio,
    ratio_label,
    times,
)
from rodhours.words.parts import alternative
from rodhours.words.weights import weight

ONLY_WEIGHED = (
    "This is about the fish that were weighed and only those; it says nothing about how many a "
    "bait catches."
)
HEAD = "adjusted ratio"
"""Over the figures beside the dots."""
HEAVIER, LIGHTER = "Heavier", "Lighter"
_WHY_NONE = {
    FEW_FISH: f"that needs at least {FEWEST_FISH} weighed fish on it and {FEWEST_FISH} on {{}}",
    FEW_SESSIONS: "the weighed fish come from too few trips",
    NO_FIT: "the weights allow no fit",
}


def sentences(result: SizesResult) -> list[str]:
    """Each comparison, then what all rests on."""
    openings = [opening(one, result) for one in result.comparisons]
    return [*(openings or [heading(result, "kg") + "."]), rests_on(result)]


def verdict(comparison: SizeComparison) -> str:
    """Heavier or lighter where both limits lie on one side of 1."""
    low, high = comparison.conf_low, comparison.conf_high
    if low is not None and low > 1:
        return HEAVIER
    return LIGHTER if high is not None and high < 1 else "Not settled"


def opening(comparison: SizeComparison, result: SizesResult) -> str:
    """One comparison of typical weight in plain words."""
    variant, reference = comparison.variant, result.reference
    fish = (
        f"{count(comparison.fish, 'fish')} on {variant} against "
        f"{comparison.reference_fish:,} on {reference}"
    )
    if comparison.reason is not None:
        why = _WHY_NONE[comparison.reason].format(reference)
        return f"No answer for {variant}: {why} ({fish})."
    return (
        f"{verdict(comparison)}: a typical weighed fish on {variant} was "
        f"{times(comparison.weight_ratio)} as heavy as one on {reference}; with "
        f"{confidence_level(result.confidence)} confidence "
        f"{limits(comparison.conf_low, comparison.conf_high)} ({fish})."
    )


def rests_on(result: SizesResult) -> str:
    """What the comparison rests on, and how it was worked out."""
    model = result.model
    if model is None:
        return ONLY_WEIGHED
    shared = listed(
        f"{count(one.shared_sessions, 'trip')} with both for {one.variant}"
        for one in result.compared
    )
    return (
        f"{ONLY_WEIGHED} It comes from {count(model.fish, 'fish')} on "
        f"{count(model.sessions, 'trip')} ({shared}), by a mixed model of log weight that lets "
        "fish of one trip be alike; where baits were on different trips, it cannot fully tell bait "
        "from water."
    )


def together(result: SizesResult) -> str:
    """What the limits hold for; empty where there are none."""
    if not result.compared:
        return ""
    level = confidence_level(result.confidence)
    return f"Limits hold with {level} confidence{for_all(len(result.compared))}."


def heading(result: SizesResult, units: str) -> str:
    """The sizes as a finding: whose fish were heavier or lighter, if that is settled.

    Where nothing can be compared, the biggest fish and what caught it.
    """
    settled = [
        f"{kind.lower()} on {listed(names)}"
        for kind in (HEAVIER, LIGHTER)
        if (names := [one.variant for one in result.compared if verdict(one) == kind])
    ]
    if settled:
        return f"Fish that were weighed were {listed(settled)} than on {result.reference}"
    if result.compared:
        return "Whether any bait brings heavier fish is not settled"
    best = max(row.biggest_kg or 0.0 for row in result.rows)
    return f"The biggest fish weighed was {weight(best, units)}"


def caption(result: SizesResult) -> str:
    """Under the picture of sizes."""
    family = len(result.compared)
    figures = (
        f" The figures are typical weight against {result.reference}, adjusted: fish of one trip "
        f"are allowed to be alike ({confidence_level(result.confidence)} limits{for_all(family)})."
        if family
        else ""
    )
    return (
        "A dot is a fish that was weighed; the line spans the middle half, its mark is the "
        f"median.{figures}"
    )


def ratio_cell(one: SizeComparison | None) -> str:
    """A typical weight ratio with its limits: `1.10 (0.90 to 1.30)`, or a dash."""
    if one is None or one.weight_ratio is None:
        return MISSING
    return ratio_label(one.weight_ratio, one.conf_low, one.conf_high)


def alt(result: SizesResult, units: str) -> str:
    """What the picture of sizes shows."""
    parts = []
    for row in result.rows:
        if not row.weighed:
            parts.append(f"{row.variant} none weighed")
            continue
        text = (
            f"{row.variant} {count(row.weighed, 'fish')}, median {weight(row.median_kg, units)}, "
            f"biggest {weight(row.biggest_kg, units)}"
        )
        for one in result.compared:
            if one.variant == row.variant:
                text += (
                    f", {ratio(one.weight_ratio)} times as heavy as the reference "
                    f"({limits(one.conf_low, one.conf_high)})"
                )
        parts.append(text)
    return alternative("Weights of fish by variant", parts)


LANDED_TITLE = "Landed, lost and the biggest"


def landed_heading(lost: int, hooked: int) -> str:
    """Lost fish as a finding, where it stands alone."""
    if lost < 2:
        return f"{'One' if lost else 'None'} of {hooked:,} hooked fish was lost"
    return f"{lost:,} of {hooked:,} hooked fish were lost"


def landed_says(unknown_stints: int) -> str:
    """What the counts are about, and how many stints do not say how many fish were lost."""
    text = (
        "Lost fish are counted where the log says how many there were; whether one bait loses "
        "fewer is not asked here, since counts as small as these differ by luck alone."
    )
    if unknown_stints:
        are = "is" if unknown_stints == 1 else "are"
        text += f" {count(unknown_stints, 'stint')} without that number {are} left out."
    return text
