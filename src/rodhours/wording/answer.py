"""The opening sentence of an answer: one comparison in plain words.

Works from the machine form of a comparison (a mapping), so that the terminal, the page and a
notebook open with the same words. Never "significant", never "proved". A bait that is behind is
never so many times "as slow": the sentence turns round and says how much faster the reference is,
estimate and limits alike, and gives the ratio as it stands in the tables beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.wording.numbers import (
    confidence_level,
    count,
    exists,
    has_lower,
    hours,
    limits,
    limits_short,
    listed,
    margin_text,
    number,
    ratio,
    the_count,
    times,
    word,
)
from rodhours.wording.verdicts import OPENINGS

ALL_TRIPS = "all trips"
DIRECT_SHARE = 0.5
"""Evidence counts as direct where at least this share of the trips had both in the water."""


def headline(
    comparison: Mapping[str, Any], reference: str, confidence: float, margin: float = 1.25
) -> str:
    """The answer in plain words: one sentence, and a second where all trips say more.

    `comparison` is one of `ComparisonResult.to_dict()["comparisons"]`; `margin` decides when an
    `ahead` or `behind` is called small. Raises KeyError for an unknown verdict.
    """
    opening = OPENINGS[comparison["verdict"]]
    if is_small(comparison, margin):
        opening += ", but by little"
    sentence = (
        f"{opening}: {where(comparison)}, {_caught(comparison, reference, confidence, margin)}"
    )
    if comparison["verdict"] == "level":
        sentence += f", so the two are within {margin_text(margin)} times of each other either way"
    return f"{sentence}.{_all_trips_beside(comparison, reference, confidence)}"


def is_small(comparison: Mapping[str, Any], margin: float) -> bool:
    """Whether a variant is ahead or behind by less than the margin, both limits told."""
    low, high = comparison["conf_low"], comparison["conf_high"]
    return (
        comparison["verdict"] in {"ahead", "behind"}
        and exists(low)
        and exists(high)
        and 1 / margin <= low
        and high <= margin
    )


def is_direct(comparison: Mapping[str, Any]) -> bool:
    """Whether most trips of a same-trip answer had this variant and the reference together."""
    return bool(comparison["shared_sessions"] >= DIRECT_SHARE * comparison["sessions"])


def where(comparison: Mapping[str, Any]) -> str:
    """Which trips the answer comes from: `on the 31 trips that had both in the water`."""
    if comparison["basis"] == ALL_TRIPS:
        sessions = comparison["sessions"]
        trips = "on the one trip there is" if sessions == 1 else f"over all {sessions:,} trips"
        return f"{trips}, which cannot tell bait from day"
    if is_direct(comparison):
        return f"on {the_count(comparison['shared_sessions'], 'trip')} that had both in the water"
    return (
        f"on {the_count(comparison['sessions'], 'trip')} "
        "that had two or more of the compared baits in the water"
    )


def _caught(comparison: Mapping[str, Any], reference: str, confidence: float, margin: float) -> str:
    """What was caught, and the limits: the second half of the sentence."""
    variant, fish, other = (
        comparison["variant"],
        comparison["fish"],
        comparison["reference_fish"],
    )
    low, high = comparison["conf_low"], comparison["conf_high"]
    sure = f"with {confidence_level(confidence)} confidence"
    estimate = comparison["rate_ratio"]
    spent = hours(comparison["rod_hours"])
    spent_other = hours(comparison["reference_rod_hours"])
    if fish == 0 and other == 0:
        return f"neither {variant} in {spent} nor {reference} in {spent_other} caught a fish"
    if fish == 0:
        caught = (
            f"{variant} caught no fish in {spent} and {reference} "
            f"{count(other, 'fish')} in {spent_other}"
        )
        if exists(high):
            return f"{caught}; {sure} {variant} catches at most {ratio(high, margin)} times as fast"
        return f"{caught}; no limit can be set"
    if other == 0:
        caught = (
            f"{reference} caught no fish in {spent_other} and {variant} "
            f"{count(fish, 'fish')} in {spent}, so there is no ratio to give"
        )
        if has_lower(low):
            return f"{caught}; {sure} {variant} catches at least {ratio(low, margin)} times as fast"
        return f"{caught}, and no limit can be set"
    if not exists(estimate):
        return (
            f"{variant} caught {count(fish, 'fish')} in {spent} and {reference} "
            f"{count(other, 'fish')} in {spent_other}, and no ratio can be worked out from that"
        )
    if comparison["verdict"] == "behind" and exists(high) and 0 < estimate < 1:
        return (
            f"{reference} caught {times(1 / estimate)} as fast as {variant}; {sure} "
            f"{limits(1 / high, 1 / low if has_lower(low) else None, margin)} (that is, {variant} "
            f"at {times(estimate)} the rate of {reference}, {limits_short(low, high, margin)})"
        )
    caught = f"{variant} caught {times(estimate)} as fast as {reference}"
    if comparison["verdict"] == "too little to say":
        caught += f", from {count(fish + other, 'fish')} on the two together"
    if not has_lower(low) and not exists(high):
        return f"{caught}; no limit can be set on either side"
    return f"{caught}; {sure} {limits(low, high, margin)}"


def _all_trips_beside(comparison: Mapping[str, Any], reference: str, confidence: float) -> str:
    """The second sentence: the all-trips figure, where the same trips have too little to say."""
    beside = comparison["all_trips"]
    low, high = beside["conf_low"], beside["conf_high"]
    if (
        comparison["basis"] == ALL_TRIPS
        or comparison["verdict"] != "too little to say"
        or not _tells(low, high)
    ):
        return ""
    variant, sure = comparison["variant"], f"with {confidence_level(confidence)} confidence"
    caught = (
        f"{variant} caught {times(beside['rate_ratio'])} as fast as {reference}, {sure} "
        if beside["rate_ratio"]
        else f"{sure} {variant} against {reference} is "
    )
    return (
        f" Over all {beside['sessions']:,} trips {caught}{limits(low, high)}; "
        "but that figure cannot tell bait from day."
    )


def _tells(low: float | None, high: float | None) -> bool:
    """Whether limits say more than "too little": one side of 1, or no wider than 16-fold."""
    above, below = has_lower(low), exists(high)
    if low is not None and above and low > 1:
        return True
    if high is not None and below and high < 1:
        return True
    return bool(above and below and high is not None and low is not None and high / low <= 16)


def rests_on(comparison: Mapping[str, Any], reference: str) -> str:
    """What the answer rests on: fish, rod-hours and trips of both baits."""
    trips = count(comparison["sessions"], "trip")
    text = (
        f"This rests on {count(comparison['fish'], 'fish')} in {hours(comparison['rod_hours'])} "
        f"with {comparison['variant']} and {count(comparison['reference_fish'], 'fish')} in "
        f"{hours(comparison['reference_rod_hours'])} with {reference}, on {trips}"
    )
    if comparison["shared_sessions"] != comparison["sessions"]:
        shared = comparison["shared_sessions"]
        text += f", {number(shared) if shared else 'none'} of which had both in the water"
    return f"{text}."


def reference_row(comparison: Mapping[str, Any], reference: str) -> str:
    """What the reference caught, under a table: `plain on the same trips: 30 fish in ...`."""
    trips = "on all trips" if comparison["basis"] == ALL_TRIPS else "on the same trips"
    text = (
        f"{reference} {trips}: {count(comparison['reference_fish'], 'fish')} in "
        f"{hours(comparison['reference_rod_hours'])}"
    )
    shared, sessions = comparison["shared_sessions"], comparison["sessions"]
    return text if shared == sessions else f"{text}; {shared:,} of {sessions:,} trips had both"


def tally(comparisons: Sequence[Mapping[str, Any]], reference: str) -> str:
    """Several comparisons in one finding: `Against plain: 1 ahead, 2 not settled.`"""
    groups = [
        (OPENINGS[verdict].lower(), sum(one["verdict"] == verdict for one in comparisons))
        for verdict in OPENINGS
    ]
    said = [f"{word(how_many)} {name}" for name, how_many in groups if how_many]
    return f"Against {reference}: {listed(said)}"
