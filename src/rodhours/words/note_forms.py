"""How the text of a note is filled in: figures in their forms, branches, several baits at once.

A field is a number of the note, `variant` its bait, or a name of `_known`. After the colon stands
how it is said: a name of `FORMS` and what that needs; `one|several`, by a number or a length; or
`?so|else`, by whether there is anything. Branches may have fields of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sized
from string import Formatter
from typing import Any, NamedTuple

from rodhours.counts import trip_named
from rodhours.evidence.result import Note
from rodhours.evidence.trips import FEWEST_SESSIONS
from rodhours.log.change_texts import of_angler
from rodhours.words.answer import verdict_words
from rodhours.words.fish_counted import lacking, needed, wanted_fish, weighs_lost
from rodhours.words.numbers import (
    count,
    hours,
    limits,
    limits_short,
    listed,
    margin_text,
    month_name,
    number,
    percent,
    ratio,
    some,
    the_count,
    times,
)
from rodhours.words.parts import Parts
from rodhours.words.response import amount, name_of, step_of

FURTHER_CLUMPS = 0.05
"""Clumping of one bait on one trip below this is none worth a word."""


class Text(NamedTuple):
    """The parts of a note before they are filled in.

    `each` is what is said of each bait where one text holds for several: `baits` in the parts.
    """

    found: str
    how_much: str = ""
    what_to_do: str = ""
    each: str = ""


WHY_NOT = {
    "unlinked": "never fished beside the reference, nor beside a bait that was",
    "few_sessions": f"the same trips need {FEWEST_SESSIONS} with each",
    "few_df": "there are too few such trips for the number of baits compared",
}
WHY_NO_STEP = {
    "unlinked": "baits that differ in it were never fished on the same trip",
    "few_sessions": (
        f"that needs at least {FEWEST_SESSIONS} trips with baits in the water that differ in it"
    ),
    "few_df": "there are too few such trips",
}


def without(numbers: Mapping[str, Any]) -> str:
    """The ratio without something that it hangs on, after `Without it`."""
    after, low, high = (
        numbers[name] for name in ("rate_ratio_without", "conf_low_without", "conf_high_without")
    )
    if after is None:
        return "there is too little left for an answer"
    before = ratio(numbers["rate_ratio"])
    return f"the ratio is {ratio(after)} ({limits_short(low, high)}) instead of {before}"


def _month(month: str) -> str:
    """A month, with several anglers with its angler: `July 2025 (Ann)` for `2025-07 (Ann)`."""
    return month_name(month[:7]) + month[7:]


FORMS: dict[str, Callable[..., str]] = {
    "": str,
    "about": lambda value, noun: f"about {count(n, noun)}" if (n := round(value)) else "hardly any",
    "adjust": lambda columns: " and ".join(f"--adjust {one}" for one in columns),
    "alone": lambda each: " ".join(f"Without {one['batch']} alone {without(one)}." for one in each),
    "amount": amount,
    "basis": lambda basis: "the same trips" if basis == "same trips" else basis,
    "column": lambda name: "time of year" if name == "time_of_year" else name,
    "count": lambda value, noun: count(len(value) if isinstance(value, Sized) else value, noun),
    "departed": lambda answers: listed(
        f"{one['variant']} caught {times(one['as_planned'])} as fast as the reference "
        f"({limits(one['conf_low'], one['conf_high'])}), not {times(one['rate_ratio'])}"
        for one in answers
        if one["rate_ratio"] is not None
    ),
    "each": lambda counts, where="": listed(
        f"{number(many)} {where}{' ' * bool(where)}{name}" for name, many in counts.items()
    ),
    "hours": hours,
    "lacking": lacking,
    "left_out": lambda sessions: listed(
        f"{of_angler(one['session'], one['angler'])} (because: {one['because']})"
        for one in sessions
    ),
    "lift": lambda grams: f"{'lifts' if grams >= 0 else 'sinks with'} {number(abs(grams), 2)} g",
    "listed": listed,
    "margin": margin_text,
    "months": lambda months: listed(map(_month, months)),
    "name": name_of,
    "Name": lambda column: name_of(column)[:1].upper() + name_of(column)[1:],
    "names": lambda columns: listed(map(name_of, columns)),
    "needed": lambda chosen: listed(needed(chosen)),
    "number": lambda value, decimals="0": number(value, int(decimals)),
    "pairs": lambda pairs: some((f"{first} with {second}" for first, second in pairs), 5),
    "percent": percent,
    "quoted": lambda label: label if label.isalnum() else repr(label),
    "ratio": ratio,
    "share": lambda numbers, names: percent(numbers[names.split()[0]] / numbers[names.split()[1]]),
    "size": lambda value, decimals: number(abs(value), int(decimals)),
    "some": lambda names: some(names, 5),
    "step": lambda numbers: step_of(numbers["column"], numbers["per"]),
    "the": the_count,
    "times": times,
    "trip": lambda numbers: trip_named(numbers["session"], numbers["angler"]),
    "verdict": verdict_words,
    "wanted": lambda chosen: wanted_fish(chosen) or "",
    "why": WHY_NOT.__getitem__,
    "why_no_step": WHY_NO_STEP.__getitem__,
}


def filled(text: Text, *notes: Note) -> Parts:
    """A text with the figures of its notes in it. Raises KeyError for one that a note lacks."""
    known = _known(notes[0]) | {"notes": len(notes)}
    if text.each:
        known["baits"] = some(_filled(text.each, _known(note)) for note in notes)
    return Parts(*(_filled(part, known).strip() for part in text[:3]))


def _known(note: Note) -> dict[str, Any]:
    """What the fields of a text can name."""
    numbers = note.numbers
    known = {**numbers, "variant": note.variant, "numbers": numbers}
    if "conf_low" in numbers:
        known["limits"] = limits(numbers["conf_low"], numbers["conf_high"])
    if "conf_low_without" in numbers:
        known["without"] = without(numbers)
    if "all_trips_ratio" in numbers:
        known["flatters"] = numbers["all_trips_ratio"] > numbers["same_trips_ratio"]
    if "concerned" in numbers:
        known["weighs_lost"] = weighs_lost(numbers)
    if "clumping" in numbers:
        known["uneven"] = numbers["good_trip"] >= 1.1
        known["runs"] = numbers["clumping"] >= FURTHER_CLUMPS
    if "absent" in numbers:
        known["twice"] = numbers["trips"] - numbers["absent"]
    return known


def _filled(text: str, known: Mapping[str, Any]) -> str:
    said = ""
    for literal, field, spec, _ in Formatter().parse(text):
        said += literal
        if field is not None:
            value, _ = Formatter().get_field(field, (), known)
            said += _in_form(value, spec or "", known)
    return said


def _in_form(value: Any, spec: str, known: Mapping[str, Any]) -> str:
    first, second = _branches(spec)
    if second is None:
        form, _, needs = first.partition(" ")
        return FORMS[form](value, *[needs] * bool(needs))
    if first.startswith("?"):
        return _filled(first[1:] if value else second, known)
    return first if (len(value) if isinstance(value, Sized) else value) == 1 else second


def _branches(spec: str) -> tuple[str, str | None]:
    """The two sides of the first bar that stands in no field; None where there is none."""
    depth = 0
    for place, letter in enumerate(spec):
        depth += (letter == "{") - (letter == "}")
        if letter == "|" and not depth:
            return spec[:place], spec[place + 1 :]
    return spec, None
