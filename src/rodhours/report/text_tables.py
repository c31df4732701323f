"""Plain text for a terminal: aligned tables, wrapped sentences, lists of notes.

Nothing is cut where no width is given. In a width, sentences are wrapped, a table that is too wide
is set as several under each other, and a name that is wider than all of it is folded. Letters of
other scripts are aligned too.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Sequence

from rodhours.evidence.result import Note
from rodhours.words.notes import gathered

SHORT_NAME = 12
"""Names up to this many columns stay beside their figures, however narrow the terminal."""
NARROWEST = 40
"""Sentences are not wrapped narrower than this, however narrow the terminal."""
_FILLER = "\ufeff"


def aligned(rows: Sequence[Sequence[str]], width: int | None = None) -> list[str]:
    """Rows as lines: the first column to the left, figures to the right, two spaces between.

    The first row is the heading; a row of one cell is a sentence or a name over the rows beneath.
    Where the table is wider than `width`, its heading is stacked and the longest names get a line
    of their own, so a row can then be two lines.
    """
    lines = iter(_aligned([row for row in rows if len(row) > 1], width))
    return [next(lines) if len(row) > 1 else wrapped(row[0], width) for row in rows]


def _aligned(rows: Sequence[Sequence[str]], width: int | None) -> list[str]:
    lines = _lines(rows)
    if width is None or max(map(columns, lines)) <= width:
        return lines
    stacked = [cell.rpartition(" ") for cell in rows[0]]
    over, heading = [cell[0] for cell in stacked], [cell[2] for cell in stacked]
    body = [over, heading, *rows[1:]]
    figures = sum(max(columns(row[i]) for row in body) + 2 for i in range(1, len(heading)))
    room = max(width - figures, SHORT_NAME)
    kept = [row if columns(row[0]) <= room else ["", *row[1:]] for row in body]
    first, second, *others = _lines(kept)
    named = [
        line if row[0] == short[0] else f"{wrapped(row[0], width)}\n{line}"
        for row, short, line in zip(rows[1:], kept[2:], others, strict=True)
    ]
    return [f"{first}\n{second}", *named]


def side_by_side(rows: Sequence[Sequence[str]], width: int | None) -> str:
    """Rows as `aligned` has them; columns that find no room stand in a table beneath."""
    for most in range(len(rows[0]), 1, -1):
        text = "\n".join(aligned([row[:most] for row in rows], width))
        if width is None or max(map(columns, text.split("\n"))) <= width:
            break
    left = [[row[0], *row[most:]] for row in rows]
    return text if most == len(rows[0]) else f"{text}\n\n{side_by_side(left, width)}"


def _lines(rows: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(columns(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [
        "  ".join(
            cell + " " * (wide - columns(cell)) if i == 0 else " " * (wide - columns(cell)) + cell
            for i, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]


def columns(text: str) -> int:
    """How many columns of a terminal a text takes up."""
    return sum(
        0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
        for letter in text
    )


def wrapped(text: str, width: int | None, first: str = "", later: str = "") -> str:
    """A text wrapped at `width` columns, at 40 at the least; None leaves it on one line.

    `first` stands before its first line, `later` before the others.
    """
    if width is None:
        return first + text
    # Letters that take up two columns are counted so.
    wide = "".join(one + _FILLER * (columns(one) - 1) for one in text)
    return textwrap.fill(
        wide,
        max(width, NARROWEST),
        initial_indent=first,
        subsequent_indent=later,
        break_on_hyphens=False,
    ).replace(_FILLER, "")


def notes_list(notes: Sequence[Note], width: int | None) -> str:
    """Notes as a list, what holds for several baits said once."""
    return "\n".join(wrapped(text, width, "- ", "  ") for _, text in gathered(notes))


def paragraphs(parts: Sequence[tuple[str, bool]], width: int | None) -> str:
    """Paragraphs with an empty line between them, items of a list (True) each on its own lines."""
    lines: list[str] = []
    for text, is_item in parts:
        if lines and not is_item:
            lines.append("")
        lines.append(wrapped(text, width, *(("- ", "  ") if is_item else ("", ""))))
    return "\n".join(lines)
