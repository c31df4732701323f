"""The opening sentence of an answer: one comparison in plain words.

The terminal, the page and a notebook open with the same words. Never "significant", never
"proved". A bait that is behind is never so many times "as slow": the sentence turns round and says
how much faster the reference is, estimate and limits alike, and gives the ratio as it stands in
the tables beside it.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.evidence.results import ALL_TRIPS, Comparison, ComparisonResult
from rodhours.evidence.verdicts import (
    AHEAD,
    BEHIND,
    LEVEL,
    TOO_LITTLE,
    UNSETTLED,
    WIDEST,
    is_small,
)
from rodhours.words.numbers import (
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

OPENINGS = {
    AHEAD: "Ahead",
    BEHIND: "Behind",
    LEVEL: "Level",
    UNSETTLED: "Not settled",
    TOO_LITTLE: "Too little to say",
}


def verdict_words(verdict: str) -> str:
    """A verdict inside a sentence: `not settled`. Raises KeyError for an unknown one."""
    return OPENINGS[verdict].lower()


def sentences(result: ComparisonResult) -> list[str]:
    """The answers in plain words, a tally of several first."""
    said = [headline(one, result) for one in result.comparisons]
    if not said:
        return [nothing_to_compare([result.reference])]
    return said if len(said) == 1 else [f"{tally(result)}.", *said]


def nothing_to_compare(variants: Sequence[str]) -> str:
    """The opening sentence where there is no comparison."""
    if len(variants) == 1:
        return (
            f"Nothing to compare yet: {variants[0]} is the only bait in these rows. A second bait "
            "on the same trips makes a comparison."
        )
    return "Nothing to compare yet: no two baits in these rows can be set against each other."


def headline(one: Comparison, result: ComparisonResult) -> str:
    """The answer in plain words: one sentence, and a second where all trips say more.

    The margin decides when an `ahead` or `behind` is called small. Raises KeyError for an unknown
    verdict.
    """
    opening = OPENINGS[one.verdict]
    if is_small(one.verdict, one.conf_low, one.conf_high, result.margin):
        opening += ", but by little"
    sentence = f"{opening}: {where(one)}, {_caught(one, result)}"
    if one.verdict == LEVEL:
        within = margin_text(result.margin)
        sentence += f", so the two are within {within} times of each other either way"
    return f"{sentence}.{_all_trips_beside(one, result)}"


def where(one: Comparison) -> str:
    """Which trips the answer comes from: `on the 31 trips that had both in the water`."""
    if one.basis == ALL_TRIPS:
        trips = "on the one trip there is"
        if one.sessions != 1:
            trips = f"over all {one.sessions:,} trips"
        return f"{trips}, which cannot tell bait from day"
    if one.shared_sessions == one.sessions:
        return f"on {the_count(one.sessions, 'trip')} that had both in the water"
    shared = f", {number(one.shared_sessions)} of them both" if one.shared_sessions else ""
    return (
        f"on {the_count(one.sessions, 'trip')} that had two or more of the compared baits in the "
        f"water{shared}"
    )


def _caught(one: Comparison, result: ComparisonResult) -> str:
    """What was caught, and the limits: the second half of the sentence."""
    variant, reference, margin = one.variant, result.reference, result.margin
    low, high, estimate = one.conf_low, one.conf_high, one.rate_ratio
    sure = f"with {confidence_level(result.confidence)} confidence"
    spent, spent_other = hours(one.rod_hours), hours(one.reference_rod_hours)
    fish, other = count(one.fish, "fish"), count(one.reference_fish, "fish")
    if one.fish == 0 and one.reference_fish == 0:
        return f"neither {variant} in {spent} nor {reference} in {spent_other} caught a fish"
    if one.fish == 0:
        caught = f"{variant} caught no fish in {spent} and {reference} {other} in {spent_other}"
        if exists(high):
            return f"{caught}; {sure} {variant} catches at most {ratio(high, margin)} times as fast"
        return f"{caught}; no limit can be set"
    if one.reference_fish == 0:
        caught = (
            f"{reference} caught no fish in {spent_other} and {variant} {fish} in {spent}, so "
            "there is no ratio to give"
        )
        if has_lower(low):
            return f"{caught}; {sure} {variant} catches at least {ratio(low, margin)} times as fast"
        return f"{caught}, and no limit can be set"
    if estimate is None:
        return (
            f"{variant} caught {fish} in {spent} and {reference} {other} in {spent_other}, and no "
            "ratio can be worked out from that"
        )
    if one.verdict == BEHIND and high is not None and 0 < estimate < 1:
        turned = limits(1 / high, 1 / low if low else None, margin)
        return (
            f"{reference} caught {times(1 / estimate)} as fast as {variant}; {sure} {turned} (that "
            f"is, {variant} at {times(estimate)} the rate of {reference}, "
            f"{limits_short(low, high, margin)})"
        )
    caught = f"{variant} caught {times(estimate)} as fast as {reference}"
    if one.verdict == TOO_LITTLE:
        together = count(one.fish + one.reference_fish, "fish")
        caught += f", from {together} on the two together"
    if not has_lower(low) and not exists(high):
        return f"{caught}; no limit can be set on either side"
    return f"{caught}; {sure} {limits(low, high, margin)}"


def _all_trips_beside(one: Comparison, result: ComparisonResult) -> str:
    """The second sentence: the all-trips figure, where the same trips have too little to say."""
    beside = one.all_trips
    if (
        one.basis == ALL_TRIPS
        or one.verdict != TOO_LITTLE
        or not _tells(beside.conf_low, beside.conf_high)
    ):
        return ""
    sure = f"with {confidence_level(result.confidence)} confidence"
    caught = (
        f"{one.variant} caught {times(beside.rate_ratio)} as fast as {result.reference}, {sure} "
        if beside.rate_ratio
        else f"{sure} {one.variant} against {result.reference} is "
    )
    return (
        f" Over all {beside.sessions:,} trips {caught}{limits(beside.conf_low, beside.conf_high)}; "
        "but that figure cannot tell bait from day."
    )


def _tells(low: float | None, high: float | None) -> bool:
    """Whether limits say more than "too little": one side of 1, or not too wide."""
    if (low or 0.0) > 1 or (high is not None and high < 1):
        return True
    return bool(low and high is not None and high / low <= WIDEST)


def rests_on(one: Comparison, reference: str) -> str:
    """What the answer rests on: fish, rod-hours and trips of both baits."""
    text = (
        f"This rests on {count(one.fish, 'fish')} in {hours(one.rod_hours)} with {one.variant} and "
        f"{count(one.reference_fish, 'fish')} in {hours(one.reference_rod_hours)} with "
        f"{reference}, on {count(one.sessions, 'trip')}"
    )
    shared = one.shared_sessions
    if shared != one.sessions:
        text += f", {number(shared) if shared else 'none'} of which had both in the water"
    return f"{text}."


def reference_row(one: Comparison, reference: str) -> str:
    """What the reference caught, under a table: `plain on the same trips: 30 fish in ...`."""
    text = (
        f"{reference} on {'all trips' if one.basis == ALL_TRIPS else 'the same trips'}: "
        f"{count(one.reference_fish, 'fish')} in {hours(one.reference_rod_hours)}"
    )
    shared, sessions = one.shared_sessions, one.sessions
    return text if shared == sessions else f"{text}; {shared:,} of {sessions:,} trips had both"


def tally(result: ComparisonResult) -> str:
    """Several comparisons in one finding: `Against plain: one ahead and two not settled`."""
    verdicts = [one.verdict for one in result.comparisons]
    said = [
        f"{word(verdicts.count(verdict))} {verdict_words(verdict)}"
        for verdict in OPENINGS
        if verdict in verdicts
    ]
    return f"Against {result.reference}: {listed(said)}"
