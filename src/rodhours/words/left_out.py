"""Sessions left out of an answer, and those that wait: the notes that every answer has of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.counts import listed
from rodhours.evidence.result import Note
from rodhours.log.change_texts import of_angler
from rodhours.words.numbers import count, number
from rodhours.words.parts import Parts


def sessions_left_out(sessions: Sequence[Mapping[str, Any]]) -> Parts:
    """The note on every answer: which sessions are left out and why, and what that may do to it.

    Each has `session`, `angler` (or None) and `because`.
    """
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
