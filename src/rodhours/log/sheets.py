"""CSV files, workbooks and folders to raw cells that know their address.

Cells are kept as text, as they were; nothing is interpreted here. A source that is no table
at all raises UnusableFile with what to do. How a file's rows are got at is in `files`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.log.files.header import Header, find_header, is_filled, is_known, is_totals
from rodhours.log.files.old_workbook import read_old_sheets
from rodhours.log.files.open import (
    OLD_WORKBOOK,
    TEXT_FILES,
    WORKBOOKS,
    files_of,
    is_text,
    read_bytes,
)
from rodhours.log.files.text import FALLBACK, decoded, first_odd_row, records
from rodhours.log.files.workbook import (
    BINARY,
    Sheet,
    damaged,
    read_sheets,
    require_saved,
)
from rodhours.log.notes.read import is_notes, read_notes
from rodhours.log.table import FileTable
from rodhours.log.tables import TABLES
from rodhours.spreadsheet_cells import may_hold_guarded, unguarded

SHEETS_NAMED = 3
"""More sheets than this are named once, where it is said that they are read."""


def read_tables(
    paths: Sequence[Path], sheets: Sequence[str] | None = None
) -> tuple[list[FileTable], list[str]]:
    """Every table in these files and folders, and hints on what was left aside or found out.

    `sheets` are those of a workbook that are wanted. Raises UnusableFile for the first source that
    cannot be read as a table.
    """
    tables: list[FileTable] = []
    hints: list[str] = []
    seen: set[Path] = set()
    for path in paths:
        for file in files_of(path, hints):
            if file.resolve() in seen:
                continue
            seen.add(file.resolve())
            tables += _tables_of(file, sheets, hints)
    return tables, hints


def _tables_of(file: Path, sheets: Sequence[str] | None, hints: list[str]) -> list[FileTable]:
    """The tables of one file, read as what its content is, whatever its name says."""
    suffix = file.suffix.lower()
    if suffix == ".xlsb":
        raise UnusableFile(f"{file}: {BINARY}")
    if suffix not in TEXT_FILES + WORKBOOKS:
        raise UnusableFile(
            f"{file}: only tables can be read ({', '.join(TEXT_FILES + WORKBOOKS)}); save it as "
            "one of these, best as .xlsx or .csv."
        )
    content = read_bytes(file)
    if not content:
        raise _empty(file)
    if is_text(file, content):
        if suffix in TEXT_FILES:
            return _read_text(file, content, hints)
        if b"\0" in content:
            raise damaged(file)
        looks = "a web page" if content.lstrip()[:1] == b"<" else "text"
        raise UnusableFile(f"{file}: this is {looks}, not a workbook. Save it as .xlsx or .csv.")
    tables = _read_workbook(file, content, sheets, hints)
    if suffix in TEXT_FILES:
        hints.append(f"{file}: this is a workbook, not text, and was read as one.")
    return tables


def _read_text(file: Path, content: bytes, hints: list[str]) -> list[FileTable]:
    text, encoding = decoded(file, content)
    if is_notes(text):
        tables, said = read_notes(str(file), text)
        hints.extend(said)
        return tables
    rows, separator = records(file, text)
    if may_hold_guarded(text):
        rows = [[unguarded(cell) for cell in row] for row in rows]
    if encoding == FALLBACK:
        hints.append(
            f"{file}: the text is not UTF-8 and was read as Windows-1252; see whether row "
            f"{first_odd_row(rows)}, the first with such a letter, is as you wrote it."
        )
    header = _header(str(file), rows)
    if header is None:
        raise _empty(file)
    table, notes = _table(file, None, rows, header)
    hints.extend(f"{file}{note}" for note in notes)
    return [replace(table, semicolons=separator == ";")]


def _read_workbook(
    file: Path, content: bytes, stated: Sequence[str] | None, hints: list[str]
) -> list[FileTable]:
    filled = {
        sheet.name: sheet
        for sheet in (
            read_old_sheets(file, content, hints)
            if content.startswith(OLD_WORKBOOK)
            else read_sheets(file, content)
        )
        if sheet.unsaved or any(map(is_filled, sheet.rows))
    }
    tables = []
    noted: dict[str, list[str]] = {}
    for name in _chosen_sheets(file, filled, stated, hints):
        require_saved(file, filled[name])
        rows = filled[name].rows
        header = _header(f"{file}, sheet {name}", rows)
        if header is not None:
            table, notes = _table(file, name, rows, header)
            tables.append(table)
            for note in notes:
                noted.setdefault(note, []).append(name)
    hints.extend(sheets_address(str(file), names) + note for note, names in noted.items())
    if not tables:
        raise _empty(file)
    return tables


def _empty(file: Path) -> UnusableFile:
    return UnusableFile(f"{file}: the file is empty; a row must name the columns.")


def _header(where: str, rows: list[list[str]]) -> Header | None:
    """The header; None where nothing is filled."""
    header = find_header(rows)
    if header is None and any(map(is_filled, rows)):
        raise UnusableFile(
            f"{where}: no row names the columns. The row above the first stint must say what "
            "stands in which column."
        )
    return header


def _table(
    file: Path, sheet: str | None, rows: list[list[str]], found: Header
) -> tuple[FileTable, list[str]]:
    """Split raw rows into header and columns; with notes that go on from the table's address."""
    header, top = found.names, found.index
    twice = sorted({cell for cell in header if cell and header.count(cell) > 1})
    if twice:
        where = file if sheet is None else f"{file}, sheet {sheet}"
        raise UnusableFile(
            f"{where}, row {top + 1}: the column {twice[0]} is there twice; rename or remove one "
            "of them."
        )
    notes = _header_notes(rows, found)
    last = next((i for i in range(len(rows) - 1, top, -1) if is_filled(rows[i])), top)
    if last > top + 1 and is_totals(rows[last], rows[top + 1 : last]):
        why = "a totals row (its numbers are those of the rows above), left aside."
        notes.append(f", row {last + 1}: {why}")
        rows = rows[:last]
    body, numbers, misfits = _body(rows, top, len(header), sheet is not None)
    columns: list[Sequence[str]] = list(zip(*body, strict=True)) or [()] * len(header)
    for name, cells in zip(header, columns, strict=True):
        # A cell under no column name is a cell that nobody can read: the row says so.
        for position, cell in enumerate(cells if not name else ()):
            if cell.strip():
                misfits.setdefault(position, body[position])
    called = (file.stem if sheet is None else sheet).strip().lower()
    table = FileTable(
        file=str(file),
        sheet=sheet,
        table=called if called in TABLES else "stints",
        named=called in TABLES,
        header=header,
        header_row=top + 1,
        columns=tuple(columns),
        rows=numbers,
        misfits=misfits,
        above=tuple("".join(row).strip() for row in rows[:top] if sum(map(bool, row)) == 1),
    )
    return table, notes


def _body(
    rows: list[list[str]], top: int, width: int, workbook: bool
) -> tuple[list[list[str]], list[int], dict[int, list[str]]]:
    """The filled rows below the header, all of its width; their numbers; those that do not fit."""
    below = rows[top + 1 :]
    if set(map(len, below)) == {width} and all(map(str.strip, {row[0] for row in below})):
        # As nearly every file is: full rows, none of them blank.
        return below, list(range(top + 2, len(rows) + 1)), {}
    body: list[list[str]] = []
    numbers: list[int] = []
    misfits: dict[int, list[str]] = {}
    for number, row in enumerate(below, start=top + 2):
        if not is_filled(row):
            continue
        if (len(row) < width and not workbook) or is_filled(row[width:]):
            misfits[len(body)] = row
        numbers.append(number)
        body.append(row[:width] + [""] * (width - len(row)))
    return body, numbers, misfits


def _header_notes(rows: list[list[str]], found: Header) -> list[str]:
    """What is to be said where the header is not simply the first filled row."""
    first = next(index for index, row in enumerate(rows) if is_filled(row)) + 1
    number, above = found.index + 1, found.index + 1 - found.rows
    notes = []
    named = f"the columns are named in row {number}; "
    if found.rows == 2:
        example = next((name for name in found.names if " " in name), found.names[0])
        together = f"rows {number - 1} and {number} name the columns together, as in {example}."
        notes.append(f": {together}")
        named = ""
    if above >= first:
        titles = f"row {first}" if first == above else f"rows {first} to {above}"
        notes.append(f": {named}{titles} above left aside as a title.")
    return notes


def sheets_address(file: str, sheets: Sequence[str]) -> str:
    """A file and those of its sheets, if it has any, as the beginning of a sentence."""
    if not sheets:
        return file
    if len(sheets) > SHEETS_NAMED:
        return f"{file}, sheets {sheets[0]} to {sheets[-1]} ({len(sheets)} of them)"
    return f"{file}, {'sheet' if len(sheets) == 1 else 'sheets'} {', '.join(sheets)}"


ALIKE = 0.6
"""The share of names that sheets must have in common to be parts of one log."""


def _chosen_sheets(
    file: Path, filled: dict[str, Sheet], stated: Sequence[str] | None, hints: list[str]
) -> list[str]:
    """The sheets to read: those stated, those named as tables, the only one, or those alike.

    `filled` are the sheets with something in them, `hints` takes what was left aside.
    Raises LayoutNeeded where nothing tells which it is, UnusableFile for a stated sheet that is
    not there.
    """
    there = ", ".join(filled) or "none"
    for name in stated or ():
        if name not in filled:
            raise UnusableFile(
                f"{file}: no sheet {name} with something in it. Sheets with something in them: "
                f"{there}."
            )
    if stated is None and len(filled) <= 1:
        return list(filled)
    known = list(dict.fromkeys(stated or ()))
    if stated is None:
        known = [name for name in filled if name.strip().lower() in TABLES]
    if stated is None and not known:
        known = _log_sheets(filled)
        if not known:
            needed = LayoutNeeded(
                f"{file}: no sheet is called stints. Sheets with something in them: {there}. Call "
                "the one with the log stints, or state its name in a layout file."
            )
            needed.table, needed.sheets = (str(file), None), tuple(filled)
            raise needed
        read = f"read as one log: the sheets {', '.join(known)}."
        if len(known) == 1:
            read = f"read the sheet {known[0]}, which alone has columns of a trip log."
        hints.append(f"{file}: {read}")
    aside = [name for name in filled if name not in known]
    if aside:
        hints.append(sheets_aside(str(file), aside))
    return known


def sheets_aside(file: str, names: Sequence[str]) -> str:
    """What is said of sheets that are no part of the log."""
    return f"{file}: left aside the sheets {', '.join(names)}."


def _log_sheets(filled: dict[str, Sheet]) -> list[str]:
    """The sheets that have the columns of one log, as with a sheet for each month; else none.

    Those that share most of their names with one of them, where two or more do and no other set
    is as large; or the one sheet that has rows under at least two names of the format.
    """
    headers = {name: find_header(sheet.rows) for name, sheet in filled.items()}
    found = {name: header for name, header in headers.items() if header is not None}
    names = {
        sheet: {name.casefold() for name in header.names if name} for sheet, header in found.items()
    }
    groups = {
        frozenset(
            sheet
            for sheet, own in names.items()
            if len(own) > 1 and len(own & centre) >= ALIKE * len(own | centre)
        )
        for centre in names.values()
        if len(centre) > 1
    }
    largest = max(groups, key=len, default=frozenset())
    if len(largest) > 1 and sum(len(group) == len(largest) for group in groups) == 1:
        return [name for name in filled if name in largest]
    logs = [
        name
        for name, header in found.items()
        if sum(map(is_known, header.names)) > 1
        and any(map(is_filled, filled[name].rows[header.index + 1 :]))
    ]
    return logs if len(logs) == 1 else []
