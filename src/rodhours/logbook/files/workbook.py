"""A workbook to the rows of text of its sheets."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rodhours.errors import UnusableFile
from rodhours.logbook.files.cells import as_text, iso_duration, percentage
from rodhours.logbook.files.compound import compound_marks
from rodhours.logbook.files.marks import MAX_CELLS, Marks, cell_name
from rodhours.logbook.files.ods_marks import ods_marks
from rodhours.logbook.files.opening import Content
from rodhours.logbook.files.unpacking import Format, damaged, protected, unpack
from rodhours.logbook.files.xlsb_marks import xlsb_marks
from rodhours.logbook.files.xlsx_marks import xlsx_marks
from rodhours.logbook.files.xml_events import BadXml

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
            if ods:
                marks = ods_marks(workbook.parts["content.xml"])
            elif workbook.format is Format.XLSX:
                marks = xlsx_marks(workbook.parts)
            else:
                marks = xlsb_marks(workbook.parts)
        else:
            marks = compound_marks(file, content)
    except BadXml:
        raise damaged(file) from None
    for name, found in marks.items():
        if found.extent[0] * found.extent[1] > MAX_CELLS:
            raise UnusableFile(
                f"{file}, sheet {name}: cells are filled as far as {cell_name(found.extent)}; "
                "that is too large a sheet for a trip log. Delete what stands far away from "
                "the table."
            )
    sheets = []
    for name, rows in _values(file, content).items():
        texts = [list(map(as_text, row)) for row in rows]
        if ods:
            texts = [list(map(iso_duration, row)) for row in texts]
        sheet = Sheet(name, texts, marks.get(name, Marks()))
        _fill_in(sheet)
        sheets.append(sheet)
    return sheets


def require_saved(file: Path, sheet: Sheet) -> None:
    """Raise UnusableFile where a formula has no saved value: its cell would seem empty."""
    unsaved = sheet.marks.unsaved
    if not unsaved:
        return
    names = ", ".join(map(cell_name, unsaved[:NAMED]))
    more = f" and {len(unsaved) - NAMED} more" if len(unsaved) > NAMED else ""
    what = "the formula in" if len(unsaved) == 1 else "the formulas in"
    raise UnusableFile(
        f"{file}, sheet {sheet.name}: {what} {names}{more} {'has' if len(unsaved) == 1 else 'have'}"
        " no saved value. Open the workbook in your spreadsheet program, save it there and "
        "import it again."
    )


def _values(file: Path, content: bytes) -> dict[str, list[list[Any]]]:
    """The values of every worksheet."""
    from python_calamine import CalamineWorkbook, SheetTypeEnum

    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
        return {
            sheet.name: workbook.get_sheet_by_name(sheet.name).to_python(skip_empty_area=False)
            for sheet in workbook.sheets_metadata
            if sheet.typ == SheetTypeEnum.WorkSheet
        }
    except BaseException as error:
        # The library's own error classes differ between its versions, and a panic in it is
        # not even an Exception.
        if isinstance(error, KeyboardInterrupt | SystemExit | MemoryError):
            raise
        if "password" in str(error).lower():
            raise protected(file) from None
        raise damaged(file) from None


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
