"""Notes gathered for a reader: what holds for several baits is said once, not once for each.

The machine form keeps every note by itself; this is for the terminal and the page.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from rodhours.wording.check_notes import lift_differs, one_batch, recipes_differ
from rodhours.wording.numbers import count, hours, listed, number, times

NoteForm = Mapping[str, Any]


def gathered(notes: Sequence[NoteForm]) -> list[tuple[str, str]]:
    """Severity and text of each thing to say, in the order of the notes.

    `notes` are in the machine form (code, variant, severity, says, numbers), worst first. Notes
    of one code and severity about several variants become one text where the code has one for
    several; equal texts are said once.
    """
    said: list[tuple[str, str]] = []
    done: set[tuple[str, str, str]] = set()
    for note in notes:
        key = _key(note)
        alike = [other for other in notes if _key(other) == key]
        if len(alike) > 1 and note["code"] in _SEVERAL:
            if key in done:
                continue
            done.add(key)
            said.append((note["severity"], _SEVERAL[note["code"]](alike)))
        elif (note["severity"], note["says"]) not in said:
            said.append((note["severity"], note["says"]))
    return said


def _key(note: NoteForm) -> tuple[str, str, str]:
    return note["code"], note["severity"], str(note["numbers"].get("reason", ""))


def _names(notes: Sequence[NoteForm]) -> str:
    return listed(note["variant"] for note in notes)


def _mostly_indirect(notes: Sequence[NoteForm]) -> str:
    each = listed(
        f"{note['variant']} on {number(note['numbers']['shared_sessions'])} of "
        f"{number(note['numbers']['sessions'])} trips"
        for note in notes
    )
    return (
        f"Few of the trips behind these answers had the bait and the reference together: {each}. "
        "The rest compare them by way of a third bait. Trips with the two side by side would make "
        "the answers firmer."
    )


def _few_fish(notes: Sequence[NoteForm]) -> str:
    each = listed(
        f"{count(note['numbers']['fish'], 'fish')} on {note['variant']} against "
        f"{number(note['numbers']['reference_fish'])} on the reference"
        for note in notes
    )
    return (
        f"Few fish: {each}. One fish more or less would move these answers a good deal; the limits "
        "allow for that, and only more trips will narrow them."
    )


def _no_fish(notes: Sequence[NoteForm]) -> str:
    each = listed(f"{note['variant']} in {hours(note['numbers']['rod_hours'])}" for note in notes)
    return (
        f"No fish yet: {each}. The log can say how good these are at most, not how good they are."
    )


def _not_same_trips(notes: Sequence[NoteForm]) -> str:
    why = _WHY_SEVERAL[notes[0]["numbers"]["reason"]]
    return (
        f"The answers for {_names(notes)} come from all trips, not from the same trips, because "
        f"{why}. They cannot tell a better bait from better "
        "days. Fish these and the reference side by side on every trip."
    )


_WHY_SEVERAL = {
    "unlinked": "they were never fished beside the reference, nor beside a bait that was",
    "few_sessions": (
        "that needs at least 4 trips with the bait and 4 with the reference among those that had "
        "two or more of the baits in the water"
    ),
    "few_df": "there are too few such trips for the number of baits compared",
}


def _hidden_conditions(notes: Sequence[NoteForm]) -> str:
    each = listed(
        f"{note['variant']}’s trips had been {times(note['numbers']['factor'])}" for note in notes
    )
    return (
        f"If {each} as good as the reference’s for reasons nobody logged (water, weather, season), "
        "that alone would bring the nearer limit of the all-trips answer to 1, and the log could "
        "no longer say which is ahead. Ask yourself whether they were; trips side by side settle "
        "it."
    )


def _one_batch_each(notes: Sequence[NoteForm]) -> str:
    single = [note["variant"] for note in notes if note["numbers"]["batches"] == 1]
    if any(note["numbers"]["reference_batches"] == 1 for note in notes):
        single.append("the reference")
    return one_batch(single).joined


def _lift_differs(notes: Sequence[NoteForm]) -> str:
    return lift_differs([(note["variant"], note["numbers"]) for note in notes]).joined


def _recipes_differ(notes: Sequence[NoteForm]) -> str:
    return recipes_differ([(note["variant"], note["numbers"]["columns"]) for note in notes]).joined


_SEVERAL: dict[str, Callable[[Sequence[NoteForm]], str]] = {
    "few_fish": _few_fish,
    "hidden_conditions": _hidden_conditions,
    "lift_differs": _lift_differs,
    "mostly_indirect": _mostly_indirect,
    "no_fish": _no_fish,
    "not_same_trips": _not_same_trips,
    "one_batch_each": _one_batch_each,
    "recipes_differ": _recipes_differ,
}
