"""A blank trip log to fill in: a workbook with lists and checks in its cells, or four CSV files.

Everything in it follows from `tables`. It imports as it is, without a layout file: its example
row bears a mark that the import knows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rodhours.errors import UnusableFile
from rodhours.log.export import cannot_be_written, workbook_bytes, write_files
from rodhours.log.tables import COMPASS_POINTS, STINTS, TABLES, VARIANTS, Column, Kind, Table
from rodhours.log.unfished import EXAMPLE_MARK
from rodhours.spreadsheet_cells import csv_text, put_text

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

ROWS_CHECKED = 2_000
"""The last row whose cells have lists and checks: some ten seasons of long sessions."""
ROWS_PRINTED = {"stints": 18, "sessions": 21, "catches": 24, "variants": 18}
ROW_POINTS = {"stints": 29.0, "sessions": 31.0, "catches": 19.0, "variants": 22.0}
"""So many rows have ruled boxes, so high that they fill one A4 page when it is printed."""
_LISTS = {Kind.COMPASS: COMPASS_POINTS, Kind.OUTCOME: ("landed", "lost")}
EXAMPLES: Mapping[str, Mapping[str, str | float]] = {
    "stints": {
        "session": EXAMPLE_MARK,
        "variant": "pellet-20",
        "hours": 22.5,
        "fish": 0,
        "lost": 1,
        "rod": "1",
        "hook_size": "6",
        "spot": "gravel bar",
    },
    "sessions": {
        "session": EXAMPLE_MARK,
        "date": "2025-04-12",
        "start": "2025-04-12T18:30",
        "venue": "Quernhollow Mere",
        "water_temp_c": 11.5,
        "wind_dir": "SW",
        "wind_force": 3,
    },
    "catches": {
        "session": EXAMPLE_MARK,
        "rod": "1",
        "variant": "pellet-20",
        "time": "2025-04-13T05:40",
        "species": "carp",
        "weight": "22lb 4oz",
        "outcome": "landed",
    },
    "variants": {
        "variant": EXAMPLE_MARK,
        "base_mix": "birdseed",
        "pellet_pct": 20,
        "attractor_ml_per_egg": 2,
        "cork_mm": 10,
        "size_mm": 14,
        "boil_s": 75,
    },
}
"""The example row of each table, cells in the trip log's own form."""
_KIND_WIDTHS = {Kind.DATE: 12, Kind.MOMENT: 17}
_WIDTHS = {"session": 22, "variant": 22, "venue": 18, "notes": 30} | dict.fromkeys(
    ("swim", "species", "spot"), 14
)
_FORMATS = dict.fromkeys(Kind, "@") | {
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
        rows = ([row.get(name) for name in table.names] for row in _rows(table, recipes))
        files[f"{table.name}.csv"] = csv_text([table.names, *rows]).encode()
    write_new(files, folder, called=folder)
    return [folder / name for name in files]


def write_template_workbook(target: Path, recipes: Recipes = ()) -> None:
    """The four tables as sheets of one workbook, with lists, checks, notes and print settings.

    `recipes` and errors as for the CSV files.
    """
    from openpyxl import Workbook

    if target.suffix.lower() != ".xlsx":
        raise UnusableFile(f"{target}: a workbook's name ends in .xlsx.")
    book = Workbook()
    book.remove(book.active)
    for table in _tables(recipes):
        sheet = book.create_sheet(table.name)
        _fill(sheet, table, _rows(table, recipes))
        _explain(sheet, table)
        _make_ready_to_print(sheet, table)
    write_new({target.name: workbook_bytes(book)}, target.parent, called=target)


def write_new(files: Mapping[str, bytes], folder: Path, called: Path) -> None:
    """Write files by name into a folder; UnusableFile where one is there or cannot be written."""
    for path in (folder / name for name in files):
        if path.exists():
            raise UnusableFile(f"{path} is there already and was left alone; choose another name.")
    # A folder that is called by its name appears with its files, the folders above it before.
    above = folder.parent if called == folder else folder
    try:
        above.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise cannot_be_written(above, error) from None
    write_files(files, folder, called)


def _tables(recipes: Recipes) -> list[Table]:
    """The tables, with the recipes' own columns in variants."""
    own = dict.fromkeys(name for row in recipes for name in row if name not in VARIANTS.names)
    further = tuple(Column(name, Kind.TEXT, "a column of your own") for name in own)
    return [
        replace(table, columns=table.columns + further) if table is VARIANTS else table
        for table in TABLES.values()
    ]


def _rows(table: Table, recipes: Recipes) -> Recipes:
    return [EXAMPLES[table.name], *(recipes if table.name == VARIANTS.name else ())]


def _fill(sheet: Worksheet, table: Table, rows: Recipes) -> None:
    from openpyxl.styles import Alignment, Border, Font, Side
    from openpyxl.utils import get_column_letter

    hair = Side(style="hair", color="808080")
    boxes = Border(left=hair, right=hair, top=hair, bottom=hair)
    last = max(ROWS_PRINTED[table.name], len(rows) + 6) + 1
    for number, column in enumerate(table.columns, start=1):
        width = _WIDTHS.get(column.name, max(len(column.name) + 2, 8))
        dimension = sheet.column_dimensions[get_column_letter(number)]
        dimension.width = _KIND_WIDTHS.get(column.kind, width)
        dimension.number_format = _FORMATS[column.kind]
        head = sheet.cell(1, number, column.name)
        head.font = Font(bold=column.needed or column.name in ("hours", "fish"))
        head.border = Border(bottom=Side(style="thin"), left=hair, right=hair)
        for line in range(2, last + 1):
            cell = sheet.cell(line, number)
            cell.number_format = _FORMATS[column.kind]
            cell.border = boxes
            cell.alignment = Alignment(vertical="center")
            if line - 2 < len(rows):
                value = _typed(column, rows[line - 2].get(column.name))
                if isinstance(value, str):
                    put_text(cell, value)
                else:
                    cell.value = value
            if line == 2:
                cell.font = Font(italic=True, color="707070")
    for line in range(2, last + 1):
        sheet.row_dimensions[line].height = ROW_POINTS[table.name]
    sheet.freeze_panes = "A2"


def _typed(column: Column, value: object) -> object:
    """A canonical value as a spreadsheet's own: real dates, so that its checks know them."""
    if isinstance(value, str) and column.kind is Kind.DATE:
        return date.fromisoformat(value)
    if isinstance(value, str) and column.kind is Kind.MOMENT:
        return datetime.fromisoformat(value)
    return value


def _form(table: Table, column: Column, cell: str) -> tuple[str, dict[str, str] | None]:
    """How a column's cells are written, and the spreadsheet's own check of them (first: `cell`).

    No words and no check where any text will do. A list that other texts may join only warns; what
    an import would refuse is stopped.
    """
    if column.name == "variant" and table is not VARIANTS:
        says = "Choose a label from the sheet variants, or write a new one and add it there."
        labels = f"variants!$A$3:$A${ROWS_CHECKED}"
        return says, {"type": "list", "formula1": labels, "errorStyle": "warning"}
    match column.kind:
        case Kind.ROD:
            says = "The rod position, counted from the left: 1, 2, 3. Another text may stand here."
            return says, {"type": "list", "formula1": '"1,2,3,4"', "errorStyle": "warning"}
        case Kind.DATE | Kind.MOMENT:
            says = "Date and time on the local clock, such as 2025-04-12 18:30."
            if column.kind is Kind.DATE:
                says = "Year-month-day, such as 2025-04-12."
            # Spreadsheets keep dates as days since 1900: any day from 1950 on.
            return says, {"type": "date", "operator": "greaterThan", "formula1": "18264"}
        case Kind.WEIGHT:
            # Text, so that the spreadsheet makes no date of it.
            says = "Write the unit too: 22lb 4oz, 22.25 lb or 10.1 kg."
            return says, {"type": "custom", "formula1": f"ISTEXT({cell})"}
        case Kind.COMPASS | Kind.OUTCOME:
            listed = _LISTS[column.kind]
            says = f"One of the list: {', '.join(listed)}."
            return says, {"type": "list", "formula1": f'"{",".join(listed)}"'}
        case Kind.WHOLE | Kind.NUMBER:
            rule = {"type": "whole" if column.kind is Kind.WHOLE else "decimal"}
            what, low = column.kind.value, f"{column.low or 0:g}"
            if column.name == "fish":
                says = "A stint without a fish is written 0: an empty cell means not recorded."
            else:
                says = f"A {what}, {low} or more."
            if column.above is not None:
                above = f"{column.above:g}"
                rule |= {"operator": "greaterThan", "formula1": above}
                says = f"A {what} above {above}."
            elif column.high is not None:
                high = f"{column.high:g}"
                rule |= {"operator": "between", "formula1": low, "formula2": high}
                says = says if column.name == "fish" else f"A {what} from {low} to {high}."
            else:
                rule |= {"operator": "greaterThanOrEqual", "formula1": low}
            return says, rule
    return "", None


def _explain(sheet: Worksheet, table: Table) -> None:
    """A note on each head: what it holds, how it is written, whether it is needed; and checks."""
    from openpyxl.comments import Comment
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.datavalidation import DataValidation

    for number, column in enumerate(table.columns, start=1):
        letter = get_column_letter(number)
        says, rule = _form(table, column, f"{letter}2")
        holds = f"{column.holds[:1].upper()}{column.holds[1:]}."
        need = "May stay empty: an empty cell means not recorded."
        if column.name == "hours":
            need = "Needed, or cast_in and cast_out instead."
        elif column.needed or column.name == "fish":
            need = "Needed." if table is STINTS else "Needed only for rows filled in on this sheet."
        note = "\n".join(filter(None, (holds, says, need)))
        sheet.cell(1, number).comment = Comment(note, "trip log", width=300, height=130)
        if rule is not None:
            check = DataValidation(
                **rule,
                allow_blank=True,
                showErrorMessage=True,
                errorTitle="This cannot be taken",
                error=says[:255],
                showInputMessage=column.kind is not Kind.COMPASS,
                promptTitle=column.name,
                prompt=f"{holds} {says}"[:255],
            )
            check.add(f"{letter}2:{letter}{ROWS_CHECKED}")
            sheet.add_data_validation(check)


def _make_ready_to_print(sheet: Worksheet, table: Table) -> None:
    """One A4 page, the head on every page where it takes more, ruled boxes to write in."""
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.page_setup.orientation = sheet.ORIENTATION_LANDSCAPE
    sheet.page_setup.fitToWidth = 1
    # More recipes than a page holds go on further pages: smaller letters could not be read.
    sheet.page_setup.fitToHeight = int(sheet.max_row <= ROWS_PRINTED[table.name] + 1)
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"
    sheet.page_margins.left = sheet.page_margins.right = 0.4
    sheet.page_margins.top = sheet.page_margins.bottom = 0.7
    sheet.page_margins.header = sheet.page_margins.footer = 0.3
    sheet.oddHeader.left.text = f"Trip log: {table.name}, one row for {table.row_is}"
    sheet.oddFooter.left.text = (
        "Look up for overhead power lines; keep back from the edge in the dark; "
        "rod licence and fishery rules first."
    )
    sheet.oddFooter.right.text = "&P / &N"
