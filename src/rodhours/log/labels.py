"""Labels that look alike: pointed out, never merged, since they may be two things."""

from __future__ import annotations

import re
from collections.abc import Iterable


def look_alikes(labels: Iterable[str], *, keep_punctuation: bool = False) -> list[list[str]]:
    """Groups of labels that differ in capitals, spaces or punctuation alone.

    `keep_punctuation` is for labels in which it carries meaning, as in dates. A point
    between digits always counts: 1.5 is not 15.
    """
    groups: dict[str, set[str]] = {}
    for text in set(labels):
        groups.setdefault(_plain(text, keep_punctuation), set()).add(text)
    return sorted(sorted(group) for group in groups.values() if len(group) > 1)


def _plain(text: str, keep_punctuation: bool) -> str:
    text = text.casefold()
    if keep_punctuation:
        return "".join(text.split())
    text = re.sub(r"(?<=\d)[.,](?=\d)", "\0", text)
    # A sign before a number is not decoration: +5 and -5 stay apart.
    text = re.sub(r"(?<!\w)-(?=\d)", "\1", text)
    plain = "".join(char for char in text if char.isalnum() or char in "\0\1")
    return plain or text
