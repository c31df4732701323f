"""What the checks of a log and of its recipes found: one text of three parts for each code."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from rodhours.counts import trip_named
from rodhours.evidence.checks.confounding import MOST_UNSHARED, TEMPERATURE
from rodhours.evidence.result import Note
from rodhours.words.answer import verdict_words
from rodhours.words.numbers import (
    MISSING,
    count,
    exists,
    limits,
    limits_short,
    listed,
    month_name,
    number,
    percent,
    ratio,
    some,
    times,
)
from rodhours.words.parts import Parts

MOST_NAMED = 5
"""More missing numbers than this are counted, not named."""
MOST_BAITS = 4
"""More baits than this are counted, not told of, where one thing holds for several."""
FURTHER_CLUMPS = 0.05
"""Clumping of one bait on one trip below this is none worth a word."""
HARDLY = 1.05
"""A factor nearer to 1 than this hardly moves an answer."""
NARROW, TELLS_LITTLE = 1.25, 4.0
"""Limits within the first show that hardly anything moves; the second apart, they show nothing."""


def red_letter_trip(*notes: Note) -> Parts:
    """One trip without which the answer would be another; of several baits the first in full."""
    first, *others = notes
    variant, numbers = first.variant, first.numbers
    fish, other = numbers["fish"], numbers["reference_fish"]
    before, after = numbers["verdict"], numbers["verdict_without"]
    turns = (
        f", from “{verdict_words(before)}” to “{verdict_words(after)}”"
        if numbers["verdict_changes"]
        else ""
    )
    low, high = numbers["conf_low_without"], numbers["conf_high_without"]
    found = (
        f"The answer for {variant} hangs on one trip: {_trip(first)}, {count(fish, 'fish')} "
        f"against {number(other) if other else 'none'} on the reference."
    )
    if others:
        found += f" So do: {some(f'{one.variant} on {_trip(one)}' for one in others)}."
    return Parts(
        found,
        f"Without {'it' if not others else 'the first'} the ratio is "
        f"{ratio(numbers['rate_ratio_without'])} ({limits_short(low, high)}) instead of "
        f"{ratio(numbers['rate_ratio'])}{turns}.",
        "Check its entry, leave it in, and fish on.",
    )


def _trip(note: Note) -> str:
    """The trip of a note, with its date where it is known."""
    date = f" ({note.numbers['date']})" if note.numbers["date"] else ""
    return f"{trip_named(note.numbers['session'], note.numbers['angler'])}{date}"


def clumping(note: Note) -> Parts:
    """How clumped the catch is, and what that costs in certainty."""
    good, within = note.numbers["good_trip"], note.numbers["clumping"]
    if good >= 1.1:
        found = f"Fish came in clumps: a good trip gives {number(good, 1)} times a usual one"
        found += (
            ", and one bait on one trip has its own runs beyond that"
            if within >= FURTHER_CLUMPS
            else ""
        )
    else:
        found = (
            "Fish came in clumps: trips hardly differ, but one bait on one trip has its own runs, "
            "several fish or none"
        )
    width = note.numbers["width_ratio"]
    if not exists(width):
        wider = (
            "How much wider that makes the limits cannot be said here, because one of them is "
            "missing."
        )
    elif width < HARDLY:
        wider = "Here that hardly widens the limits."
    else:
        wider = (
            f"The limits allow for it: they are {number(width, 1 if width >= 1.1 else 2)} times as "
            "far apart (as ratios) as if every fish came by itself."
        )
    return Parts(f"{found}.", wider, "More trips help; more rods on the same trips do much less.")


def unlogged_blanks(note: Note) -> Parts:
    """Blanks seem to be missing."""
    variant, numbers = note.variant, note.numbers
    missing = round(numbers["missing"])
    gone = f"about {count(missing, 'trip')}" if missing else "hardly one trip"
    before, after = numbers["rate_ratio"], numbers["rate_ratio_corrected"]
    if exists(before) and exists(after):
        moved = (
            f"All catch rates are too high by it. With those trips allowed for, {variant} over all "
            f"trips would come out at {times(after)} the reference’s rate instead of "
            f"{times(before)}."
        )
    else:
        moved = (
            "All catch rates are too high by it; what it does to a comparison cannot be said here."
        )
    return Parts(
        "Blanks seem to be missing from the log: trips that catch as these do would bring more. "
        f"It looks as if {percent(numbers['logged_share'])} of the blanks were written down and "
        f"{gone} left out.",
        moved,
        "Write down every trip, the blanks above all, and add those you can still find. If none "
        "was left out, take it that your trips differ less than they seem to.",
    )


def confounded(*notes: Note) -> Parts:
    """Rod-hours went to other months, waters, rods or water temperatures than the reference’s."""
    worst = _worst(notes)
    variant, numbers = worst.variant, worst.numbers
    by, found = numbers["by"], f"{_shares(notes)}."
    do = "Fish {} side by side on the same trips."
    do = do.format("the two" if len(notes) == 1 else "them and the reference")
    if numbers["difference"] is None and len(notes) == 1 and by in _KINDS:
        found += f" The two have no {_KINDS[by]} in common."
    unshared = numbers["unshared"]
    if unshared > MOST_UNSHARED:
        its = "its" if len(notes) == 1 else f"{variant}’s"
        return Parts(
            found,
            f"{percent(unshared)} of {its} rod-hours were {_WHERE[by]} that had no other bait, so "
            "nothing can be said of them: how much that moves the answer, the log cannot tell.",
            f"No adjusting can mend that. {do}",
        )
    if numbers["difference"] is None:
        return Parts(found, _by_the_mix(worst), f"No adjusting can mend that. {do}")
    return Parts(found, _by_the_mix(worst), f"Try --adjust {by}. {do}")


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
    texts = [_share(note, first=not place) for place, note in enumerate(notes)]
    return "; ".join([*texts[:MOST_BAITS], *_more(len(texts) - MOST_BAITS)])


def _share(note: Note, *, first: bool) -> str:
    numbers = note.numbers
    if numbers["by"] == TEMPERATURE:
        mean, other = numbers["mean"], numbers["reference_mean"]
        kind = "warmer" if mean > other else "colder"
        return (
            f"{note.variant} was fished in {kind} water than the reference: {number(mean, 1)} °C "
            f"against {number(other, 1)} °C on average"
        )
    share, place = percent(numbers["share"]), _PLACES[numbers["by"]](numbers["level"])
    beside = percent(numbers["reference_share"])
    if first:
        return f"{note.variant} had {share} of its rod-hours {place}, the reference {beside}"
    return f"{note.variant} {share} {place} ({beside})"


def _more(left: int) -> list[str]:
    return [f"{left:,} more baits alike" if left > 1 else "one more alike"] if left > 0 else []


def _by_the_mix(note: Note) -> str:
    """What the places alone would do, as far as the other baits can show it."""
    factor, low, high = (note.numbers[name] for name in ("mix_ratio", "mix_low", "mix_high"))
    if not exists(factor):
        return "How much that moves the answer cannot be said: no other bait caught anything."
    if high / low > TELLS_LITTLE:
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


_WHERE = {
    "month": "in months",
    "venue": "on waters",
    "rod": "on rods",
    TEMPERATURE: "in such water",
}
_KINDS = {"month": "month", "venue": "water", "rod": "rod"}
_PLACES: dict[str, Callable[[str], str]] = {
    "spot": lambda level: f"on spot {level}",
    "month": lambda level: f"in {month_name(level)}",
    "venue": lambda level: f"on {level}",
    "rod": lambda level: f"on rod {level}",
    "season": lambda level: f"in {level}",
    "angler": lambda level: f"for {level}",
}


def rods_not_rotated(*notes: Note) -> Parts:
    """Baits that did not take turns with the reference on the rods, or on the spots."""
    worst = _worst(notes)
    by, level = worst.numbers["by"], f"{worst.numbers['by']} {worst.numbers['level']}"
    moved = _moved(
        worst,
        worst.numbers["level_ratio"],
        f"Whether {level} is a better one cannot be told from this log, so all of the difference "
        f"may be the {by}’s.",
        (level, "the others", f"the other {by}s"),
    )
    return Parts(
        f"On the trips that had both, {_shares(notes)}.",
        moved,
        f"Swap {by}s from trip to trip; try --adjust {by}.",
    )


def _moved(note: Note, rate: float | None, cannot: str, names: tuple[str, str, str]) -> str:
    """What a better rod or time would do; `names` are it and the rest, behind it and before it."""
    level, rest, ahead = names
    if rate is None or not exists(rate) or not exists(note.numbers["mix_ratio"]):
        return cannot
    if 1 / HARDLY < rate < HARDLY:
        return f"With the same bait on, {level} caught about as fast as {rest}; it may not matter."
    which = f"{level} caught {times(rate)} as fast as {rest}"
    if rate < 1:
        which = f"{ahead} caught {times(1 / rate)} as fast as {level}"
    return (
        f"With the same bait on, {which}; that alone would make {note.variant} look "
        f"{times(note.numbers['mix_ratio'])} as fast as the reference."
    )


def ratios_disagree(note: Note) -> Parts:
    """The ratio differs by water, season or angler."""
    variant, numbers = note.variant, note.numbers
    by, option = _DIVIDED[numbers["by"]]
    each = listed(
        f"{times(one['ratio'])} {_PLACES[numbers['by']](one['level'])}" for one in numbers["levels"]
    )
    found = (
        f"{variant} against the reference differs by {by} more than chance would often make it: "
        f"{each}."
    )
    if numbers["opposite"]:
        meaning = "They point opposite ways, so that the one answer, their average, holds for none."
    else:
        meaning = "The one answer is an average over them."
    return Parts(found, meaning, f"Ask for each by itself, with {option}.")


_DIVIDED = {
    "venue": ("water", "--venue"),
    "season": ("season", "--since and --until"),
    "angler": ("angler", "--angler"),
}


def night_and_day(note: Note) -> Parts:
    """A bait was fished more by night, or less, than the reference on the same trips."""
    variant, numbers = note.variant, note.numbers
    cannot = "Whether darkness is the better time cannot be told from this log."
    moved = _moved(note, numbers["night_ratio"], cannot, ("darkness", "light", "light"))
    return Parts(
        f"{variant} and the reference did not share the nights: on the trips that had both, "
        f"{percent(numbers['share'])} of {variant}’s rod-hours were in darkness, "
        f"{percent(numbers['reference_share'])} of the reference’s.",
        moved,
        "Fish both through the same hours, and see whether the answer changes with --adjust night.",
    )


def one_batch_each(*notes: Note) -> Parts:
    """Baits that were fished from one batch."""
    single = [str(note.variant) for note in notes if note.numbers["batches"] == 1]
    if any(note.numbers["reference_batches"] == 1 for note in notes):
        single.append("the reference" if single else "The reference")
    were = (
        "was fished from one batch only" if len(single) == 1 else "were fished from one batch each"
    )
    return Parts(
        f"{some(single)} {were}.",
        "What was special to that batch counts as the recipe’s here, and one batch cannot show "
        "how much that is.",
        "Make another batch to the same recipe, and log which one was on.",
    )


def one_batch_carries(note: Note) -> Parts:
    """One batch without which the answer would be another."""
    numbers = note.numbers
    return Parts(
        f"The answer for {note.variant} hangs on one batch: {numbers['batch']} of "
        f"{numbers['batch_of']}.",
        _without(numbers, "it"),
        "See that this batch was made and logged right, make another to the same recipe, and fish "
        "on until other batches say the same.",
    )


def one_angler_carries(note: Note) -> Parts:
    """One person without whom the answer would be another."""
    return Parts(
        f"The answer for {note.variant} hangs on one angler: {note.numbers['angler']}.",
        _without(note.numbers, "them"),
        "See that their trips are logged as the others’ are, and fish on until the others say the "
        "same; rodhours summary --by angler has what each brought.",
    )


def batch_off_recipe(note: Note) -> Parts:
    """Stints of a batch that is off its recipe are part of the answer."""
    numbers, codes = note.numbers, note.numbers["batches"]
    off = "a batch off its recipe" if len(codes) == 1 else "batches off their recipe"
    return Parts(
        f"The answer for {note.variant} counts stints with {off}: {listed(codes)}.",
        " ".join(
            [
                _without(numbers, "them" if len(codes) > 1 else "it"),
                *(_without(one, f"{one['batch']} alone") for one in numbers["each"]),
            ]
        ),
        "The answer is for what was in the water, not for the recipe; rodhours batch list says "
        "what is off. Go by the one without it where you mean the recipe.",
    )


def _without(numbers: Mapping[str, Any], what: str) -> str:
    after, low, high = (
        numbers[name] for name in ("rate_ratio_without", "conf_low_without", "conf_high_without")
    )
    if after is None:
        return f"Without {what} there is too little left for an answer."
    return (
        f"Without {what} the ratio is {ratio(after)} ({limits(low, high)}) instead of "
        f"{ratio(numbers['rate_ratio'])}."
    )


def recipes_differ(*notes: Note, reference: str = "the reference") -> Parts:
    """Baits whose recipe differs from the reference's in several things."""
    told = [
        f"{note.variant} in {listed(map(recipe_difference, note.numbers['columns']))}"
        for note in notes
    ]
    each = "; ".join([*told[:MOST_BAITS], *_more(len(told) - MOST_BAITS)])
    return Parts(
        f"More than one thing differs from the recipe of {reference}: {each}.",
        f"{'An answer is' if len(notes) == 1 else 'Each answer is'} for all of it together and "
        "cannot say which thing made the difference, or whether one hides another.",
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


def lift_differs(*notes: Note) -> Parts:
    """Baits that lift more or less in water than the reference does."""
    each = some(f"{note.variant} {_lift(note.numbers['lift_g'])}" for note in notes)
    reference = _lift(notes[0].numbers["reference_lift_g"])
    apart = max(abs(note.numbers["difference_g"]) for note in notes)
    tolerance = max(note.numbers["tolerance_g"] for note in notes)
    return Parts(
        f"By the sizes in the recipes, {each} in water, the reference {reference}.",
        f"That is {'' if len(notes) == 1 else 'up to '}{number(apart, 2)} g apart, more than "
        f"{number(notes[0].numbers['tolerance_mm'], 1)} mm of making tolerance brings "
        f"({number(tolerance, 2)} g). Baits that sit differently over the same rig may catch "
        "differently for that alone; how much, the log cannot say.",
        "Make them to the same size over the same cork, or match the hook and rig to the lift "
        "(rodhours lift).",
    )


def _lift(grams: float) -> str:
    return f"{'lifts' if grams >= 0 else 'sinks with'} {number(abs(grams), 2)} g"


def gaps_in_the_log(note: Note) -> Parts:
    """Session numbers or months are missing."""
    numbers = note.numbers
    labels, months = numbers["missing_numbers"], numbers["missing_months"]
    have, were = ("is", "it was a blank") if len(labels) == 1 else ("are", "they were blanks")
    found = []
    moved = (
        "If trips were left out there, the log does not speak for that time; which way an answer "
        "moves by it cannot be said."
    )
    if labels:
        found.append(
            f"Trip {some(labels, MOST_NAMED)} {have} missing between the numbers of the "
            f"{count(numbers['sessions'], 'trip')} in the log."
        )
        moved = (
            f"If {were}, all catch rates are {times(numbers['rate_factor'])} what they should be; "
            "a comparison is moved only where one bait was out more on the missing trips."
        )
    if months:
        # With several anglers a month has its angler: `2025-07 (Ann)`.
        said = listed(month_name(month[:7]) + month[7:] for month in months)
        found.append(f"There is no trip in {said}, though there are trips before and after.")
    return Parts(
        " ".join(found),
        moved,
        "Add what was fished and not written down, the blanks above all. If nothing was, all is "
        "well.",
    )


def doubles(note: Note) -> Parts:
    """Trips that are probably in the log twice."""
    pairs, trips = note.numbers["pairs"], note.numbers["trips"]
    both = some((f"{first} with {second}" for first, second in pairs), MOST_NAMED)
    say = "says" if len(pairs) == 1 else "say"
    return Parts(
        f"Of {count(trips, 'trip')}, {count(len(pairs), 'pair')} {say} the "
        f"same of day, hours, baits and fish, as one trip written down twice would: "
        f"{both}.",
        "Trips counted twice make every answer look firmer than it is.",
        "See rodhours history, and take the second import back with rodhours undo NUMBER; leave "
        "a single trip out with rodhours leave-out.",
    )
