"""Characters that cannot be seen and steer what shows a text: found, or shown as code points."""

from __future__ import annotations

import re

_STEERING = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Control characters but for tab and line ends; embeddings, overrides and isolates of direction
(Unicode Bidirectional Algorithm, UAX 9, table of explicit formatting characters)."""
_SILENT = re.compile(r"[\u00ad\u200b\u200e\u200f\u2060\ufeff]")
"""Soft hyphen, zero-width space, marks of direction, word joiner, byte order mark."""


def steering(text: str) -> str | None:
    """The code point of the first character that steers a terminal or a line; None without."""
    found = None if text.isprintable() else _STEERING.search(text)
    return None if found is None else _code_point(found)


def shown(text: str) -> str:
    """The text with every such character as its code point, and a bare carriage return too."""
    return _STEERING.sub(_code_point, text).replace("\r\n", "\n").replace("\r", "<U+000D>")


def without_silent(text: str) -> str:
    """The text without characters that nobody sees and nothing is steered by."""
    return _SILENT.sub("", text)


def _code_point(found: re.Match[str]) -> str:
    return f"<U+{ord(found[0]):04X}>"
