"""A blank trip log to fill in: a workbook with lists and checks in its cells, or four CSV files.

Everything in it follows from `tables`; what it says is in `wording.template`. It imports as it
is, without a layout file: its example row bears a mark that the import knows.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rodhours.errors import UnusableFile
from rodhours.logbook.export import workbook_bytes, write_files
from rodhours.logbook.tables import (
    COMPASS_POINTS,
    STINTS,
    TABLES,
    VARIANTS,
    Column,
    Kind,
    Table,
)
from rodhours.wording import template as words
from rodhours.wording.export import cannot_be_written

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

ROWS_CHECKED = 2_000
"""The last row whose cells have lists and checks: some ten seasons of long sessions."""
ROWS_PRINTED = {"stints": 26, "sessions": 26, "catches": 24, "variants": 18}
ROW_POINTS = {"stints": 29.0, "sessions": 31.0, "catches": 19.0, "variants": 22.0}
"""So many rows have ruled boxes, so high that they fill one A4 page when it is printed."""
RODS = ("1", "2", "3", "4")
EXAMPLES: Mapping[str, Mapping[str, str | float]] = {
    "stints": {
        "session": words.EXAMPLE_MARK,
        "variant": "pellet-20",
        "hours": 22.5,
        "fish": 0,
        "lost": 1,
        "rod": "1",
        "hook_size": "4",
        "spot": "gravel bar",
    },
    "sessions": {
        "session": words.EXAMPLE_MARK,
        "date": "2025-04-12",
        "start": "2025-04-12T18:30",
        "venue": "Quernhollow Mere",
        "water_temp_c": 11.5,
        "wind_dir": "SW",
        "wind_force": 3,
    },
    "catches": {
        "session": words.EXAMPLE_MARK,
        "rod": "1",
        "variant": "pellet-20",
        "time": "2025-04-13T05:40",
        "species": "carp",
        "weight": "22lb 4oz",
        "outcome": "lost",
    },
    "variants": {
        "variant": words.EXAMPLE_MARK,
        "base_mix": "birdseed",
        "pellet_pct": 20,
        "attractor_ml_per_egg": 4,
        "cork_mm": 12,
        "size_mm": 15.5,
        "boil_s": 100,
    },
}
"""The example row of each table, cells in the trip log's own form."""
_KIND_WIDTHS = {Kind.DATE: 12, Kind.MOMENT: 17}
_WIDTHS = {
    "session": 22,
    "variant": 22,
    "venue": 18,
    "swim": 14,
    "notes": 30,
    "species": 14,
    "spot": 14,
}
_FORMATS = {
    Kind.TEXT: "@",
    Kind.ROD: "@",
    Kind.WEIGHT: "@",
    Kind.COMPASS: "@",
    Kind.OUTCOME: "@",
    Kind.DATE: "yyyy-mm-dd",
    Kind.MOMENT: "yyyy-mm-dd hh:mm",
    Kind.WHOLE: "0",
    Kind.NUMBER: "General",
}
"""Text columns are said to be text, so that no spreadsheet makes a date of 22-4 or 4/0."""

Recipes = Sequence[Mapping[str, Any]]


def write_template_csv(folder: Path, recipes: Recipes = ()) -> list[Path]:
    """The four tables as CSV files in `folder`, each with its head and its example row.

    `recipes` are rows of the variants table to begin with: column to canonical value, columns
    that the format does not know among them. Raises UnusableFile where one of the files is there
    already or cannot be written.
    """
    files: dict[str, bytes] = {}
    for table in _tables(recipes):
        stream = io.StringIO(newline="")
        writer = csv.DictWriter(stream, table.names, restval="")
        writer.writeheader()
        writer.writerow(dict(EXAMPLES[table.name]))
        if table.name == VARIANTS.name:
            writer.writerows(map(dict, recipes))
        files[f"{table.name}.csv"] = stream.getvalue().encode("utf-8")
    for name in files:
        _refuse_to_overwrite(folder / name)
    _make_folder(folder.parent)
    write_files(files, folder, called=folder)
    return [folder / name for name in files]


def write_template_workbook(target: Path, recipes: Recipes = ()) -> None:
    """The four tables as sheets of one workbook, with lists, checks, notes and print settings.

    `recipes` are rows of the variants table to begin with: column to canonical value, columns
    that the format does not know among them. Raises UnusableFile where the file is there already
    or cannot be written.
    """
    from openpyxl import Workbook

    if target.suffix.lower() != ".xlsx":
        raise UnusableFile(f"{target}: a workbook's name ends in .xlsx.")
    _refuse_to_overwrite(target)
    book = Workbook()
    book.remove(book.active)
    for table in _tables(recipes):
        sheet = book.create_sheet(table.name)
        _fill(sheet, table, recipes if table.name == VARIANTS.name else ())
        _check_cells(sheet, table)
        _make_ready_to_print(sheet, table)
    content = workbook_bytes(book)
    _make_folder(target.parent)
    write_files({target.name: content}, target.parent, called=target)


def _tables(recipes: Recipes) -> list[Table]:
    """The tables, with the recipes' own columns in variants."""
    own = dict.fromkeys(name for row in recipes for name in row if name not in VARIANTS.names)
    further = tuple(Column(name, Kind.TEXT, words.OWN_COLUMN) for name in own)
    return [
        replace(table, columns=table.columns + further) if table is VARIANTS else table
        for table in TABLES.values()
    ]


def _refuse_to_overwrite(target: Path) -> None:
    if target.exists():
        raise UnusableFile(f"{target} is there already and was left alone; choose another name.")


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnusableFile(cannot_be_written(str(folder), error.strerror)) from None


def _fill(sheet: Worksheet, table: Table, recipes: Recipes) -> None:
    from openpyxl.comments import Comment
    from openpyxl.styles import Alignment, Border, Font, Side
    from openpyxl.utils import get_column_letter

    hair = Side(style="hair", color="808080")
    boxes = Border(left=hair, right=hair, top=hair, bottom=hair)
    rows = [EXAMPLES[table.name], *recipes]
    printed = max(ROWS_PRINTED[table.name], len(rows) + 6)
    for number, column in enumerate(table.columns, start=1):
        letter = get_column_letter(number)
        width = _WIDTHS.get(column.name, max(len(column.name) + 2, 8))
        width = _KIND_WIDTHS.get(column.kind, width)
        sheet.column_dimensions[letter].width = width
        sheet.column_dimensions[letter].number_format = _FORMATS[column.kind]
        head = sheet.cell(1, number, column.name)
        head.font = Font(bold=column.needed or column.name in ("hours", "fish"))
        head.border = Border(bottom=Side(style="thin"), left=hair, right=hair)
        head.comment = Comment(_note(table, column), "trip log", width=300, height=130)
        for line in range(2, printed + 2):
            cell = sheet.cell(line, number)
            cell.number_format = _FORMATS[column.kind]
            cell.border = boxes
            if line - 2 < len(rows):
                cell.value = _typed(column, rows[line - 2].get(column.name))
            cell.alignment = Alignment(vertical="center")
            if line == 2:
                cell.font = Font(italic=True, color="707070")
    for line in range(2, printed + 2):
        sheet.row_dimensions[line].height = ROW_POINTS[table.name]
    sheet.freeze_panes = "A2"


def _typed(column: Column, value: object) -> object:
    """A canonical value as a spreadsheet's own: real dates, so that its checks know them."""
    from datetime import date, datetime

    if isinstance(value, str) and column.kind is Kind.DATE:
        return date.fromisoformat(value)
    if isinstance(value, str) and column.kind is Kind.MOMENT:
        return datetime.fromisoformat(value)
    return value


def _note(table: Table, column: Column) -> str:
    if column.name == "hours":
        need = words.NEEDED_OR_CASTS
    elif column.needed or (table is STINTS and column.name == "fish"):
        need = words.NEEDED if table is STINTS else words.NEEDED_HERE
    else:
        need = words.NOT_NEEDED
    return words.note(column.holds, _form(table, column), need)


def _form(table: Table, column: Column) -> str:
    """How a cell of this column is written; empty where any text will do."""
    if column.name == "fish":
        return words.BLANK_IS_ZERO
    if column.name == "variant" and table.name != VARIANTS.name:
        return words.LIST_FROM_VARIANTS
    return {
        Kind.ROD: words.ROD_LIST,
        Kind.DATE: words.DATE_FORM,
        Kind.MOMENT: words.MOMENT_FORM,
        Kind.WEIGHT: words.WEIGHT_FORM,
        Kind.COMPASS: words.FROM_LIST.format(listed=", ".join(COMPASS_POINTS)),
        Kind.OUTCOME: words.FROM_LIST.format(listed="landed, lost"),
        Kind.WHOLE: words.number_form("whole number", column.low, column.high, column.above),
        Kind.NUMBER: words.number_form("number", column.low, column.high, column.above),
        Kind.TEXT: "",
    }[column.kind]


def _check_cells(sheet: Worksheet, table: Table) -> None:
    """A list or a check on every column that has a stated form."""
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    for number, column in enumerate(table.columns, start=1):
        letter = get_column_letter(number)
        rule = _rule(table, column, f"{letter}2")
        if rule is None:
            continue
        says = words.WEIGHT_NEEDS_UNIT if column.kind is Kind.WEIGHT else _form(table, column)
        check = DataValidation(
            **rule,
            allow_blank=True,
            showErrorMessage=True,
            errorTitle=words.WRONG,
            error=says[:255],
            showInputMessage=column.kind is not Kind.COMPASS,
            promptTitle=column.name,
            prompt=f"{column.holds[:1].upper()}{column.holds[1:]}. {says}"[:255],
        )
        check.add(f"{letter}2:{letter}{ROWS_CHECKED}")
        sheet.add_data_validation(check)


def _rule(table: Table, column: Column, first_cell: str) -> dict[str, str] | None:
    """The spreadsheet's own check for a column; None where any text will do.

    A list that other texts may join only warns; what an import would refuse is stopped.
    """
    if column.name == "variant" and table.name != VARIANTS.name:
        labels = f"variants!$A$3:$A${ROWS_CHECKED}"
        return {"type": "list", "formula1": labels, "errorStyle": "warning"}
    if column.kind is Kind.ROD:
        return {"type": "list", "formula1": f'"{",".join(RODS)}"', "errorStyle": "warning"}
    if column.kind is Kind.OUTCOME:
        return {"type": "list", "formula1": '"landed,lost"'}
    if column.kind is Kind.COMPASS:
        return {"type": "list", "formula1": f'"{",".join(COMPASS_POINTS)}"'}
    if column.kind in (Kind.DATE, Kind.MOMENT):
        # Spreadsheets keep dates as days since 1900: any day from 1950 on.
        return {"type": "date", "operator": "greaterThan", "formula1": "18264"}
    if column.kind is Kind.WEIGHT:
        return {"type": "custom", "formula1": f"ISTEXT({first_cell})"}
    if column.kind not in (Kind.WHOLE, Kind.NUMBER):
        return None
    kind = "whole" if column.kind is Kind.WHOLE else "decimal"
    if column.above is not None:
        return {"type": kind, "operator": "greaterThan", "formula1": f"{column.above:g}"}
    if column.high is not None:
        low = "0" if column.low is None else f"{column.low:g}"
        return {
            "type": kind,
            "operator": "between",
            "formula1": low,
            "formula2": f"{column.high:g}",
        }
    low = "0" if column.low is None else f"{column.low:g}"
    return {"type": kind, "operator": "greaterThanOrEqual", "formula1": low}


def _make_ready_to_print(sheet: Worksheet, table: Table) -> None:
    """One A4 page wide, the head on every page, ruled boxes to write in."""
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.orientation = sheet.ORIENTATION_LANDSCAPE
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top = sheet.page_margins.bottom = 0.7
    sheet.page_margins.header = sheet.page_margins.footer = 0.3
    sheet.oddHeader.left.text = words.PRINTED_HEAD.format(table=table.name, row_is=table.row_is)
    sheet.oddFooter.left.text = words.PRINTED_FOOT
    sheet.oddFooter.right.text = "&P / &N"
