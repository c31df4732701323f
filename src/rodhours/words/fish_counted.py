"""What is counted where not every fish is: the phrase over an answer, its notes and refusals.

Works from the choice in its machine form: species, min_weight_kg and outcome.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rodhours.evidence.fish_counted import HOOKED, LANDED, LOST
from rodhours.evidence.result import Note
from rodhours.words.numbers import count, hours, listed, number, on_variants, percent, the_count
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


def lost_not_logged(note: Note) -> Parts:
    """Stints that do not say how many fish were lost."""
    left = note.numbers["stints"]
    return Parts(
        f"{count(left, 'stint')} ({hours(note.numbers['rod_hours'])}) "
        f"{'was' if left == 1 else 'were'} left out, because the log does not say how many fish "
        "were lost there.",
        "The answer is about the rest: an empty cell is not none.",
        "Write 0 in the column lost where none was.",
    )


def lost_from_catches(note: Note) -> Parts:
    """Lost fish as catches lists them."""
    return Parts(
        "Lost fish are counted as catches lists them, since no stint has a count of its own: a "
        "stint without one there is taken to have lost none.",
        "If lost fish were written down only now and then, do not trust this answer.",
        "Fill in the column lost of stints; that makes it firm.",
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


def no_count_of_lost(note: Note) -> Parts:
    """No answer: nothing says how many fish were lost."""
    return Parts(
        "The log has no count of lost fish.",
        what_to_do="Write it in the column lost of stints, 0 where none was lost, or list lost "
        "fish in catches with the outcome lost.",
    )


FISH_TEXTS: dict[str, Callable[[Note], Parts]] = {
    text.__name__: text
    for text in (
        fish_not_known,
        lost_not_logged,
        lost_from_catches,
        too_many_unknown,
        no_catches,
        no_count_of_lost,
    )
}
