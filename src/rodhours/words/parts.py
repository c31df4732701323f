"""Texts put together: a note of three parts, and what a picture shows, in 300 letters at most."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

MOST_LETTERS = 300
"""A longer text is a table read aloud; the numbers of each picture stand beside it."""
_COMMAND = re.compile(r"(?<!\S)\(?--[a-z]|\brodhours [a-z]")
_BETWEEN_SENTENCES = re.compile(r"(?<=[.!?”]) (?=[A-Z“])")


def with_and_without_commands(text: str) -> tuple[str, str]:
    """The sentences of a text that name no command or option, and those that do."""
    sentences = _BETWEEN_SENTENCES.split(text)
    without = [one for one in sentences if not _COMMAND.search(one)]
    return " ".join(without), " ".join(one for one in sentences if one not in without)


class Parts(NamedTuple):
    """What was found, how much it could move the answer, what to do.

    Whole sentences each; a part that there is nothing to say in is empty."""

    found: str
    how_much: str = ""
    what_to_do: str = ""

    @property
    def joined(self) -> str:
        """All of it as one text."""
        return " ".join(part for part in self if part)


def alternative(head: str, parts: Sequence[str]) -> str:
    """What a picture shows: of the parts as many as there is room for, the others counted."""
    text = f"{head}."
    for shown in range(len(parts) + 1):
        left = len(parts) - shown
        more = [f"{left:,} more in its numbers"] if left else []
        longer = f"{head}: {'; '.join([*parts[:shown], *more])}."
        if not parts or len(longer) > MOST_LETTERS:
            break
        text = longer
    return text if len(text) <= MOST_LETTERS else f"{text[: MOST_LETTERS - 1]}…"
