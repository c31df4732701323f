"""The words around the findings of `rodhours check`."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.wording.numbers import listed, word

HOW_MUCH = "How much: "
WHAT_TO_DO = "What to do: "
WEIGHT = {"serious": "Serious", "caution": "Caution", "information": "Worth knowing"}
NO_ALL_CLEAR = "No note is not an all-clear: what was not logged cannot be seen here."
_KINDS = (
    ("serious", "serious thing", "serious things"),
    ("caution", "caution", "cautions"),
    ("information", "thing worth knowing", "things worth knowing"),
)


def heading(severities: Sequence[str], reference: str) -> str:
    """What was found, in one line: `Found, against plain: one caution.`"""
    if not severities:
        return f"Nothing found, with {reference} as the reference."
    parts = [
        f"{word(many)} {one if many == 1 else several}"
        for severity, one, several in _KINDS
        if (many := severities.count(severity))
    ]
    return f"Found, with {reference} as the reference: {listed(parts)}."
