"""Text cut into pieces of which some must not break at the end of a line: names, options, dates.

A browser breaks `pellet-20` at its hyphen. The template puts such a piece into a span that stays
in one line; the text itself is unchanged, so that a copied name still works as a command.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection

LONGEST = 24
"""A longer name may break: in one piece it could be wider than a phone."""
_OPTION_OR_DATE = r"(?<![\w-])--[a-z][a-z-]*|\b\d{4}-\d\d-\d\d\b|\brod-hours?\b"


def pieces(text: str, names: Collection[str]) -> list[tuple[str, bool]]:
    """The text in pieces, each with whether it has to stay in one line.

    `names` are the names that stay whole where they are no longer than LONGEST and could break
    at all; options such as `--adjust` and dates stay whole too, and so do names that are read from
    right to left, whatever their length. Joined, the pieces are the text.
    """
    kept = sorted(
        (name for name in names if _could_break(name) or runs_left(name)), key=len, reverse=True
    )
    choices = [rf"(?<![\w-]){re.escape(name)}(?![\w-])" for name in kept]
    # With one group in the pattern every second piece is a match.
    parts = re.split(f"({'|'.join([*choices, _OPTION_OR_DATE])})", text)
    return [(part, i % 2 == 1) for i, part in enumerate(parts) if part]


def _could_break(name: str) -> bool:
    return len(name) <= LONGEST and not name.isalnum()


def runs_left(name: str) -> bool:
    """Whether a name has letters that are read from right to left: it must not turn a sentence."""
    return any(unicodedata.bidirectional(letter) in ("R", "AL") for letter in name)
