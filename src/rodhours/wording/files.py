"""What is said of files: which cannot be read, and what was left aside or found out in them.

`where` is a path, or a path with its sheet.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.wording.numbers import tallied

SHEETS_NAMED = 3
"""More sheets than this are named once, where it is said that they are read."""


def no_such_file(where: str) -> str:
    """The path leads nowhere."""
    return f"{where}: no such file."


def cannot_be_read(where: str, reason: str) -> str:
    """The system says no, with its own words."""
    return f"{where}: cannot be read ({reason})."


def no_plain_file(where: str) -> str:
    """A device, a pipe, a folder in place of a file."""
    return f"{where}: not a file that can be read as a table."


def no_table_inside(where: str, endings: Sequence[str], texts: Sequence[str]) -> str:
    """A folder without tables; `texts` are the text files that it does hold."""
    named = f" Name the text file itself to read it: {texts[0]}." if texts else ""
    return f"{where}: this folder holds no table ({', '.join(endings)}).{named}"


def took_the_tables(where: str, taken: Sequence[str], aside: Sequence[str]) -> str:
    """A folder that holds the log as four files, and more."""
    return f"{where}: took {', '.join(taken)}; left aside: {', '.join(aside)}."


def texts_left_aside(where: str, texts: Sequence[str]) -> str:
    """Text files in a folder may be anything."""
    return f"{where}: left aside: {', '.join(texts)} (name a .txt file itself to read it)."


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


def is_something_else(where: str, what: str) -> str:
    """Content that is known and no table: a PDF, a picture."""
    return f"{where}: this is {what}, not a table."


def too_many_mebibytes(where: str, size: int, limit: int) -> str:
    """A file beyond its limit, both in MiB."""
    return f"{where}: {size:,} MiB; a trip log of this kind may have {limit} MiB at most."


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


def no_text(where: str) -> str:
    """Bytes that no encoding makes text of."""
    return f"{where}: this is not a text file; save the table as CSV UTF-8."


def nul_character(where: str, line: int) -> str:
    """A NUL in a text."""
    return (
        f"{where}: line {line} holds a NUL character, so this is not a text file or a damaged "
        "one; save the table as CSV UTF-8."
    )


def not_that_encoding(where: str, encoding: str) -> str:
    """The layout states another encoding than the text has."""
    return f"{where}: the text is not {encoding}, as the layout says."


def no_such_encoding(encoding: str) -> str:
    """The layout states an encoding that does not exist."""
    return f"There is no text encoding called {encoding}; write utf-8, utf-16 or windows-1252."


def no_separator(separator: str) -> str:
    """The layout states a separator that cannot be one."""
    return f"{separator!r} cannot separate cells; write a comma, ; or \\t."


def two_separators(where: str, separators: Sequence[str]) -> str:
    """Several separators fit equally; they are given with their article."""
    return (
        f"{where}: the cells may be separated by {' or by '.join(separators)}: both fit. State the "
        "separator in the layout file, or save the table as a workbook."
    )


def open_quotation(where: str, line: int, detail: str) -> str:
    """A quotation mark too few or too many."""
    return f"{where}: line {line}: the quotation marks do not close ({detail})."


def endless_cell(where: str, line: int, limit: int) -> str:
    """A cell beyond the limit of characters."""
    return (
        f"{where}: line {line}: a cell of more than {limit:,} characters; a quotation mark may be "
        "missing."
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


def no_such_sheet(where: str, name: str, filled: Sequence[str]) -> str:
    """The layout states a sheet that is not there or holds nothing."""
    return (
        f"{where}: no sheet {name} with something in it. Sheets with something in them: "
        f"{', '.join(filled) or 'none'}."
    )


def no_sheet_of_stints(where: str, filled: Sequence[str]) -> str:
    """Several sheets, and nothing tells which is the log."""
    return (
        f"{where}: no sheet is called stints. Sheets with something in them: {', '.join(filled)}. "
        "Call the one with the log stints, or state its name in a layout file."
    )


def sheets_read(where: str, names: Sequence[str]) -> str:
    """Sheets that were found to be the log."""
    if len(names) > 1:
        return f"{where}: read as one log: the sheets {', '.join(names)}."
    return f"{where}: read the sheet {names[0]}, which alone has columns of a trip log."


def sheets_aside(where: str, names: Sequence[str]) -> str:
    """Sheets that are no part of the log."""
    return f"{where}: left aside the sheets {', '.join(names)}."


def damaged(where: str) -> str:
    """A workbook that cannot be read."""
    return f"{where}: this workbook is damaged or unfinished and cannot be read."


def protected(where: str) -> str:
    """An encrypted workbook."""
    return f"{where}: this workbook is protected by a password; save a copy without one."


def unpacks_to_too_much(where: str, limit: int) -> str:
    """A workbook beyond the limit, in MiB."""
    return (
        f"{where}: this workbook unpacks to more than {limit} MiB; no trip log is that large, so "
        "nothing of it was read."
    )


def values_alone(where: str, kind: str) -> str:
    """A workbook of which formulas and percentages are not seen; `kind` has its article."""
    return (
        f"{where}: {kind} workbook gives its values alone: a formula that shows an error, or was "
        "saved without its value, reads as an empty cell, and 20 % as 0.2. Save it as .xlsx where "
        "it has any."
    )


def zip_without_table(where: str) -> str:
    """Some other zip file."""
    return f"{where}: a zip file without a table in it, not a workbook."


def binary_workbook(where: str) -> str:
    """A workbook of binary parts, .xlsb."""
    return f"{where}: a binary workbook (.xlsb) is not read; save it as .xlsx."


def oddly_packed(where: str) -> str:
    """A compression that spreadsheets do not use."""
    return f"{where}: packed in a way that spreadsheets do not use; save the workbook again."


def no_workbook(where: str) -> str:
    """An old office file of another kind."""
    return f"{where}: this file is no workbook; save the table as .xlsx or CSV."


def too_slow(where: str, seconds: int) -> str:
    """A workbook that is still being read after that time."""
    return (
        f"{where}: this workbook takes more than {seconds} seconds to read; save the table as "
        ".xlsx or CSV."
    )


def far_cell(where: str, cell: str) -> str:
    """A cell far from the table makes the sheet too large to lay out."""
    return (
        f"{where}: cells are filled as far as {cell}; that is too large a sheet for a trip log. "
        "Delete what stands far away from the table."
    )


def unsaved_formulas(where: str, cells: Sequence[str], more: int) -> str:
    """Formulas whose cells would seem empty: some of them, and how many more there are."""
    one = len(cells) == 1 and not more
    others = f" and {more} more" if more else ""
    return (
        f"{where}: the {'formula' if one else 'formulas'} in {', '.join(cells)}{others} "
        f"{'has' if one else 'have'} no saved value. Open the workbook in your spreadsheet "
        "program, save it there and import it again."
    )
