"""How much a note weighs, and the order notes are told in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol, TypeVar

SERIOUS, CAUTION, INFORMATION = "serious", "caution", "information"
SEVERITIES = (SERIOUS, CAUTION, INFORMATION)


class Weighed(Protocol):
    """Anything that says how much it weighs."""

    @property
    def severity(self) -> str: ...


WeighedNote = TypeVar("WeighedNote", bound=Weighed)


def order_notes(notes: Iterable[WeighedNote]) -> tuple[WeighedNote, ...]:
    """Notes worst first; equals keep the order in which they were found."""
    return tuple(sorted(notes, key=lambda note: SEVERITIES.index(note.severity)))
