"""Cells of every spreadsheet and CSV file written: a text that begins like a formula never runs.

In a CSV file such a text gets an apostrophe in front, which is how spreadsheets themselves mark a
text. Reading takes one apostrophe off again wherever what follows it could have got one, so that
`unguarded(guarded(text)) == text` for every text, and a text that merely begins with an
apostrophe ('tis) is left alone both ways.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from openpyxl.cell import Cell

_FORMULA = re.compile(r"'*[=+\-@\t\r\n]")
_GUARDED = re.compile(r"'+[=+\-@\t\r\n]")
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)


def may_hold_guarded(text: str) -> bool:
    """Whether there can be a cell to take an apostrophe off in a file's text."""
    return _GUARDED.search(text) is not None


def begins_like_formula(text: str) -> bool:
    """Whether a spreadsheet may run the text: it begins with = + - @, a tab or a line end.

    Signed numbers are none: they are values, not formulas.
    """
    return _FORMULA.match(text) is not None and _NUMBER.fullmatch(text) is None


def guarded(text: str) -> str:
    """The text as it stands in a CSV file."""
    return f"'{text}" if begins_like_formula(text) else text


def unguarded(cell: str) -> str:
    """The text that a cell of a CSV file stands for."""
    return cell[1:] if cell.startswith("'") and _GUARDED.match(cell) else cell


def csv_text(rows: Iterable[Iterable[object]]) -> str:
    """Rows as a CSV file (RFC 4180): texts guarded, None an empty cell."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows(
        [guarded(cell) if isinstance(cell, str) else cell for cell in row] for row in rows
    )
    return out.getvalue()


def put_text(cell: Cell, text: str) -> bool:
    """Write a text, as a text, into a workbook's cell; whether the cell can hold it as it is."""
    from openpyxl.utils.exceptions import IllegalCharacterError

    try:
        cell.value = text
    except IllegalCharacterError:
        cell.value = None
    cell.data_type = "s"
    cell.quotePrefix = begins_like_formula(text)
    return bool(cell.value == text)
