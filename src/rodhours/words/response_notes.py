"""What limits the answer about an ingredient: one text of three parts for each code."""

from __future__ import annotations

from rodhours.evidence.result import Note
from rodhours.evidence.trips import FEWEST_SESSIONS
from rodhours.words.numbers import count, hours, listed, times
from rodhours.words.parts import Parts
from rodhours.words.response import amount, name_of, step_of

_WHY_NOT = {
    "unlinked": "baits that differ in it were never fished on the same trip",
    "few_sessions": (
        f"that needs at least {FEWEST_SESSIONS} trips with baits in the water that differ in it"
    ),
    "few_df": "there are too few such trips",
}


def moves_together(note: Note) -> Parts:
    """Two ingredients that were always changed together."""
    one, other = name_of(note.numbers["column"]), name_of(note.numbers["other"])
    return Parts(
        f"{one[:1].upper()}{one[1:]} and {other} were always changed together, so this log cannot "
        "tell them apart.",
        f"What stands here under {one} may be the work of {other}, or of both.",
        "Fish a bait that changes one of the two alone.",
    )


def recipe_missing(note: Note) -> Parts:
    """Stints of baits whose recipe does not say it."""
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


def step_beyond_range(note: Note) -> Parts:
    """A step longer than what was fished."""
    per, span = amount(note.numbers["per"]), amount(note.numbers["span"])
    return Parts(
        f"The step of {per} is longer than the range that was fished ({span}).",
        "The ratio goes beyond what the log has seen.",
        "Take a smaller --per.",
    )


def not_same_trips(note: Note) -> Parts:
    """An answer that comes from all trips."""
    numbers = note.numbers
    return Parts(
        f"This answer comes from all trips, not from the same trips: {_WHY_NOT[numbers['reason']]} "
        f"({count(numbers['contrasting_sessions'], 'trip')} had that).",
        f"It cannot tell {name_of(numbers['column'])} from better days.",
        "Fish baits that differ in it side by side on every trip.",
    )


def variants_not_linked(note: Note) -> Parts:
    """Baits never fished beside the others."""
    variants = note.numbers["variants"]
    was, it = ("was", "it") if len(variants) == 1 else ("were", "them")
    return Parts(
        f"{listed(variants)} {was} never fished beside the other baits.",
        f"Only the all-trips answer has {it}.",
        "Fish all baits side by side.",
    )


def few_fish(note: Note) -> Parts:
    """So few fish that one more or less matters."""
    below, above = (count(note.numbers[side], "fish") for side in ("below", "above"))
    return Parts(
        f"Few fish: {below} below and {above} above the middle of the range "
        f"({amount(note.numbers['middle'])}).",
        "One fish more or less would move this answer a good deal; the limits allow for that.",
        "Only more trips will narrow them.",
    )


def runs_off(note: Note) -> Parts:
    """All fish on one end of the range."""
    most, steep = ("least", "down") if note.numbers["end"] == "lowest" else ("most", "up")
    return Parts(
        f"The fish came to the baits with the {most} {name_of(note.numbers['column'])} of what was "
        "in the water, and to no other.",
        f"The line could go {steep} as steeply as you like: there is a limit on one side alone.",
        "More trips with all baits in the water will give it the other.",
    )


def two_values(note: Note) -> Parts:
    """No value between the ends."""
    low, high = map(amount, note.numbers["values"])
    return Parts(
        f"Only two values were fished ({low} and {high}).",
        "Nothing here can show whether what lies between them follows a straight line.",
        "A bait in between would.",
    )


def favourite_conditions(note: Note) -> Parts:
    """The all-trips answer is further off than chance would often leave it."""
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


def bend(_: Note) -> Parts:
    """A line that bends."""
    return Parts(
        "The line bends more than chance alone would bend it.",
        "One ratio for every step is an average only.",
        "Go by the curve.",
    )


def lack_of_fit(_: Note) -> Parts:
    """Baits far from the line."""
    return Parts(
        "The baits lie further from the line than chance alone would put them.",
        "Something else than this ingredient makes them differ, or the line has another shape.",
        "Go by the baits one by one: rodhours compare",
    )


def no_fish(note: Note) -> Parts:
    """Nothing caught."""
    return Parts(
        f"No fish in {hours(note.numbers['rod_hours'])}.",
        "There is nothing to draw a line through.",
        "Fish on and log the blanks too.",
    )


def other_differences(note: Note) -> Parts:
    """Baits that differ in more than the ingredient."""
    return Parts(
        f"The baits also differ in {listed(map(name_of, note.numbers['columns']))}.",
        "The line does not allow for that.",
        "See what the baits do one by one: rodhours compare",
    )


def step_chosen(note: Note) -> Parts:
    """No step was asked for."""
    return Parts(
        f"The step of {amount(note.numbers['per'])} was taken from the range that was fished.",
        what_to_do="Ask for another with --per.",
    )


def too_few_trips(note: Note) -> Parts:
    """Fewer trips than the model needs."""
    return Parts(
        f"Too few trips: {count(note.numbers['sessions'], 'trip')} with as many columns as were "
        "asked for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    )
