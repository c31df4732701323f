"""The marks of .xlsb sheets, from their records ([MS-XLSB] sections 2.1.4 and 2.4).

Formulas of .xlsb always have a saved value, so there are errors, percentages and the extent.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from rodhours.logbook.files.marks import Marks
from rodhours.logbook.files.xls_marks import ERRORS, PERCENT_FORMATS
from rodhours.logbook.files.xml_events import BadXml, related_parts

ROW, BLANK, RK, ERROR, REAL, FORMULA_NUMBER, FORMULA_ERROR = 0, 1, 2, 3, 5, 9, 11
LAST_CELL_RECORD = 11
BUNDLE_SHEET, FORMAT, XF, BEGIN_CELL_XFS, END_CELL_XFS = 156, 44, 47, 617, 618


def xlsb_marks(parts: dict[str, bytes]) -> dict[str, Marks]:
    """The marks of each worksheet by its name; BadXml where a part is damaged."""
    try:
        percent = _percent_styles(parts.get("xl/styles.bin", b""))
        return {
            name: _sheet_marks(parts[part], percent)
            for name, part in _sheet_parts(parts).items()
            if part in parts and part.startswith("xl/worksheets/")
        }
    except (struct.error, IndexError, ValueError) as error:
        raise BadXml(str(error)) from None


def _records(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Each record's number and body; both number and length are spelt in groups of 7 bits."""
    place = 0
    while place < len(data):
        kind, place = _seven_bits(data, place, 2)
        size, place = _seven_bits(data, place, 4)
        if place + size > len(data):
            raise ValueError("a record beyond the end")
        yield kind, data[place : place + size]
        place += size


def _seven_bits(data: bytes, place: int, most: int) -> tuple[int, int]:
    """A number of at most `most` bytes and the place after it."""
    number = 0
    for step in range(most):
        byte = data[place + step]
        number |= (byte & 0x7F) << (7 * step)
        if not byte & 0x80:
            return number, place + step + 1
    return number, place + most


def _sheet_parts(parts: dict[str, bytes]) -> dict[str, str]:
    targets = related_parts(parts.get("xl/_rels/workbook.bin.rels"))
    found: dict[str, str] = {}
    for kind, body in _records(parts["xl/workbook.bin"]):
        if kind == BUNDLE_SHEET:
            identity, after = _wide_text(body, 8)
            name, _ = _wide_text(body, after)
            found[name] = targets.get(identity, "")
    return found


def _wide_text(body: bytes, place: int) -> tuple[str, int]:
    (length,) = struct.unpack_from("<I", body, place)
    if length == 0xFFFFFFFF:
        return "", place + 4
    after = place + 4 + 2 * length
    return body[place + 4 : after].decode("utf-16-le", "replace"), after


def _percent_styles(styles: bytes) -> frozenset[int]:
    codes = set(PERCENT_FORMATS)
    percent: set[int] = set()
    number = -1
    for kind, body in _records(styles):
        if kind == FORMAT:
            if "%" in _wide_text(body, 2)[0]:
                codes.add(struct.unpack_from("<H", body, 0)[0])
        elif kind == BEGIN_CELL_XFS:
            number = 0
        elif kind == END_CELL_XFS:
            number = -1
        elif kind == XF and number >= 0:
            if struct.unpack_from("<H", body, 2)[0] in codes:
                percent.add(number)
            number += 1
    return frozenset(percent)


def _sheet_marks(data: bytes, percent: frozenset[int]) -> Marks:
    marks = Marks()
    row = 0
    for kind, body in _records(data):
        if kind == ROW:
            row = struct.unpack_from("<I", body, 0)[0] + 1
        elif BLANK < kind <= LAST_CELL_RECORD:
            column, style = struct.unpack_from("<II", body, 0)
            cell = row, column + 1
            marks.reach(*cell)
            if kind in (ERROR, FORMULA_ERROR):
                marks.errors[cell] = ERRORS.get(body[8], "#ERROR")
            elif kind in (RK, REAL, FORMULA_NUMBER) and style & 0xFFFFFF in percent:
                marks.percentages.add(cell)
    return marks
