"""What an answer counts where that is not all: which fish, sessions left out, trips that wait.

Works from the choice in its machine form: species, min_weight_kg and outcome.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rodhours.evidence.fish_counted import HOOKED, LANDED, LOST
from rodhours.evidence.result import Note
from rodhours.log.change_texts import of_angler
from rodhours.words.numbers import count, listed, number, on_variants, percent, the_count
from rodhours.words.parts import Parts
from rodhours.words.weights import stated_weight

CHOICES = ("species", "min_weight_kg", "outcome")
_OUTCOMES = {LANDED: "", LOST: " hooked and lost", HOOKED: " hooked, landed or lost"}


def wanted_fish(chosen: Mapping[str, Any]) -> str | None:
    """What is counted: `carp of 20 lb and over`, `fish hooked and lost`; None for all fish landed.

    `chosen` may hold other choices beside `CHOICES`; they are passed over.
    """
    species, kg = chosen.get("species"), chosen.get("min_weight_kg")
    outcome = chosen.get("outcome") or LANDED
    if species is None and kg is None and outcome == LANDED:
        return None
    heavy = "" if kg is None else f" of {stated_weight(kg)} and over"
    return f"{species or 'fish'}{heavy}{_OUTCOMES[outcome]}"


def counted_here(chosen: Mapping[str, Any]) -> str | None:
    """The sentence over an answer that does not count every fish landed; None where it does."""
    wanted = wanted_fish(chosen)
    if wanted is None:
        return None
    said = (
        f"Counted here: {wanted}. Wherever this answer says fish or caught, it means these, and a "
        "blank is a trip without one."
    )
    if chosen.get("outcome") == LOST:
        said += " Ahead means that more of them were lost per rod-hour."
    return said


def _needed(chosen: Mapping[str, Any]) -> list[str]:
    """The columns of catches that the choice needs."""
    columns = {"species": "species", "weight": "min_weight_kg"}
    return [column for column, name in columns.items() if chosen.get(name) is not None]


def _lacking(chosen: Mapping[str, Any]) -> str:
    """What an undecided fish lacks: `no weight`, `no species`, `no species or no weight`."""
    return listed((f"no {column}" for column in _needed(chosen)), "or")


def fish_not_known(note: Note) -> Parts:
    """Fish that the log cannot tell to be wanted or not."""
    numbers, unknown = note.numbers, note.numbers["unknown"]
    have, they = (
        ("has", "It is not counted, though it may be one of")
        if unknown == 1
        else ("have", "They are not counted, though some may be")
    )
    return Parts(
        f"Of {the_count(numbers['concerned'], 'fish')} concerned, {number(unknown)} {have} "
        f"{_lacking(numbers)} in the log ({on_variants(numbers['by_variant'])}).",
        f"{they} {wanted_fish(numbers)}.",
        f"List every fish in catches with its {listed(_needed(numbers))}, small ones too.",
    )


def too_many_unknown(note: Note) -> Parts:
    """No answer: too many of the fish concerned lack a weight or a species."""
    chosen, unknown, of = note.numbers, note.numbers["unknown"], note.numbers["concerned"]
    lost = chosen.get("outcome") != LANDED and chosen.get("min_weight_kg") is not None
    return Parts(
        f"There is no answer for {wanted_fish(chosen)}: {number(unknown)} of the "
        f"{count(of, 'fish')} concerned ({percent(unknown / of)}) have {_lacking(chosen)} in the "
        f"log ({on_variants(chosen['by_variant'])}), and no more than {percent(chosen['most'])} "
        "may.",
        f"List each fish in catches with its {listed(_needed(chosen))}.",
        "Lost fish are seldom weighed: ask for --outcome landed." if lost else "",
    )


def no_catches(note: Note) -> Parts:
    """No answer: what to log before the choice can be answered."""
    columns = listed(_needed(note.numbers))
    return Parts(
        "The log does not list its fish one by one, so it cannot say which were "
        f"{wanted_fish(note.numbers)}.",
        what_to_do=f"List each fish in a table catches (session, rod, {columns}) and import it "
        "with the stints of those sessions.",
    )


def left_out(note: Note) -> Parts:
    """The note on every answer: which sessions are left out and why, and what that may do to it."""
    sessions = note.numbers["sessions"]
    named = [
        f"{of_angler(one['session'], one['angler'])} (because: {one['because']})"
        for one in sessions
    ]
    several = len(sessions) > 1
    first = sessions[0]["session"]
    return Parts(
        f"Left out of this answer {'are' if several else 'is'} {listed(named)}.",
        "Left out for how it was fished or logged, a trip costs no more than its hours; left out "
        "for what it caught, good or bad, it bends the answer, and the limits know nothing of it.",
        # A sentence may not begin with a command: its first letter would be made a capital.
        f"To count {'the first' if several else 'it'} again, type rodhours leave-out "
        f"{first if first.isalnum() else repr(first)} --take-back at any time.",
    )


def trips_waiting(note: Note) -> Parts:
    """The note on every answer: how many trips wait, and what they would bring."""
    numbers = note.numbers
    absent, twice = numbers["absent"], numbers["trips"] - numbers["absent"]
    found, moved = [], "They are in the answer already, as their twins."
    if absent:
        fish = f", with {count(numbers['fish'], 'fish')}" if numbers["fish"] else ""
        wait = f"{count(absent, 'trip')} {'waits' if absent == 1 else 'wait'}"
        found.append(
            f"{wait} outside this answer{fish}, beside the {number(numbers['counted'])} in the "
            "logbook: not all of their rows could be taken."
        )
        moved = "Trips with a slip in them need not be like the others: which way they move it "
        moved += "nobody can say."
    if twice:
        found.append(
            f"{count(twice, 'probable double')} {'is' if twice == 1 else 'are'} held back."
        )
    return Parts(
        " ".join(found), moved, "Mend or drop them; rodhours waiting says what each needs."
    )
