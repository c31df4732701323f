"""Alternative texts: what a picture shows in a sentence short enough to be listened to."""

from __future__ import annotations

from collections.abc import Sequence

MOST_LETTERS = 300
"""A longer text is a table read aloud; the numbers of each picture stand beside it."""


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
