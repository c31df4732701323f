"""A note in its three parts: what was found, how much it could move the answer, what to do."""

from __future__ import annotations

import re
from typing import NamedTuple

_COMMAND = re.compile(r"(?<!\S)\(?--[a-z]|\brodhours [a-z]")
_BETWEEN_SENTENCES = re.compile(r"(?<=[.!?”]) (?=[A-Z“])")


def with_and_without_commands(text: str) -> tuple[str, str]:
    """The sentences of a text that name no command or option, and those that do."""
    sentences = _BETWEEN_SENTENCES.split(text)
    without = [one for one in sentences if not _COMMAND.search(one)]
    return " ".join(without), " ".join(one for one in sentences if one not in without)


class Parts(NamedTuple):
    """Whole sentences each; a part that there is nothing to say in is empty."""

    found: str
    how_much: str = ""
    what_to_do: str = ""

    @property
    def joined(self) -> str:
        """All of it as one text."""
        return " ".join(part for part in self if part)
