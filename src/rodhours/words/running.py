"""The words about looking after every trip: the running interval beside the fixed one.

What the running interval holds is measured on simulated seasons and is no theorem for this model,
and the words say so.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.evidence.results import SAME_TRIPS
from rodhours.evidence.running_result import (
    FEW_FISH,
    FEW_TRIPS,
    NO_FIT,
    NO_SAME_TRIPS,
    Look,
    RunningComparison,
    RunningResult,
)
from rodhours.evidence.stated_end import FIRST_LOOK
from rodhours.evidence.verdicts import FEWEST_FISH
from rodhours.words.numbers import (
    MISSING,
    confidence_level,
    count,
    exists,
    for_all,
    has_lower,
    limits,
    limits_short,
    listed,
    ratio,
    some,
    the_count,
    times,
    word,
)
from rodhours.words.parts import alternative

TRIPS_AXIS = "trips so far"
WHY_MISSING = {
    FEW_FISH: f"fewer than {FEWEST_FISH} fish on the two, or none on one",
    FEW_TRIPS: "too few trips",
    NO_FIT: "no fit with both limits",
    NO_SAME_TRIPS: "no same-trip answer",
}
TABLE_HEADING = (
    "trip",
    "date",
    "fish",
    "reference fish",
    "ratio",
    "running limits",
    "fixed limits",
)
"""Over the looks at one variant: its own fish so far, then those of the reference."""
FARTHEST = 1_000
"""No bait catches so many times as fast; early looks can say so all the same. Estimates, and
limits in a picture, are given up to here."""
NO_LIMIT = 100_000
"""A limit so far off limits nothing, and where exactly it lies is a matter of rounding."""


def sentences(running: RunningResult) -> list[str]:
    """What was found of each variant, then how to use it."""
    found_of_each = [found(one, running) for one in running.comparisons]
    return [*found_of_each, *how_to_use(running)] if found_of_each else []


def found(comparison: RunningComparison, running: RunningResult) -> str:
    """What the looks at one variant show, in a few sentences."""
    variant, reference, margin = comparison.variant, running.reference, running.margin
    if not comparison.shown:
        return none_yet([comparison])[0]
    last, since = comparison.shown[-1], comparison.first_trip or 1
    where = "on the" if comparison.basis == SAME_TRIPS else "over"
    low, high = last.conf_low, last.conf_high
    bounded = f"is {limits(low, high, margin)}"
    if not has_lower(low) and not exists(high):
        bounded = "has no limit on either side yet"
    text = (
        f"{_leaves_out_one(comparison, running)} After trip {last.trip:,} "
        f"{variant} caught {times(last.rate_ratio)} as fast as {reference}, {where} "
        f"{comparison.basis}: with {confidence_level(running.confidence)} confidence the running "
        f"interval {bounded}, the fixed one is {limits(last.fixed_low, last.fixed_high, margin)}."
    )
    if since > 1 and running.every_trip:
        text += f" There has been an interval since trip {since:,}."
    return text


def none_yet(comparisons: Sequence[RunningComparison]) -> list[str]:
    """The baits that have no running interval yet, by what keeps each from it."""
    reasons: dict[str, list[str]] = {}
    for one in comparisons:
        if not one.shown:
            reasons.setdefault(WHY_MISSING[one.looks[-1].missing or NO_FIT], []).append(one.variant)
    return [f"No running interval yet for {some(names)}: {why}." for why, names in reasons.items()]


def _leaves_out_one(comparison: RunningComparison, running: RunningResult) -> str:
    """Whether and since when the running interval has left out 1, and where it went back."""
    since, low, high = comparison.excluded_one_since, comparison.low_so_far, comparison.high_so_far
    if since is None:
        seen = "at none of the looks" if running.every_trip else "at none of the looks taken"
        return f"Nothing is settled yet: the running interval has left out 1 {seen}."
    by = "since" if running.every_trip else "by the look after"
    text = f"The running interval has excluded 1 {by} trip {since:,}"
    if low is not None and high is not None and low > high:
        return (
            f"{text}, but the intervals of this season contradict each other: something changed "
            "while it lasted, and no one ratio fits it."
        )
    way = "faster" if low is not None and low > 1 else "slower"
    text += f": {comparison.variant} is the {way} of the two"
    if comparison.shown[-1].side == 0:
        return (
            f"{text}. It has come to hold 1 again, which happens by luck and also when baits or "
            f"waters change: fish on beside {running.reference} before you rely on it."
        )
    return f"{text}."


def how_to_use(running: RunningResult, whole: bool = True) -> list[str]:
    """What the difference between the two intervals is, and what one may do with each.

    Where not `whole`, without what the running interval is measured to hold.
    """
    running_one = (
        "Look at the running interval after every trip, and stop or go on because of it."
        if running.until_trip is None
        else _until_stated(running.until_trip, running.trips)
    )
    texts = [
        f"{running_one} The fixed one is right only at an end that was decided beforehand; looked "
        "at after every trip it is wrong far more often than it says."
    ]
    measured = [
        "The running interval is made to hold the true ratio at every trip of "
        f"{confidence_level(running.confidence)} of seasons{for_all(running.family)}. That is "
        "measured on simulated seasons (trips that differ, clumps, a favourite fished when it "
        "looks good), where it held in more than that; it is not a theorem for this model. A bait "
        "or a water that changes under way is outside of it.",
        "Ask about the same baits on the same trips at every look (name them, and --basis): "
        "an allowance for looks at one question does not cover a choice among several.",
    ]
    texts += measured if whole else []
    undated, trips = running.undated, running.trips
    if undated:
        texts.append(
            f"Of {the_count(trips, 'trip')} {undated:,} without a date come last, in the order of "
            "their labels, which is a guess."
        )
    if not running.every_trip:
        texts.append(
            f"Only {_most_looks(running):,} of {the_count(trips, 'trip')} were looked at here, "
            "spread evenly, the last one always."
        )
    return texts


def stated(until_trip: int, trips: int) -> str:
    """An end that is stated, before there is a look."""
    return (
        f"Stated in the logbook: you look after every trip from trip {FIRST_LOOK} to trip "
        f"{until_trip:,}, and not after. So far there are {trips:,}. Ask the same question again "
        f"from trip {FIRST_LOOK} on; until then any look, at whatever answer, spoils it."
    )


def _until_stated(until_trip: int, trips: int) -> str:
    """What the interval to a stated end is for."""
    text = (
        f"The running interval here is narrower, because trip {until_trip:,} was stated as the "
        f"last one before the first look. Look after every trip from trip {FIRST_LOOK} to "
        f"that one and stop when you like, but not later than it."
    )
    if trips > until_trip:
        text += (
            f" That is past: of {the_count(trips, 'trip')} the first {until_trip:,} are looked at, "
            "and the answer at the top, from all of them, is no look of these."
        )
    return text


def _most_looks(running: RunningResult) -> int:
    return max(len(one.looks) for one in running.comparisons)


def table_row(look: Look, margin: float) -> list[str]:
    """One look as cells under TABLE_HEADING."""
    cells = [f"{look.trip:,}", look.date or "no date", f"{look.fish:,}", f"{look.reference_fish:,}"]
    if look.missing is not None:
        return [*cells, MISSING, WHY_MISSING[look.missing], ""]
    return [
        *cells,
        _within_reason(look.rate_ratio),
        _limits(look.conf_low, look.conf_high, margin),
        _limits(look.fixed_low, look.fixed_high, margin),
    ]


def _limits(low: float | None, high: float | None, margin: float) -> str:
    """Limits for the table, without one that limits nothing."""
    return limits_short(
        low if low is not None and low >= 1 / NO_LIMIT else None,
        high if high is not None and high <= NO_LIMIT else None,
        margin,
    )


def _within_reason(value: float | None, margin: float | None = None) -> str:
    """A ratio, but none that ran away on a handful of fish: it has no digits worth reading."""
    if value is not None and value > FARTHEST:
        return f"over {FARTHEST:,}"
    if value is not None and 0 < value < 1 / FARTHEST:
        return f"under {1 / FARTHEST:g}"
    return ratio(value, margin)


def thinned(shown: int, of: int) -> str:
    """Under a table that has some of the looks alone."""
    return f"{shown:,} of {count(of, 'look')}, spread evenly (--all-notes)."


def trips_between(first: str | None, last: str | None) -> str:
    """Under the trips: what they count, and from when to when."""
    return TRIPS_AXIS if first is None or last is None else f"{TRIPS_AXIS}, {first} to {last}"


def end_labels(look: Look, margin: float) -> list[tuple[int, float | None, str]]:
    """Names at the end of the lines, from the top: side of the line, its value, its words."""

    def limit(value: float | None, name: str) -> str:
        return f"{_within_reason(value, margin) if exists(value) else 'no limit'} {name}"

    return [
        (1, look.conf_high, limit(look.conf_high, "running")),
        (1, look.fixed_high, limit(look.fixed_high, "fixed")),
        (0, look.rate_ratio, times(look.rate_ratio)),
        (-1, look.fixed_low, limit(look.fixed_low, "fixed")),
        (-1, look.conf_low, limit(look.conf_low, "running")),
    ]


def growth_heading(running: RunningResult) -> str:
    """How the evidence grew, as a finding."""
    if not any(one.shown for one in running.comparisons):
        return "Too little so far to look at trip by trip"
    told = [one for one in running.comparisons if one.basis == SAME_TRIPS]
    if not told:
        return "Trip by trip only all trips can be looked at, which cannot tell bait from day"
    settled = [one for one in told if one.excluded_one_since is not None]
    if not settled:
        # The page's first answer may be settled all the same: it supposes one look, at the end.
        at_the_end = [one.variant for one in told if one.looks[-1].fixed_side]
        if at_the_end:
            return (
                f"{listed(at_the_end)}: settled if you look once, at an end fixed beforehand, "
                "but not yet if you look after every trip"
            )
        return f"After {count(running.trips, 'trip')} of looking, nothing is settled yet"
    first = min(settled, key=lambda one: one.excluded_one_since or 0)
    way = "ahead" if first.low_so_far is not None and first.low_so_far > 1 else "behind"
    by = "since" if running.every_trip else "by"
    text = f"{first.variant} has been {way} {by} trip {first.excluded_one_since:,}"
    if len(settled) > 1:
        text += f", and {word(len(settled) - 1)} more settled after it"
    return f"{text}, however often one looked"


def growth_alt(drawn: Sequence[RunningComparison], running: RunningResult) -> str:
    """What the picture shows: where each line and both bands began and ended."""
    margin = running.margin
    parts = [
        f"{one.variant} {times(last.rate_ratio)} as fast as {running.reference}, running interval "
        f"{limits(last.conf_low, last.conf_high, margin)}, fixed "
        f"{limits(last.fixed_low, last.fixed_high, margin)}"
        for one in drawn
        if (last := one.shown[-1])
    ]
    return alternative(
        f"Rate ratios after each of {count(running.trips, 'trip')}, at the end", parts
    )


def growth_caption(running: RunningResult, left_out: int) -> str:
    """How to read the picture."""
    text = (
        "The line is the ratio after each trip. The outer band is the "
        f"{confidence_level(running.confidence)} running interval: look at it after every trip, "
        "and stop or go on because of it. The inner, dashed one is the fixed interval of the rest "
        "of this page: right only at a trip chosen before the fish spoke."
    )
    if any(not look.has_interval for one in running.comparisons for look in one.looks):
        text += " Where there is no band, the trips so far gave no answer; the numbers say why."
    if left_out:
        text += f" {count(left_out, 'further variant').capitalize()} stand in the table alone."
    if not running.every_trip:
        text += f" {_most_looks(running):,} looks are drawn of {count(running.trips, 'trip')}."
    return text
