"""The words of a rehearsal: how often the interval held the truth, what such a season settles.

Every share is said of 100 and with its give or take: the half-width of its own 95 % interval,
since only so many seasons were rehearsed.
"""

from __future__ import annotations

import math
from typing import Any

from rodhours.evidence.result import INFORMATION, OF_THE_LOG, Note
from rodhours.evidence.results import SAME_TRIPS
from rodhours.simulate.rehearse import ArmResult, RehearsalResult
from rodhours.simulate.season import MOOD, OWN, RODS, TAIL, TAKES
from rodhours.words.fish_counted import counted_here
from rodhours.words.notes import says
from rodhours.words.numbers import MISSING, count, fish_every, number, ratio
from rodhours.words.parts import alternative

ASSUMPTIONS = {
    OWN: "none",
    MOOD: "which bait goes in does not depend on how good the trip looks",
    TAKES: "a bait is better by the same factor on every trip",
    RODS: "all rods with one bait on one trip share their clumps",
    TAIL: "great trips are as rare as a bell-shaped curve makes them",
}
"""What each arm breaks."""

NO_ALL_CLEAR = (
    "A rehearsal knows only the faults it was told to make, and no season is wholly like another."
)
HELD_HEADING = "The interval held the truth"
SETTLED_HEADING = "The season puts the better bait ahead, if it is"
AXIS = "of 100 rehearsed seasons"
ENOUGH_SEASONS = 50
"""From so many seasons on a share is said of 100."""
BROKEN = (
    "Where the seasons are not as the model supposes, its interval held the truth (and "
    "counting every fish by itself would have) in"
)
FEW_DIFFERENCES, NO_CLUMPS = 0.05, 0.01
_QUANTILE = 1.959964


def arm_name(arm: str, variant: str) -> str:
    """An arm as an angler would say it."""
    return {
        OWN: "as the model supposes",
        MOOD: f"{variant} put on when the trip looks good",
        TAKES: "takes that differ from trip to trip",
        RODS: "clumps by rod",
        TAIL: "now and then a far better trip",
    }[arm]


def share_limits(share: float, seasons: int) -> tuple[float, float]:
    """The 95 % limits of a share found in so many seasons (Wilson 1927, JASA 22:209-212)."""
    square = _QUANTILE**2
    centre = (share + square / (2 * seasons)) / (1 + square / seasons)
    half = (
        _QUANTILE
        / (1 + square / seasons)
        * math.sqrt(share * (1 - share) / seasons + square / (4 * seasons**2))
    )
    return max(0.0, centre - half), min(1.0, centre + half)


def of_100(share: float) -> str:
    """A share as a number of 100; one that is not 0 or 1 never reads so."""
    value = 100 * share
    if 0 < value < 1:
        return "under 1"
    if 99 < value < 100:
        return "over 99"
    return f"{value:.0f}"


def give_or_take(share: float, seasons: int) -> str:
    """How far a share may be off, in words: `give or take 3`."""
    low, high = share_limits(share, seasons)
    return f"give or take {max(1, math.ceil(100 * (high - low) / 2 - 0.5))}"


def share_said(share: float | None, seasons: int, of: str = "") -> str:
    """A share with its error: `96 of 100 (give or take 3)`; `of` is what is counted.

    Of few seasons the count itself is said, and what it may mean.
    """
    if share is None:
        return "no season yet"
    noun = f" {of}" if of else ""
    if seasons >= ENOUGH_SEASONS:
        return f"{of_100(share)} of 100{noun} ({give_or_take(share, seasons)})"
    low, high = share_limits(share, seasons)
    return (
        f"{round(share * seasons)} of {seasons}{noun} "
        f"(that may mean {100 * low:.0f} to {100 * high:.0f} of 100)"
    )


def times_as_good(value: float) -> str:
    """A true ratio as a bait: `twice as good`, `1.5 times as good`."""
    named = {2.0: "twice", 3.0: "three times"}
    return f"{named.get(value, f'{value:g} times')} as good"


def how_uneven(session_sd: float) -> str:
    """How much trips differ, as an angler would see it."""
    if session_sd < FEW_DIFFERENCES:
        return "trips hardly differ"
    return (
        f"one trip in six is more than {ratio(math.exp(session_sd))} times as good as a usual one"
    )


def sentences(result: RehearsalResult) -> list[str]:
    """The answer, the first by itself."""
    return [f"{heading(result)}.", honesty(result), width(result)]


def with_sentences(result: RehearsalResult, form: dict[str, Any]) -> None:
    """Put what each arm breaks into the machine form."""
    form["arms"] = [
        {"arm": arm["arm"], "assumption_broken": ASSUMPTIONS[arm["arm"]], **arm}
        for arm in form["arms"]
    ]


def rehearsal_lines(result: RehearsalResult) -> list[tuple[str, bool]]:
    """The whole text: paragraphs, and the items of lists (True)."""
    sessions = result.filters.get("left_out")
    aside = Note("left_out", None, INFORMATION, {"sessions": sessions})
    before = [
        None if result.complete else stopped_early(result),
        counted_here(result.filters),
        says(aside) if sessions else None,
        *(says(note) for note in result.notes if note.code in OF_THE_LOG[1:]),
        opening(result),
        honesty(result),
        width(result),
        "A season like this settles, in favour of the better bait, one that is",
    ]
    lines = [(text, False) for text in before if text is not None]
    for arm in result.ladder:
        lines.append((f"{times_as_good(arm.ratio)}: {_settled(arm)}", True))
    lines.append((BROKEN, False))
    lines += [(arm_says(arm, result), True) for arm in result.arms]
    return lines + [(text, False) for text in beneath(result)]


def heading(result: RehearsalResult) -> str:
    """What a season like this can settle, for a bait that is twice as good."""
    twice = next(arm for arm in result.ladder if arm.ratio == 2.0)
    return f"If a bait is {times_as_good(2.0)}, a season like this settles it in {_settled(twice)}"


def _settled(arm: ArmResult) -> str:
    return share_said(arm.settled, arm.seasons, "cases")


def opening(result: RehearsalResult) -> str:
    """What was rehearsed."""
    return (
        f"Rehearsed: {count(result.own.seasons, 'season')} on your own schedule "
        f"({count(result.trips, 'trip')}, {count(result.stints, 'stint')}) in which "
        f"{result.variant} in truth catches {result.ratio:g} times as fast as {result.reference}."
    )


def honesty(result: RehearsalResult) -> str:
    """How often the interval held the truth, and how often a simple count would have."""
    own = result.own
    if not own.seasons:
        return "No season of this kind is done yet."
    return (
        "On your own season’s schedule, the interval held the truth in "
        f"{share_said(own.coverage, own.seasons, 'rehearsed seasons')}, and it is made to "
        "hold it in 95 of 100; counting every fish by itself would have in "
        f"{share_said(own.poisson_coverage, own.seasons)}."
    )


def width(result: RehearsalResult) -> str:
    """How wide the interval typically is, and how often it was open."""
    seasons, typical = result.own.seasons, result.own.median_width
    open_ones = result.own.no_limit
    if not seasons:
        return "How wide the interval is cannot be said yet."
    says = (
        "In most of these seasons the interval had no limit on one side"
        if typical is None
        else f"Typically its upper limit was {ratio(typical)} times its lower one"
    )
    if not open_ones:
        return f"{says}."
    if typical is not None:
        says += (
            f"; in {share_said(open_ones / seasons, seasons)} there was no limit on one side at all"
        )
    return f"{says}, which counts as holding the truth there."


def arm_says(arm: ArmResult, result: RehearsalResult) -> str:
    """One arm: both shares, the typical width, and whether the same-trip answer was lost."""
    seasons = arm.seasons
    name = arm_name(arm.arm, result.variant)
    if not seasons:
        return f"{name}: no season yet"
    wide = (
        "mostly without a limit on one side"
        if arm.median_width is None
        else f"limits {ratio(arm.median_width)} times apart"
    )
    says = (
        f"{name}: {share_said(arm.coverage, seasons)}; "
        f"every fish by itself {share_said(arm.poisson_coverage, seasons)}; {wide}"
    )
    lost = seasons - arm.same_trips
    if result.basis == SAME_TRIPS and lost:
        says += f"; no same-trip answer in {share_said(lost / seasons, seasons)}"
    return says


def beneath(result: RehearsalResult) -> list[str]:
    """What the seasons were made from, and what they cannot show."""
    trips = how_uneven(result.session_sd)
    if result.session_sd < FEW_DIFFERENCES:
        trips += (
            ", so that fishing by mood and far better trips have little to work with here; a "
            "longer log may show otherwise"
        )
    clumps = (
        ", and one bait’s fish of a trip come in clumps beside that"
        if result.clumping > NO_CLUMPS
        else ""
    )
    paragraphs = [
        f"Taken from your log for these seasons: {result.reference} takes "
        f"{fish_every(100.0 * result.rate)}; {trips}{clumps}. Baits other than "
        f"{result.variant} catch as {result.reference} does."
    ]
    if result.basis != SAME_TRIPS:
        paragraphs.append(
            "Your schedule has no same-trip answer for these two, so each season was judged over "
            "all trips, which cannot tell bait from day: the first of the broken assumptions shows "
            "what that costs. Fish both on the same trips."
        )
    return [*paragraphs, NO_ALL_CLEAR]


def stopped_early(result: RehearsalResult) -> str:
    """That the answer is a part of what was asked for, and how large a part."""
    others = [arm.seasons for arm in result.arms]
    others += [arm.seasons for arm in result.ladder if arm.ratio != result.ratio]
    least, most = min(others), max(others)
    each = f"{least}" if least == most else f"{least} to {most}"
    return (
        f"Stopped early: this rests on {number(result.own.seasons)} of the "
        f"{number(result.own.asked)} seasons asked for, and on {each} for each "
        "further ratio and each broken assumption."
    )


def picture_alt(result: RehearsalResult) -> str:
    """What the picture shows, for a reader who cannot see it."""
    held = [
        f"{arm_name(arm.arm, result.variant)}: {share_said(arm.coverage, arm.seasons)}"
        for arm in (result.own, *result.arms)
    ]
    settled = [
        f"seasons that settle a bait {times_as_good(arm.ratio)}: "
        f"{share_said(arm.settled, arm.seasons)}"
        for arm in result.ladder
    ]
    return alternative("How often the interval held the truth", [held[0], *settled, *held[1:]])


def picture_caption(result: RehearsalResult) -> str:
    """What the marks of the picture mean."""
    return (
        f"Invented seasons on your own schedule, {result.variant} against "
        f"{result.reference}, truth known. Above, how many of 100 intervals held a true ratio "
        f"of {result.ratio:g}: filled, ours; open, counting every fish by itself; the line "
        "stands at 95. Below, how many of 100 such seasons would put the better bait ahead. Thin "
        "lines: give or take, for the number of seasons rehearsed."
    )


def width_said(value: float | None) -> str:
    """A typical width for a table."""
    return MISSING if value is None else ratio(value)
