"""A workbook to the rows of text of its sheets."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.logbook.files.cells import iso_duration, percentage
from rodhours.logbook.files.compound import compound_marks
from rodhours.logbook.files.marks import MAX_CELLS, MAX_TEXT, Marks, cell_name
from rodhours.logbook.files.ods_marks import ods_marks
from rodhours.logbook.files.opening import Content
from rodhours.logbook.files.unpacking import Format, damaged, protected, too_large, unpack
from rodhours.logbook.files.values import Locked, Unreadable, values, values_apart
from rodhours.logbook.files.xlsx_marks import xlsx_marks
from rodhours.logbook.files.xml_events import BadXml
from rodhours.wording import files as words

NAMED = 3
"""How many cells a message names before it counts the others."""


@dataclass(frozen=True)
class Sheet:
    """One sheet as rows of text from A1 on, and its marks."""

    name: str
    rows: list[list[str]]
    marks: Marks


def read_sheets(file: Path, content: bytes, kind: Content) -> list[Sheet]:
    """Every sheet that holds a table of cells, hidden ones too, in the order of the workbook.

    Cells that show an error hold its text (`#DIV/0!`), percentages their sign (`20%`).
    Raises UnusableFile where the workbook is damaged, protected or too large to lay out.
    """
    ods = False
    try:
        if kind is Content.ZIPPED:
            workbook = unpack(file, content)
            ods = workbook.format is Format.ODS
            parts = workbook.parts
            marks = ods_marks(parts["content.xml"]) if ods else xlsx_marks(parts)
        else:
            marks = compound_marks(file, content)
    except BadXml:
        raise damaged(file) from None
    for name, mark in marks.items():
        if mark.text > MAX_TEXT:
            raise too_large(file)
        if mark.extent[0] * mark.extent[1] > MAX_CELLS:
            raise UnusableFile(words.far_cell(f"{file}, sheet {name}", cell_name(mark.extent)))
    try:
        found = values_apart(file, content) if kind is Content.COMPOUND else values(content)
    except Locked:
        raise protected(file) from None
    except Unreadable:
        raise damaged(file) from None
    sheets = []
    for name, rows in found.items():
        if ods:
            rows = [list(map(iso_duration, row)) for row in rows]
        sheet = Sheet(name, rows, marks.get(name, Marks()))
        _fill_in(sheet)
        sheets.append(sheet)
    return sheets


def require_saved(file: Path, sheet: Sheet) -> None:
    """Raise UnusableFile where a formula has no saved value: its cell would seem empty."""
    unsaved = list(map(cell_name, sheet.marks.unsaved))
    if unsaved:
        raise UnusableFile(
            words.unsaved_formulas(
                f"{file}, sheet {sheet.name}", unsaved[:NAMED], len(unsaved[NAMED:])
            )
        )


def _fill_in(sheet: Sheet) -> None:
    for (row, column), text in sheet.marks.errors.items():
        while len(sheet.rows) < row:
            sheet.rows.append([])
        cells = sheet.rows[row - 1]
        cells.extend([""] * (column - len(cells)))
        cells[column - 1] = text
    for row, column in sheet.marks.percentages:
        if row <= len(sheet.rows) and column <= len(sheet.rows[row - 1]):
            cells = sheet.rows[row - 1]
            cells[column - 1] = percentage(cells[column - 1])
