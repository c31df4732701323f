"""The words of a rehearsal: how often the interval held the truth, what such a season settles.

Works from the machine form of a rehearsal. Every share is said of 100 and with its give or take:
the half-width of its own 95 % interval, since only so many seasons were rehearsed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.wording.fish_counted import counted_here
from rodhours.wording.history import sessions_left_out
from rodhours.wording.numbers import MISSING, count, fish_every, number, ratio

ASSUMPTIONS = {
    "own": "none",
    "mood": "which bait goes in does not depend on how good the trip looks",
    "takes_differ": "a bait is better by the same factor on every trip",
    "clumps_by_rod": "all rods with one bait on one trip share their clumps",
    "rare_great_trips": "great trips are as rare as a bell-shaped curve makes them",
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
_FEW_DIFFERENCES = 0.05
_NO_CLUMPS = 0.01
_QUANTILE = 1.959964


def arm_name(arm: str, variant: str) -> str:
    """An arm as an angler would say it."""
    return {
        "own": "as the model supposes",
        "mood": f"{variant} put on when the trip looks good",
        "takes_differ": "takes that differ from trip to trip",
        "clumps_by_rod": "clumps by rod",
        "rare_great_trips": "now and then a far better trip",
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


def rehearsal_lines(result: Mapping[str, Any]) -> list[tuple[str, bool]]:
    """The whole text of `RehearsalResult.to_dict()`: paragraphs, and the items of lists (True)."""
    parts: list[tuple[str, bool]] = []
    if not result["complete"]:
        parts.append((stopped_early(result), False))
    counted = counted_here(result.get("filters", {}))
    if counted is not None:
        parts.append((counted, False))
    aside = result.get("filters", {}).get("left_out")
    if aside:
        parts.append((sessions_left_out(aside).joined, False))
    parts += [(opening(result), False), (honesty(result), False), (width(result), False)]
    parts.append(("A season like this settles, in favour of the better bait, one that is", False))
    for key, share in result["settled"].items():
        said = share_said(share, result["settled_seasons"][key], "cases")
        parts.append((f"{times_as_good(float(key))}: {said}", True))
    parts.append((broken(), False))
    parts += [(arm_said(one, result), True) for one in result["arms"]]
    parts += [(text, False) for text in beneath(result)]
    return parts


def heading(result: Mapping[str, Any]) -> str:
    """What a season like this can settle, for a bait that is twice as good."""
    share, seasons = result["settled"]["2"], result["settled_seasons"]["2"]
    return (
        f"If a bait is {times_as_good(2.0)}, a season like this settles it in "
        f"{share_said(share, seasons, 'cases')}"
    )


def opening(result: Mapping[str, Any]) -> str:
    """What was rehearsed."""
    return (
        f"Rehearsed: {count(result['seasons'], 'season')} on your own schedule "
        f"({count(result['trips'], 'trip')}, {count(result['stints'], 'stint')}) in which "
        f"{result['variant']} in truth catches {result['ratio']:g} times as fast as "
        f"{result['reference']}."
    )


def honesty(result: Mapping[str, Any]) -> str:
    """How often the interval held the truth, and how often a simple count would have."""
    seasons = result["seasons"]
    if not seasons:
        return "No season of this kind is done yet."
    return (
        "On your own season’s schedule, the interval held the truth in "
        f"{share_said(result['coverage'], seasons, 'rehearsed seasons')}, and it is made to hold "
        "it in 95 of 100; counting every fish by itself would have in "
        f"{share_said(result['poisson_coverage'], seasons)}."
    )


def width(result: Mapping[str, Any]) -> str:
    """How wide the interval typically is, and how often it was open."""
    seasons, open_ones, typical = result["seasons"], result["no_limit"], result["median_width"]
    if not seasons:
        return "How wide the interval is cannot be said yet."
    said = (
        "In most of these seasons the interval had no limit on one side"
        if typical is None
        else f"Typically its upper limit was {ratio(typical)} times its lower one"
    )
    if not open_ones:
        return f"{said}."
    if typical is not None:
        said += (
            f"; in {share_said(open_ones / seasons, seasons)} there was no limit on one side at all"
        )
    return f"{said}, which counts as holding the truth there."


def broken() -> str:
    """What the list of arms is."""
    return (
        "Where the seasons are not as the model supposes, its interval held the truth (and "
        "counting every fish by itself would have) in"
    )


def arm_said(arm: Mapping[str, Any], result: Mapping[str, Any]) -> str:
    """One arm: both shares, the typical width, and whether the same-trip answer was lost."""
    seasons = arm["seasons"]
    name = arm_name(arm["arm"], result["variant"])
    if not seasons:
        return f"{name}: no season yet"
    typical = arm["median_width"]
    wide = (
        "mostly without a limit on one side"
        if typical is None
        else f"limits {ratio(typical)} times apart"
    )
    said = (
        f"{name}: {share_said(arm['coverage'], seasons)}; "
        f"every fish by itself {share_said(arm['poisson_coverage'], seasons)}; {wide}"
    )
    lost = seasons - arm["same_trips"]
    if result["basis"] == "same trips" and lost:
        said += f"; no same-trip answer in {share_said(lost / seasons, seasons)}"
    return said


def beneath(result: Mapping[str, Any]) -> list[str]:
    """What the seasons were made from, and what they cannot show."""
    truth, reference = result["truth"], result["reference"]
    s = truth["session_sd"]
    trips = (
        "trips hardly differ, so that fishing by mood and far better trips have little to work "
        "with here; a longer log may show otherwise"
        if s < _FEW_DIFFERENCES
        else f"one trip in six is more than {ratio(math.exp(s))} times as good as a usual one"
    )
    clumps = (
        ", and one bait’s fish of a trip come in clumps beside that"
        if truth["clumping"] > _NO_CLUMPS
        else ""
    )
    paragraphs = [
        f"Taken from your log for these seasons: {reference} takes "
        f"{fish_every(truth['reference_per_100_rod_hours'])}; {trips}{clumps}. Baits other than "
        f"{result['variant']} catch as {reference} does."
    ]
    if result["basis"] != "same trips":
        paragraphs.append(
            "Your schedule has no same-trip answer for these two, so each season was judged over "
            "all trips, which cannot tell bait from day: the first of the broken assumptions shows "
            "what that costs. Fish both on the same trips."
        )
    return [*paragraphs, NO_ALL_CLEAR]


def stopped_early(result: Mapping[str, Any]) -> str:
    """That the answer is a part of what was asked for, and how large a part."""
    others = [one["seasons"] for one in result["arms"]] + [
        seasons
        for key, seasons in result["settled_seasons"].items()
        if float(key) != result["ratio"]
    ]
    least, most = min(others), max(others)
    each = f"{least}" if least == most else f"{least} to {most}"
    return (
        f"Stopped early: this rests on {number(result['seasons'])} of the "
        f"{number(result['seasons_asked'])} seasons asked for, and on {each} for each "
        "further ratio and each broken assumption."
    )


def picture_alt(result: Mapping[str, Any]) -> str:
    """What the picture shows, for a reader who cannot see it."""
    held = "; ".join(
        f"{arm_name(one['arm'], result['variant'])}: "
        f"{share_said(one['coverage'], one['seasons'])}, "
        f"counting every fish by itself {share_said(one['poisson_coverage'], one['seasons'])}"
        for one in rows_of(result)
    )
    settled = "; ".join(
        f"{times_as_good(float(key))}: {share_said(share, result['settled_seasons'][key])}"
        for key, share in result["settled"].items()
    )
    return (
        f"Rehearsed seasons on the log’s own schedule. The interval held the truth, {held}. "
        f"Seasons that settle a bait that is {settled}."
    )


def picture_caption(result: Mapping[str, Any]) -> str:
    """What the marks of the picture mean."""
    return (
        f"Invented seasons on your own schedule, {result['variant']} against "
        f"{result['reference']}, truth known. Above, how many of 100 intervals held a true ratio "
        f"of {result['ratio']:g}: filled, ours; open, counting every fish by itself; the line "
        "stands at 95. Below, how many of 100 such seasons would put the better bait ahead. Thin "
        "lines: give or take, for the number of seasons rehearsed."
    )


def rows_of(result: Mapping[str, Any]) -> Sequence[Mapping[str, Any]]:
    """The model's own seasons and the arms, in one form."""
    own = {key: result[key] for key in ("seasons", "coverage", "poisson_coverage", "median_width")}
    return [{"arm": "own", **own}, *result["arms"]]


def width_said(value: float | None) -> str:
    """A typical width for a table."""
    return MISSING if value is None else ratio(value)
