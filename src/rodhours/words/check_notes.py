"""Texts of notes that fork more than a text with fields can say, in three parts for each code."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from rodhours.evidence.checks.confounding import MOST_UNSHARED, TEMPERATURE
from rodhours.evidence.result import Note
from rodhours.words.numbers import (
    MISSING,
    exists,
    limits,
    listed,
    month_name,
    number,
    percent,
    some,
    times,
)
from rodhours.words.parts import Parts

HARDLY = 1.05
"""A factor nearer to 1 than this hardly moves an answer."""
NARROW, TELLS_LITTLE = 1.25, 4.0
"""Limits within the first show that hardly anything moves; the second apart, they show nothing."""
_WHERE = {
    "month": "in months",
    "venue": "on waters",
    "rod": "on rods",
    TEMPERATURE: "in such water",
}
_PLACES = {
    "spot": "on spot {}",
    "month": "in {}",
    "venue": "on {}",
    "rod": "on rod {}",
    "season": "in {}",
    "angler": "for {}",
}
_DIVIDED = {
    "venue": ("water", "--venue"),
    "season": ("season", "--since and --until"),
    "angler": ("angler", "--angler"),
}


def _place(by: str, level: str) -> str:
    return _PLACES[by].format(month_name(level) if by == "month" else level)


def confounded(*notes: Note) -> Parts:
    """Rod-hours went to other months, waters, rods or water temperatures than the reference’s."""
    worst = _worst(notes)
    by, unshared = worst.numbers["by"], worst.numbers["unshared"]
    apart = unshared > MOST_UNSHARED
    moved = _by_the_mix(worst)
    if apart:
        moved = (
            f"{percent(unshared)} of {worst.variant}’s rod-hours were {_WHERE[by]} that had no "
            "other bait, so nothing can be said of them: how much that moves the answer, the log "
            "cannot tell."
        )
    mends = not apart and worst.numbers["difference"] is not None
    do = f"Try --adjust {by}." if mends else "No adjusting can mend that."
    return Parts(
        f"Rod-hours went elsewhere than the reference’s: {_shares(notes)}.",
        moved,
        f"{do} Fish them side by side on the same trips.",
    )


def _worst(notes: Sequence[Note]) -> Note:
    """The bait whose places alone would move its answer most; not knowable is worse still."""
    return max(
        notes,
        key=lambda note: (
            note.numbers.get("unshared", 0.0),
            abs(math.log(note.numbers["mix_ratio"])) if note.numbers["mix_ratio"] else math.inf,
        ),
    )


def _shares(notes: Sequence[Note]) -> str:
    """Where each bait had its rod-hours, beside the reference there."""
    return some(map(_share, notes))


def _share(note: Note) -> str:
    numbers = note.numbers
    if numbers["by"] == TEMPERATURE:
        mean, other = (number(numbers[name], 1) for name in ("mean", "reference_mean"))
        return f"{note.variant} in water of {mean} °C on average (the reference {other} °C)"
    share, beside = percent(numbers["share"]), percent(numbers["reference_share"])
    place = _place(numbers["by"], numbers["level"])
    return f"{note.variant} {share} {place} (the reference {beside})"


def _by_the_mix(note: Note) -> str:
    """What the places alone would do, as far as the other baits can show it."""
    factor, low, high = (note.numbers[name] for name in ("mix_ratio", "mix_low", "mix_high"))
    if not exists(factor) or high / low > TELLS_LITTLE:
        return (
            "How much that moves the answer cannot be said: other baits caught too little there "
            "to go by."
        )
    why = "Going by what other baits caught there, that alone would"
    if low > 1 / NARROW and high < NARROW and 1 / HARDLY < factor < HARDLY:
        return f"{why} hardly move the answer."
    over = " over all trips" if note.numbers["constant_within_trips"] else ""
    return (
        f"{why} make {note.variant} look {times(factor)} as fast as the reference{over} "
        f"({limits(low, high)})."
    )


def rods_not_rotated(*notes: Note) -> Parts:
    """Baits that did not take turns with the reference on the rods, or on the spots."""
    worst = _worst(notes)
    by = worst.numbers["by"]
    level = f"{by} {worst.numbers['level']}"
    return Parts(
        f"On the trips that had both, rod-hours lay apart: {_shares(notes)}.",
        _moved(worst, worst.numbers["level_ratio"], level, "the others"),
        f"Swap {by}s from trip to trip; try --adjust {by}.",
    )


def night_and_day(note: Note) -> Parts:
    """A bait was fished more by night, or less, than the reference on the same trips."""
    variant, numbers = note.variant, note.numbers
    return Parts(
        f"{variant} and the reference did not share the nights: on the trips that had both, "
        f"{percent(numbers['share'])} of {variant}’s rod-hours were in darkness, "
        f"{percent(numbers['reference_share'])} of the reference’s.",
        _moved(note, numbers["night_ratio"], "darkness", "light"),
        "Fish both through the same hours, and see whether the answer changes with --adjust night.",
    )


def _moved(note: Note, rate: float | None, better: str, rest: str) -> str:
    """What a better rod or time would do, against the rest of them."""
    if rate is None or not exists(rate) or not exists(note.numbers["mix_ratio"]):
        return (
            f"Whether {better} is better cannot be told from this log, so all of the difference "
            "may come from that."
        )
    if 1 / HARDLY < rate < HARDLY:
        return f"With the same bait on, {better} caught about as fast as {rest}; it may not matter."
    if rate < 1:
        better, rest, rate = rest, better, 1 / rate
    return (
        f"With the same bait on, {better} caught {times(rate)} as fast as {rest}; that alone "
        f"would make {note.variant} look {times(note.numbers['mix_ratio'])} as fast as the "
        "reference."
    )


def ratios_disagree(note: Note) -> Parts:
    """The ratio differs by water, season or angler."""
    by, option = _DIVIDED[note.numbers["by"]]
    each = listed(
        f"{times(one['ratio'])} {_place(note.numbers['by'], one['level'])}"
        for one in note.numbers["levels"]
    )
    opposite = ": they point opposite ways, so it holds for none"
    return Parts(
        f"{note.variant} against the reference differs by {by} more than chance would often make "
        f"it: {each}.",
        f"The one answer is an average over them{opposite if note.numbers['opposite'] else ''}.",
        f"Ask for each by itself, with {option}.",
    )


def one_batch_each(*notes: Note) -> Parts:
    """Baits that were fished from one batch."""
    single = [str(note.variant) for note in notes if note.numbers["batches"] == 1]
    if any(note.numbers["reference_batches"] == 1 for note in notes):
        single.append("the reference")
    return Parts(
        f"Fished from one batch only: {some(single)}.",
        "What was special to that batch counts as the recipe’s here, and one batch cannot show "
        "how much that is.",
        "Make another batch to the same recipe, and log which one was on.",
    )


def recipes_differ(*notes: Note, reference: str = "the reference") -> Parts:
    """Baits whose recipe differs from the reference's in several things."""
    each = some(
        f"{note.variant} in {listed(map(recipe_difference, note.numbers['columns']))}"
        for note in notes
    )
    return Parts(
        f"More than one thing differs from the recipe of {reference}: {each}.",
        "An answer is for all of it together and cannot say which thing made the difference, or "
        "whether one hides another.",
        "Compare with a bait that differs in the one thing you want to know, or make one.",
    )


def recipe_difference(difference: Mapping[str, Any]) -> str:
    """One column with the variant's value and the reference's: `boil_s (120 against 90)`."""
    value, reference = (recipe_value(difference[name]) for name in ("variant", "reference"))
    return f"{difference['column']} ({value} against {reference})"


def recipe_value(value: str | float | None) -> str:
    """A cell of a recipe: `16`, `12.5`, `birdseed`, a dash where it is not recorded."""
    if value is None:
        return MISSING
    return value if isinstance(value, str) else f"{value:,.10g}"


FORKED: dict[str, Callable[..., Parts]] = {
    "confounded": confounded,
    "night_and_day": night_and_day,
    "one_batch_each": one_batch_each,
    "ratios_disagree": ratios_disagree,
    "recipes_differ": recipes_differ,
    "rods_not_rotated": rods_not_rotated,
}
