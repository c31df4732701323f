"""A note in its three parts: what was found, how much it could move the answer, what to do."""

from __future__ import annotations

from typing import NamedTuple


class Parts(NamedTuple):
    """Whole sentences each; a part that there is nothing to say in is empty."""

    found: str
    how_much: str = ""
    what_to_do: str = ""

    @property
    def joined(self) -> str:
        """All of it as one text."""
        return " ".join(part for part in self if part)
