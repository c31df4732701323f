"""CSV files, workbooks and folders to raw cells that know their address.

Cells are kept as text, as they were; nothing is interpreted here. A source that is no table
at all raises UnusableFile with what to do. How a file's rows are got at is in `files`.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.logbook.files.header import Header, find_header, is_filled, is_totals
from rodhours.logbook.files.open import (
    TEXT_FILES,
    WORKBOOKS,
    Content,
    FileForm,
    files_of,
    kind,
    read_bytes,
)
from rodhours.logbook.files.sheets import chosen_sheets
from rodhours.logbook.files.text import FALLBACK, decoded, first_odd_row, records
from rodhours.logbook.files.unpack import binary, damaged
from rodhours.logbook.files.workbook import read_sheets, require_saved
from rodhours.logbook.formula_text import may_hold_guarded, unguarded
from rodhours.logbook.table import FileTable
from rodhours.logbook.tables import TABLES
from rodhours.wording import files as words

REJECTS_ADDRESS = ("file", "sheet", "table", "row", "reason")
"""The first columns of a rejects file, by which it is known."""


def read_tables(
    paths: Sequence[Path], form: FileForm | None = None
) -> tuple[list[FileTable], list[str]]:
    """Every table in these files and folders, and hints on what was left aside or found out.

    `form` states what is known of the files; whatever it leaves open is found out.
    Raises UnusableFile for the first source that cannot be read as a table, UsageError for a
    form that cannot be.
    """
    form = form or FileForm()
    tables: list[FileTable] = []
    hints: list[str] = []
    rejects: list[Path] = []
    seen: set[Path] = set()
    for path in paths:
        for file in files_of(path, hints):
            if file.resolve() in seen:
                continue
            seen.add(file.resolve())
            for table in _tables_of(file, form, hints):
                if table.header[: len(REJECTS_ADDRESS)] == REJECTS_ADDRESS:
                    rejects.append(file)
                else:
                    tables.append(table)
    if rejects:
        says = words.rejects_left_aside([str(file) for file in rejects])
        if not tables:
            raise UnusableFile(says)
        hints.append(says)
    return tables, hints


def _tables_of(file: Path, form: FileForm, hints: list[str]) -> list[FileTable]:
    """The tables of one file, read as what its content is, whatever its name says."""
    suffix = file.suffix.lower()
    if suffix == ".xlsb":
        raise binary(file)
    if suffix not in TEXT_FILES + WORKBOOKS:
        raise UnusableFile(words.only_tables(str(file), TEXT_FILES + WORKBOOKS))
    content = read_bytes(file)
    if not content:
        raise _empty(file)
    what = kind(file, content)
    if what is Content.TEXT:
        if suffix in WORKBOOKS and b"\0" in content:
            raise damaged(file)
        if suffix in WORKBOOKS:
            raise UnusableFile(words.text_called_workbook(str(file), content.lstrip()[:1] == b"<"))
        return [_read_text(file, content, form, hints)]
    tables = _read_workbook(file, content, what, form, hints)
    if suffix in TEXT_FILES:
        hints.append(words.workbook_called_text(str(file)))
    return tables


def _read_text(file: Path, content: bytes, form: FileForm, hints: list[str]) -> FileTable:
    text, encoding = decoded(file, content, form.encoding)
    rows = records(file, text, form.separator)
    if may_hold_guarded(text):
        rows = [[unguarded(cell) for cell in row] for row in rows]
    if encoding == FALLBACK and form.encoding is None:
        hints.append(words.read_as_windows_1252(str(file), first_odd_row(rows)))
    stem = file.stem.lower()
    header = _header(str(file), rows, form)
    if header is None:
        raise _empty(file)
    table, notes = _table(str(file), None, stem if stem in TABLES else None, rows, header)
    hints.extend(f"{file}{note}" for note in notes)
    return table


def _read_workbook(
    file: Path, content: bytes, what: Content, form: FileForm, hints: list[str]
) -> list[FileTable]:
    filled = {
        sheet.name: sheet
        for sheet in read_sheets(file, content, what, hints)
        if sheet.unsaved or any(map(is_filled, sheet.rows))
    }
    tables = []
    noted: dict[str, list[str]] = {}
    for name in chosen_sheets(file, filled, form, hints):
        require_saved(file, filled[name])
        rows = filled[name].rows
        as_table = name.strip().lower()
        header = _header(f"{file}, sheet {name}", rows, form)
        if header is not None:
            table, notes = _table(
                str(file), name, as_table if as_table in TABLES else None, rows, header
            )
            tables.append(table)
            for note in notes:
                noted.setdefault(note, []).append(name)
    hints.extend(words.sheets_address(str(file), names) + note for note, names in noted.items())
    if not tables:
        raise _empty(file)
    return tables


def _empty(file: Path) -> UnusableFile:
    return UnusableFile(words.empty(str(file)))


def _header(where: str, rows: list[list[str]], form: FileForm) -> Header | None:
    """The header, found or stated; None where nothing is filled."""
    if form.header_row is not None:
        header = find_header(rows, form.header_row - 1) if form.header_row > 0 else None
        if header is None:
            raise UnusableFile(words.empty_header_row(where, form.header_row))
        return header
    header = find_header(rows)
    if header is None and any(map(is_filled, rows)):
        raise UnusableFile(words.no_header(where))
    return header


def _table(
    file: str,
    sheet: str | None,
    name: str | None,
    rows: list[list[str]],
    found: Header,
) -> tuple[FileTable, list[str]]:
    """Split raw rows into header and columns; with notes that go on from the table's address."""
    header, top = list(found.names), found.index
    where = file if sheet is None else f"{file}, sheet {sheet}"
    twice = sorted({cell for cell in header if cell and header.count(cell) > 1})
    if twice:
        raise UnusableFile(words.column_twice(where, top + 1, twice[0]))
    notes = _header_notes(rows, found)
    last = next((i for i in range(len(rows) - 1, top, -1) if is_filled(rows[i])), top)
    if last > top + 1 and is_totals(rows[last], rows[top + 1 : last]):
        notes.append(words.totals_aside(last + 1))
        rows = rows[:last]
    below = rows[top + 1 :]
    if set(map(len, below)) == {len(header)} and all(
        cell.strip() for cell in {row[0] for row in below}
    ):
        # As nearly every file is: full rows, none of them blank.
        numbers = list(range(top + 2, len(rows) + 1))
        return _raw_table(file, sheet, name, header, top + 1, below, numbers, {}), notes
    numbers = []
    body: list[list[str]] = []
    misfits: dict[int, list[str]] = {}
    width = len(header)
    for index in range(top + 1, len(rows)):
        row = rows[index]
        if len(row) != width:
            if not is_filled(row):
                continue
            surplus = row[width:]
            if (len(row) < width and sheet is None) or is_filled(surplus):
                misfits[len(body)] = row
            row = row[:width] + [""] * (width - len(row))
        elif not row[0].strip() and not is_filled(row):
            continue
        numbers.append(index + 1)
        body.append(row)
    return _raw_table(file, sheet, name, header, top + 1, body, numbers, misfits), notes


def _header_notes(rows: list[list[str]], found: Header) -> list[str]:
    """What is to be said where the header is not simply the first filled row."""
    notes = []
    first = next(index for index, row in enumerate(rows) if is_filled(row))
    number = found.index + 1
    above = found.index - first - (found.rows - 1)
    if found.rows == 2:
        example = next((name for name in found.names if " " in name), found.names[0])
        notes.append(words.two_header_rows(number, example))
    if above > 0:
        named = None if found.rows == 2 else number
        notes.append(words.titles_aside(first + 1, first + above, named))
    return notes


def _raw_table(
    file: str,
    sheet: str | None,
    name: str | None,
    header: list[str],
    header_row: int,
    body: list[list[str]],
    numbers: list[int],
    misfits: dict[int, list[str]],
) -> FileTable:
    """Full rows turned into columns."""
    columns: list[Sequence[str]] = list(zip(*body, strict=True))
    columns = columns or [() for _ in header]
    for index, cell in enumerate(header):
        if cell:
            continue
        # A cell under no column name is a cell that nobody can read: the row says so.
        for position, found in enumerate(columns[index]):
            if found.strip():
                misfits.setdefault(position, body[position])
    return FileTable(
        file=file,
        sheet=sheet,
        table=name or "stints",
        named=name is not None,
        header=tuple(header),
        header_row=header_row,
        columns=tuple(columns),
        rows=numbers,
        misfits=misfits,
    )
