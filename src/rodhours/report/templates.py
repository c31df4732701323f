"""The templates of pages and sheets, and names in them that must not break at the end of a line.

A browser breaks `pellet-20` at its hyphen. The template puts such a piece into a span that stays
in one line; the text itself is unchanged, so that a copied name still works as a command.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from importlib.resources import files
from typing import Any

from jinja2 import Environment, StrictUndefined, Template

LONGEST = 24
"""A longer name may break: in one piece it could be wider than a phone."""
_OPTION_OR_DATE = r"(?<![\w-])--[a-z][a-z-]*|\b\d{4}-\d\d-\d\d\b|\brod-hours?\b"


def template(name: str, known: dict[str, Any], names: Collection[str] = ()) -> Template:
    """A template by the name of its file; it knows `known` by name, and `pieces` with those names.

    Texts are escaped; a name that nobody gave is an error.
    """
    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals.update(known)
    environment.filters["pieces"] = lambda text: [
        (piece if whole else _tied(piece), whole) for piece, whole in pieces(str(text), names)
    ]
    source = files("rodhours.report").joinpath(name).read_text(encoding="utf-8")
    return environment.from_string(source)


def _tied(text: str) -> str:
    """A sentence whose numbers do not part from their unit at the end of a line."""
    text = re.sub(r"(?<=\d) (?=%|(?:ml|mm|kg|g|lb|oz|s)\b|°C)", "\u00a0", text)
    return re.sub(r"\bp ([=<]) (?=\d)", "p\u00a0\\1\u00a0", text)


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
