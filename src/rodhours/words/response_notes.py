"""What limits the answer about an ingredient: one text of three parts for each code."""

from __future__ import annotations

from collections.abc import Callable

from rodhours.evidence.result import Note
from rodhours.evidence.trips import FEWEST_SESSIONS
from rodhours.words.ingredients import amount, name_of, step_of
from rodhours.words.numbers import count, hours, listed, times
from rodhours.words.parts import Parts

_WHY_NOT = {
    "unlinked": "baits that differ in it were never fished on the same trip",
    "few_sessions": (
        f"that needs at least {FEWEST_SESSIONS} trips with baits in the water that differ in it"
    ),
    "few_df": "there are too few such trips",
}


def _moves_together(note: Note) -> Parts:
    one, other = name_of(note.numbers["column"]), name_of(note.numbers["other"])
    return Parts(
        f"{one[:1].upper()}{one[1:]} and {other} were always changed together, so this log cannot "
        "tell them apart.",
        f"What stands here under {one} may be the work of {other}, or of both.",
        "Fish a bait that changes one of the two alone.",
    )


def _recipe_missing(note: Note) -> Parts:
    numbers = note.numbers
    left, variants = numbers["stints"], numbers["variants"]
    recipes, do = ("recipe", "does") if len(variants) == 1 else ("recipes", "do")
    return Parts(
        f"{count(left, 'stint')} ({hours(numbers['rod_hours'])}, {count(numbers['fish'], 'fish')}) "
        f"{'was' if left == 1 else 'were'} left out, because the {recipes} of {listed(variants)} "
        f"{do} not say the {name_of(numbers['column'])}.",
        "The answer is about the rest.",
        "Fill it in in the variants table.",
    )


def _step_beyond_range(note: Note) -> Parts:
    per, span = amount(note.numbers["per"]), amount(note.numbers["span"])
    return Parts(
        f"The step of {per} is longer than the range that was fished ({span}).",
        "The ratio goes beyond what the log has seen.",
        "Take a smaller --per.",
    )


def _not_same_trips(note: Note) -> Parts:
    numbers = note.numbers
    return Parts(
        f"This answer comes from all trips, not from the same trips: {_WHY_NOT[numbers['reason']]} "
        f"({count(numbers['contrasting_sessions'], 'trip')} had that).",
        f"It cannot tell {name_of(numbers['column'])} from better days.",
        "Fish baits that differ in it side by side on every trip.",
    )


def _variants_not_linked(note: Note) -> Parts:
    variants = note.numbers["variants"]
    was, it = ("was", "it") if len(variants) == 1 else ("were", "them")
    return Parts(
        f"{listed(variants)} {was} never fished beside the other baits.",
        f"Only the all-trips answer has {it}.",
        "Fish all baits side by side.",
    )


def _few_fish(note: Note) -> Parts:
    below, above = (count(note.numbers[side], "fish") for side in ("below", "above"))
    return Parts(
        f"Few fish: {below} below and {above} above the middle of the range "
        f"({amount(note.numbers['middle'])}).",
        "One fish more or less would move this answer a good deal; the limits allow for that.",
        "Only more trips will narrow them.",
    )


def _runs_off(note: Note) -> Parts:
    most, steep = ("least", "down") if note.numbers["end"] == "lowest" else ("most", "up")
    return Parts(
        f"The fish came to the baits with the {most} {name_of(note.numbers['column'])} of what was "
        "in the water, and to no other.",
        f"The line could go {steep} as steeply as you like: there is a limit on one side alone.",
        "More trips with all baits in the water will give it the other.",
    )


def _two_values(note: Note) -> Parts:
    low, high = map(amount, note.numbers["values"])
    return Parts(
        f"Only two values were fished ({low} and {high}).",
        "Nothing here can show whether what lies between them follows a straight line.",
        "A bait in between would.",
    )


def _favourite_conditions(note: Note) -> Parts:
    numbers = note.numbers
    same, everything = numbers["same_trips_ratio"], numbers["all_trips_ratio"]
    effect, days = ("flatters", "good") if everything > same else ("hides", "poor")
    step = step_of(numbers["column"], numbers["per"])
    return Parts(
        f"The all-trips answer {effect} {name_of(numbers['column'])}: {step} went with "
        f"{times(everything)} the catch rate over all trips, but {times(same)} on the same trips.",
        "That is a wider gap than chance alone would often leave; fishing baits with more of it "
        f"on the {days} trips does that.",
        "Go by the same trips.",
    )


RESPONSE_TEXTS: dict[str, Callable[[Note], Parts]] = {
    "bend": lambda _: Parts(
        "The line bends more than chance alone would bend it.",
        "One ratio for every step is an average only.",
        "Go by the curve.",
    ),
    "favourite_conditions": _favourite_conditions,
    "few_fish": _few_fish,
    "lack_of_fit": lambda _: Parts(
        "The baits lie further from the line than chance alone would put them.",
        "Something else than this ingredient makes them differ, or the line has another shape.",
        "Go by the baits one by one: rodhours compare",
    ),
    "moves_together": _moves_together,
    "no_fish": lambda note: Parts(
        f"No fish in {hours(note.numbers['rod_hours'])}.",
        "There is nothing to draw a line through.",
        "Fish on and log the blanks too.",
    ),
    "not_same_trips": _not_same_trips,
    "other_differences": lambda note: Parts(
        f"The baits also differ in {listed(map(name_of, note.numbers['columns']))}.",
        "The line does not allow for that.",
        "See what the baits do one by one: rodhours compare",
    ),
    "recipe_missing": _recipe_missing,
    "runs_off": _runs_off,
    "step_beyond_range": _step_beyond_range,
    "step_chosen": lambda note: Parts(
        f"The step of {amount(note.numbers['per'])} was taken from the range that was fished.",
        "",
        "Ask for another with --per.",
    ),
    "too_few_trips": lambda note: Parts(
        f"Too few trips: {count(note.numbers['sessions'], 'trip')} with as many columns as were "
        "asked for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    ),
    "two_values": _two_values,
    "variants_not_linked": _variants_not_linked,
}
"""The text of each code where a note names no bait; some mean another thing of a bait."""
