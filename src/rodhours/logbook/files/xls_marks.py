"""The marks of .xls sheets, from their records ([MS-XLS] sections 2.4 and 2.5).

Formulas of .xls always have a saved value, so there are errors and percentages to find.
"""

from __future__ import annotations

import struct

from rodhours.logbook.files.marks import Marks

BOUND_SHEET, BEGIN, FILE_PASS, FORMAT, XF = 0x85, 0x809, 0x2F, 0x41E, 0xE0
FORMULA, NUMBER, RK, MANY_RK, BOOL_OR_ERROR = 0x06, 0x203, 0x27E, 0xBD, 0x205
TEXTS = (0xFD, 0x204, 0xD6)
"""Cells with a text: shared, of their own, formatted."""
ERRORS = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
    0x2B: "#GETTING_DATA",
}
"""The errors of a cell by their number."""
PERCENT_FORMATS = frozenset((9, 10))
"""The built-in number formats 0% and 0.00%."""


class Encrypted(Exception):
    """The workbook says that its records are encrypted."""


def xls_marks(stream: bytes) -> dict[str, Marks]:
    """The marks of each sheet by its name; struct.error or IndexError for damaged records."""
    sheets: dict[int, str] = {}
    percent_formats = set(PERCENT_FORMATS)
    formats: list[int] = []
    found: dict[str, Marks] = {}
    marks = Marks()
    place, end = 0, len(stream) - 3
    while place < end:
        record, size = struct.unpack_from("<HH", stream, place)
        body = place + 4
        if record == BEGIN:
            marks = Marks()
            if place in sheets:
                found[sheets[place]] = marks
        elif record == FILE_PASS:
            raise Encrypted
        elif record == BOUND_SHEET and size >= 8:
            (where,) = struct.unpack_from("<I", stream, body)
            sheets[where] = _text(stream, body + 8, stream[body + 6], stream[body + 7])
        elif record == FORMAT and size >= 5:
            number, length = struct.unpack_from("<HH", stream, body)
            if "%" in _text(stream, body + 5, length, stream[body + 4]):
                percent_formats.add(number)
        elif record == XF:
            formats.append(struct.unpack_from("<H", stream, body + 2)[0])
        elif record in (FORMULA, NUMBER, RK, BOOL_OR_ERROR):
            row, column, style = struct.unpack_from("<HHH", stream, body)
            marks.reach(row + 1, column + 1)
            code = _error(record, stream, body)
            if code is not None:
                marks.errors[row + 1, column + 1] = ERRORS.get(code, "#ERROR")
            elif style < len(formats) and formats[style] in percent_formats:
                marks.percentages.add((row + 1, column + 1))
        elif record == MANY_RK:
            row, column = struct.unpack_from("<HH", stream, body)
            marks.reach(row + 1, column + (size - 6) // 6)
            for number in range((size - 6) // 6):
                (style,) = struct.unpack_from("<H", stream, body + 4 + 6 * number)
                if style < len(formats) and formats[style] in percent_formats:
                    marks.percentages.add((row + 1, column + number + 1))
        elif record in TEXTS:
            row, column = struct.unpack_from("<HH", stream, body)
            marks.reach(row + 1, column + 1)
        place = body + size
    return found


def _error(record: int, stream: bytes, body: int) -> int | None:
    """The number of the error that a cell shows; None for a cell with a value."""
    if record == BOOL_OR_ERROR:
        return stream[body + 6] if stream[body + 7] else None
    if record == FORMULA and stream[body + 12 : body + 14] == b"\xff\xff":
        return stream[body + 8] if stream[body + 6] == 2 else None
    return None


def _text(stream: bytes, start: int, length: int, flags: int) -> str:
    if flags & 1:
        return stream[start : start + 2 * length].decode("utf-16-le", "replace")
    return stream[start : start + length].decode("latin-1")
