"""The opening sentence of an answer: one comparison in plain words.

The terminal, the page and a notebook open with the same words. Never "significant", never
"proved". A bait that is behind is never so many times "as slow": the sentence turns round and says
how much faster the reference is, estimate and limits alike, and gives the ratio as it stands in
the tables beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rodhours.evidence.result import Note
from rodhours.evidence.results import ALL_TRIPS, Comparison, ComparisonResult
from rodhours.evidence.verdicts import AHEAD, BEHIND, LEVEL, TOO_LITTLE, UNSETTLED, WIDEST, is_small
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
    month_name,
    number,
    ratio,
    some,
    the_count,
    times,
    word,
)

MOST_NAMED = 4
"""Of more baits than these, only those ahead or behind are named in the opening sentence."""

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
    said = [headline(one, result) for one in ranked(result)]
    if not said:
        return [nothing_to_compare([result.reference])]
    return said if len(said) == 1 else [tally(result), *said]


def ranked(result: ComparisonResult) -> list[Comparison]:
    """The comparisons by verdict, then the higher ratio first; without a ratio last."""
    verdicts = list(OPENINGS)
    return sorted(
        result.comparisons, key=lambda one: (verdicts.index(one.verdict), -(one.rate_ratio or 0.0))
    )


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

    What could explain the whole of it stands first. The margin decides when an `ahead` or
    `behind` is called small. Raises KeyError for an unknown verdict.
    """
    opening, found = OPENINGS[one.verdict], doubt(one, result)
    small = is_small(one.verdict, one.conf_low, one.conf_high, result.margin)
    if small:
        opening += ", but by little"
    trips = where(one)
    if found is not None:
        but, do = found
        opening += f", {'and' if small else 'but'} {but}: {do} before you believe it. "
        opening += trips[0].upper() + trips[1:]
    else:
        opening += f": {trips}"
    sentence = f"{opening}, {_caught(one, result)}"
    if one.verdict == LEVEL:
        within = margin_text(result.margin)
        sentence += f", so the two are within {within} times of each other either way"
    return f"{sentence}.{_all_trips_beside(one, result)}"


def doubt(one: Comparison, result: ComparisonResult) -> tuple[str, str] | None:
    """What could explain the whole of a verdict, and what to do about it; None where nothing could.

    `it was always on rod 2`, `swap rods`. Taken from the notes, the worst first.
    """
    if one.verdict not in (AHEAD, BEHIND, LEVEL):
        return None
    for note in result.notes:
        if note.variant == one.variant and _explains(note, one, result):
            return _DOUBTS[note.code](note, result.reference)
    return None


def _explains(note: Note, one: Comparison, result: ComparisonResult) -> bool:
    """Whether a finding alone could make the verdict: the limits over it would hold 1."""
    numbers = note.numbers
    if note.code in ("one_batch_carries", "red_letter_trip"):
        return bool(numbers.get("verdict_changes", True))
    if note.code not in _DOUBTS:
        return False
    alone = numbers["mix_ratio"]
    if alone is None:
        # The log cannot tell how much it does: all of the difference may be its doing.
        return True
    if numbers.get("by", "night") in result.adjusted_for:
        return False
    low, high = numbers.get("mix_low") or alone, numbers.get("mix_high") or alone
    if one.verdict == LEVEL:
        return bool(high > result.margin or low < 1 / result.margin)
    if one.verdict == AHEAD:
        return one.conf_low is not None and high >= one.conf_low
    return one.conf_high is not None and low <= one.conf_high


def _elsewhere(note: Note, reference: str) -> tuple[str, str]:
    """That a bait was fished elsewhere, or at other times, than the reference."""
    numbers, by = note.numbers, note.numbers["by"]
    if by == "water_temp_c":
        kind = "warmer" if numbers["mean"] > numbers["reference_mean"] else "colder"
        return f"it was fished in {kind} water", "fish them side by side"
    share, level = numbers["share"], str(numbers["level"])
    often = "always" if share > 0.99 else "mostly" if share > 0.5 else f"more than {reference}"
    if by in ("rod", "spot"):
        return f"it was {often} on {by} {level}", f"swap {by}s"
    place = f"in {month_name(level)}" if by == "month" else f"on {level}"
    return f"it was {often} {place}", "fish them side by side"


_DOUBTS: dict[str, Callable[[Note, str], tuple[str, str]]] = {
    "confounded": _elsewhere,
    "rods_not_rotated": _elsewhere,
    "night_and_day": lambda note, reference: (
        f"it had {'more' if note.numbers['share'] > note.numbers['reference_share'] else 'less'} "
        f"of the night than {reference}",
        "share the nights",
    ),
    "red_letter_trip": lambda note, _: (
        f"it hangs on one trip, {note.numbers['session']}",
        "fish on",
    ),
    "one_batch_carries": lambda note, _: (
        f"it hangs on one batch, {note.numbers['batch']}",
        "fish another",
    ),
}


def where(one: Comparison) -> str:
    """Which trips the answer comes from: `on the 31 trips that had both in the water`."""
    if one.basis == ALL_TRIPS:
        trips = "on the one trip there is"
        if one.sessions != 1:
            trips = f"over all {one.sessions:,} trips"
        return f"{trips}, which cannot tell bait from day"
    if one.shared_sessions == one.sessions:
        return f"on {the_count(one.sessions, 'trip')} that had both in the water"
    shared = f", {number(one.shared_sessions)} with both" if one.shared_sessions else ""
    return f"on {the_count(one.sessions, 'trip')} with two or more baits{shared}"


def _caught(one: Comparison, result: ComparisonResult) -> str:
    """What was caught, and the limits: the second half of the sentence."""
    variant, reference, margin = one.variant, result.reference, result.margin
    low, high, estimate = one.conf_low, one.conf_high, one.rate_ratio
    sure = f"with {confidence_level(result.confidence)} confidence"
    if not estimate:
        caught = (
            f"{variant} caught {count(one.fish, 'fish')} in {hours(one.rod_hours)} and "
            f"{reference} {count(one.reference_fish, 'fish')} in {hours(one.reference_rod_hours)}"
        )
        if not has_lower(low) and not exists(high):
            return f"{caught}; no ratio and no limit can be given"
        end, limit = ("at least", low) if has_lower(low) else ("at most", high)
        return f"{caught}; {sure} {variant} catches {end} {ratio(limit, margin)} times as fast"
    if one.verdict == BEHIND and high is not None and 0 < estimate < 1:
        turned = limits(1 / high, 1 / low if low else None, margin)
        return (
            f"{reference} caught {times(1 / estimate)} as fast as {variant}; {sure} {turned} (that "
            f"is, {variant} at {times(estimate)} the rate of {reference}, "
            f"{limits_short(low, high, margin)})"
        )
    caught = f"{variant} caught {times(estimate)} as fast as {reference}"
    if not has_lower(low) and not exists(high):
        return f"{caught}; no limit can be set on either side"
    return f"{caught}; {sure} {limits(low, high, margin)}"


def _all_trips_beside(one: Comparison, result: ComparisonResult) -> str:
    """The second sentence: the all-trips figure, where the same trips have too little to say."""
    beside = one.all_trips
    low, high = beside.conf_low, beside.conf_high
    if one.basis == ALL_TRIPS or one.verdict != TOO_LITTLE or not _tells(low, high):
        return ""
    said = f"{times(beside.rate_ratio)} ({limits_short(low, high)})"
    if not beside.rate_ratio:
        said = limits(low, high)
    return f" Over all {beside.sessions:,} trips it is {said}, which cannot tell bait from day."


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


def tally(result: ComparisonResult, numbers: bool = True) -> str:
    """Several comparisons in one finding, by verdict, best first, with what could explain them.

    `Against plain: not settled, pellet-20 at 1.18 times (0.53 to 2.38); too little to say, ...`;
    without `numbers` where they stand beside it.
    """
    every = ranked(result)
    few = len(every) <= MOST_NAMED
    clauses, counted = [], []
    for verdict in OPENINGS:
        alike = [one for one in every if one.verdict == verdict]
        if alike and (few or verdict in (AHEAD, BEHIND)):
            told = listed(_in_the_tally(one, result, numbers) for one in alike)
            clauses.append(f"{verdict_words(verdict)}, {told}")
        elif alike:
            counted.append(f"{word(len(alike))} {verdict_words(verdict)}")
    if not clauses:
        clauses.append(f"none of {word(len(every))} ahead or behind")
    if counted:
        clauses.append(listed(counted))
    return f"Against {result.reference}: {'; '.join(clauses)}."


def _in_the_tally(one: Comparison, result: ComparisonResult, numbers: bool) -> str:
    """`pellet-20 at 1.18 times (0.53 to 2.38)`, with what could explain it or what it lacks."""
    said = limits_short(one.conf_low, one.conf_high, result.margin)
    found = doubt(one, result)
    aside = [said if said != "none" else "no limits"] if numbers else []
    if one.basis == ALL_TRIPS:
        aside.append("over all trips")
    if found is not None:
        aside.append(f"but {found[0]}")
    name = f"{one.variant} at {times(one.rate_ratio)}" if numbers else one.variant
    return f"{name} ({', '.join(aside)})" if aside else name


def question(result: ComparisonResult) -> str:
    """What the page answers: `How did pellet-20 catch against plain?`"""
    if not result.comparisons:
        return "What does this trip log say?"
    who = some(one.variant for one in result.comparisons)
    return f"How did {who} catch against {result.reference}?"


def rest_on(result: ComparisonResult) -> str:
    """What several answers rest on: fish, rod-hours, trips, how many had both in the water.

    Counted are the reference and the baits whose answers have the better basis: the same trips,
    where there are such answers, else all trips.
    """
    same = [one for one in result.comparisons if one.basis != ALL_TRIPS]
    alone = [one.variant for one in result.comparisons if one.basis == ALL_TRIPS]
    told = same or list(result.comparisons)
    first = told[0]
    fish = first.reference_fish + sum(one.fish for one in told)
    spent = first.reference_rod_hours + sum(one.rod_hours for one in told)
    trips = "that had two or more of the compared baits in the water"
    if not same:
        trips = "that there are, which cannot tell bait from day"
    each = some(f"{one.variant} on {one.shared_sessions or 'none'}" for one in told)
    text = (
        f"This rests on {count(fish, 'fish')} in {hours(spent)} on "
        f"{the_count(first.sessions, 'trip')} {trips}. "
        f"Beside {result.reference} was {each} of them."
    )
    if same and alone:
        text += (
            f" The answer for {some(alone)} comes from all trips, which cannot tell bait from day."
        )
    return text
