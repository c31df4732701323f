"""The words of each verdict."""

from __future__ import annotations

OPENINGS = {
    "ahead": "Ahead",
    "behind": "Behind",
    "level": "Level",
    "unsettled": "Not settled",
    "too little to say": "Too little to say",
}


def verdict_words(verdict: str) -> str:
    """A verdict inside a sentence: `not settled`. Raises KeyError for an unknown one."""
    return OPENINGS[verdict].lower()
