"""Counts and lists in words, for the log and for the answers alike."""

from __future__ import annotations

from collections.abc import Iterable


def tallied(how_many: int, noun: str) -> str:
    """A number of things where none is a figure too: `31 rows`, `1 row`, `0 rows`."""
    return f"{how_many:,} {noun}{'' if how_many == 1 else 's'}"


def trip_named(label: str, angler: object) -> str:
    """A trip by its label, with its angler where that is known: `T3 (Ann)`."""
    return f"{label} ({angler})" if isinstance(angler, str) and angler else label


def listed(parts: Iterable[str], last: str = "and") -> str:
    """Words in a row: `a`, `a and b`, `a, b and c`."""
    words = list(parts)
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
