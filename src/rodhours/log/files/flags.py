"""What a workbook tells beyond its values: size, errors, percentages, unsaved formulas.

Sizes are taken from a search of the text, before any library lays the cells out. Errors and the
like are read with openpyxl.
"""

from __future__ import annotations

import io
import re
import warnings
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from html import unescape
from typing import Any

Cell = tuple[int, int]
"""Row and column of a cell, both from 1."""

_ATTRIBUTES = rb"((?:[^<>\"']|\"[^\"]*\"|'[^']*')*)"
_XLSX = re.compile(rb"<(?:\w+:)?(row|c)(?=[\s/>])" + _ATTRIBUTES + rb">")
_ODS = re.compile(
    rb"<(?:\w+:)?(table|table-row|table-cell|covered-table-cell)(?=[\s/>])" + _ATTRIBUTES + rb">"
)
_ODD_CELLS = tuple(
    map(
        re.compile,
        (rb"<c(?! r=\")[\s/>]", rb":c[\s/>]", rb"r=\"[A-Z]?(?:[A-Z]{2}|[2-9]\d{5}|\d{7})"),
    )
)
"""Cells without a place, with a prefix, or beyond column Z or row 199,999."""
_PLACE = re.compile(rb"\br\s*=\s*[\"']([A-Z]{0,3})(\d{1,9})[\"']")
_REPEATED = re.compile(rb"-repeated\s*=\s*[\"'](\d+)[\"']")
_NAME = re.compile(rb"[\s:]name\s*=\s*[\"']([^\"']*)[\"']")
_SHARED = re.compile(rb"<(?:\w+:)?v>(\d{1,9})</")
_QUOTED = re.compile(r"\"[^\"]*\"|\\.")


@dataclass
class Size:
    """Last row and last column with a value in them, and at most how many bytes of text."""

    extent: Cell = (0, 0)
    text: int = 0

    def reach(self, row: int, column: int) -> None:
        """Note that this cell has a value."""
        self.extent = max(self.extent[0], row), max(self.extent[1], column)


@dataclass(frozen=True)
class Flags:
    """The cells of a sheet that show an error or a percentage, formulas without a saved value."""

    errors: dict[Cell, str] = field(default_factory=dict)
    percentages: list[Cell] = field(default_factory=list)
    unsaved: list[Cell] = field(default_factory=list)


def cell_name(cell: Cell) -> str:
    """The name of a cell as a spreadsheet shows it: C5."""
    row, column = cell
    letters = ""
    while column:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return f"{letters}{row}"


def xlsx_sizes(sheets: dict[str, bytes], texts: bytes, enough: int) -> dict[str, Size]:
    """The size of each sheet of an .xlsx workbook; `texts` are those that cells share.

    The text is counted cell by cell only where it could be more than `enough`.
    """
    sizes = {name: _xlsx_extent(sheet) for name, sheet in sheets.items()}
    lengths = [len(text) for text in texts.split(b"</si>")]
    for name, sheet in sheets.items():
        sizes[name].text = max(lengths) * sheet.count(b"</")
        if sizes[name].text > enough:
            times = Counter(map(int, _SHARED.findall(sheet)))
            known = (number for number in times if number < len(lengths))
            sizes[name].text = sum(times[number] * lengths[number] for number in known)
    return sizes


def _xlsx_extent(sheet: bytes) -> Size:
    size = Size()
    if not any(odd.search(sheet) for odd in _ODD_CELLS):
        return size  # as nearly every sheet is, and a small one
    row = column = 0
    for element in _XLSX.finditer(sheet):
        place = _PLACE.search(element[2])
        if element[1] == b"row":
            row, column = int(place[2]) if place else row + 1, 0
            continue
        column += 1
        if place:
            row, column = int(place[2]), _column(place[1])
        if not element[2].endswith(b"/"):
            size.reach(row, column)
    return size


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - ord("A") + 1
    return number


def ods_sizes(content: bytes) -> dict[str, Size]:
    """The size of each sheet of an .ods workbook, where one cell may stand for many."""
    sizes: dict[str, Size] = {}
    size = Size()
    row = rows = column = 0
    for element in _ODS.finditer(content):
        repeated = _REPEATED.search(element[2])
        times = int(repeated[1]) if repeated else 1
        if element[1] == b"table":
            name = _NAME.search(element[2])
            size = sizes.setdefault(unescape(name[1].decode()) if name else "", Size())
            row = rows = 0
        elif element[1] == b"table-row":
            row, rows, column = row + rows, times, 0
        else:
            column += times
            if b"value-type" in element[2]:
                size.reach(row + rows, column)
                end = content.find(b"table-cell>", element.end())
                size.text += (end - element.end()) * rows * times
    return sizes


def read_flags(content: bytes, names: Iterable[str]) -> dict[str, Flags]:
    """The flags of these sheets; openpyxl's errors pass where it cannot read them."""
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        values, formulas = (
            load_workbook(io.BytesIO(content), read_only=True, data_only=only, keep_links=False)
            for only in (True, False)
        )
        return {name: _sheet_flags(values[name], formulas[name]) for name in names}


def _sheet_flags(values: Any, formulas: Any) -> Flags:
    flags = Flags()
    values.reset_dimensions()
    formulas.reset_dimensions()
    for row, (cells, same) in enumerate(zip(values.rows, formulas.rows, strict=True), start=1):
        for column, (cell, as_formula) in enumerate(zip(cells, same, strict=True), start=1):
            if cell.value is None:
                if as_formula.data_type == "f" and cell.data_type != "str":
                    flags.unsaved.append((row, column))
            elif cell.data_type == "e":
                flags.errors[row, column] = cell.value
            elif cell.data_type == "n" and "%" in _QUOTED.sub("", cell.number_format):
                flags.percentages.append((row, column))
    return flags
