"""How much a note weighs, and the order notes are told in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rodhours.evidence.results import Note

SERIOUS, CAUTION, INFORMATION = "serious", "caution", "information"
SEVERITIES = (SERIOUS, CAUTION, INFORMATION)


def order_notes(notes: Iterable[Note]) -> tuple[Note, ...]:
    """Notes worst first; equals keep the order in which they were found."""
    return tuple(sorted(notes, key=lambda note: SEVERITIES.index(note.severity)))
