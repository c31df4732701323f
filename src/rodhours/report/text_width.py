"""Text fitted to a width, for pictures whose letters the reader's own machine draws.

The true width is not known here, so it is estimated on the wide side; other scripts count too.
"""

from __future__ import annotations

import unicodedata

LATIN_ENDS = "\u0250"
"""Letters of other alphabets are wider on average."""


def width(text: str, size: float) -> float:
    """About how wide a text is, in points: full-width letters one em, others a little over half."""
    ems = 0.0
    for letter in text:
        if unicodedata.combining(letter):
            continue
        if unicodedata.east_asian_width(letter) in "WF":
            ems += 1.0
        else:
            ems += 0.58 if letter < LATIN_ENDS else 0.68
    return ems * size


def shorten(text: str, room: float, size: float) -> str:
    """The text, with … in its middle where it is wider than the room; the table has it whole.

    Both ends stay, because names of one family often differ at their end alone.
    """
    text = " ".join(text.split())
    if width(text, size) <= room:
        return text
    for kept in range(len(text) - 1, 1, -1):
        head, tail = text[: kept - kept * 2 // 5].rstrip(), text[len(text) - kept * 2 // 5 :]
        short = f"{head}…{tail.lstrip()}"
        if width(short, size) <= room:
            return short
    return "…"


def wrap(text: str, room: float, size: float, most: int = 3) -> list[str]:
    """A name in up to three lines, broken between words where it can be."""
    lines: list[str] = []
    rest = " ".join(text.split())
    while len(lines) < most - 1 and width(rest, size) > room:
        fits = next(n for n in range(len(rest), 0, -1) if width(rest[:n], size) <= room)
        cut = rest.rfind(" ", 1, fits + 1)
        cut = fits if cut < 0 else cut
        lines.append(rest[:cut])
        rest = rest[cut:].lstrip()
    return [*lines, shorten(rest, room, size)]
