"""What is said of files: which cannot be read, and what was left aside or found out in them.

`where` is a path, or a path with its sheet.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.wording.numbers import tallied

SHEETS_NAMED = 3
"""More sheets than this are named once, where it is said that they are read."""


def only_tables(where: str, endings: Sequence[str]) -> str:
    """A file of an ending that is no table's."""
    return (
        f"{where}: only tables can be read ({', '.join(endings)}); save it as one of these, best "
        "as .xlsx or .csv."
    )


def rejects_left_aside(files: Sequence[str]) -> str:
    """Rejects files among the files to import."""
    return (
        f"{', '.join(files)}: rejects of an earlier import, left aside. Correct the rows in your "
        "own file and import that."
    )


def empty(where: str) -> str:
    """Nothing in it, or nothing but blanks."""
    return f"{where}: the file is empty; a row must name the columns."


def text_called_workbook(where: str, web_page: bool) -> str:
    """Text or a web page with the ending of a workbook."""
    if web_page:
        looks, or_else = "a web page", "."
    else:
        looks, or_else = "text", ", or name it .csv."
    return (
        f"{where}: this is {looks}, not a workbook. Open it in your spreadsheet program and save "
        f"it as .xlsx{or_else}"
    )


def workbook_called_text(where: str) -> str:
    """A workbook with the ending of a text."""
    return f"{where}: this is a workbook, not text, and was read as one."


def read_as_windows_1252(where: str, row: int | None) -> str:
    """Text that is not UTF-8, and the first row that shows whether it is read rightly."""
    return (
        f"{where}: the text is not UTF-8 and was read as Windows-1252; see whether row {row}, "
        "the first with such a letter, is as you wrote it."
    )


def empty_header_row(where: str, row: int) -> str:
    """The layout states a header row with nothing in it."""
    return f"{where}: row {row} is empty; it should name the columns."


def no_header(where: str) -> str:
    """No row names the columns."""
    return (
        f"{where}: no row names the columns. The row above the first stint must say what stands "
        "in which column."
    )


def column_twice(where: str, row: int, name: str) -> str:
    """Two columns of one name."""
    return f"{where}, row {row}: the column {name} is there twice; rename or remove one of them."


def sheets_address(where: str, sheets: Sequence[str]) -> str:
    """A workbook and some of its sheets, as the beginning of a sentence."""
    if len(sheets) > SHEETS_NAMED:
        return f"{where}, sheets {sheets[0]} to {sheets[-1]} ({len(sheets)} of them)"
    return f"{where}, {'sheet' if len(sheets) == 1 else 'sheets'} {', '.join(sheets)}"


def rows_read(rows: int, table: str, where: str, sheets: Sequence[str | None]) -> str:
    """How many rows were read from where; `sheets` are None for a text file."""
    named = [sheet for sheet in sheets if sheet is not None]
    place = sheets_address(where, named) if named else where
    return f"Read {tallied(rows, 'row')} of {table} from {place}."


def two_header_rows(lower: int, example: str) -> str:
    """Goes on from an address: merged cells in a header of two rows."""
    return f": rows {lower - 1} and {lower} name the columns together, as in {example}."


def titles_aside(first: int, last: int, header: int | None) -> str:
    """Goes on from an address: rows above the header, which is named unless it was already."""
    aside = f"row {first}" if first == last else f"rows {first} to {last}"
    named = f"the columns are named in row {header}; " if header is not None else ""
    return f": {named}{aside} above left aside as a title."


def totals_aside(row: int) -> str:
    """Goes on from an address: the totals row."""
    return f", row {row}: a totals row (its numbers are those of the rows above), left aside."


def sheets_aside(where: str, names: Sequence[str]) -> str:
    """Sheets that are no part of the log."""
    return f"{where}: left aside the sheets {', '.join(names)}."
