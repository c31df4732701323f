"""CSV files, workbooks and folders to raw cells that know their address.

Cells are kept as text, as they were; nothing is interpreted here. A source that is no table
at all raises UnusableFile with what to do.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from rodhours.errors import UnusableFile
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.tables import TABLES

csv.field_size_limit(2**24)

REJECTS_ADDRESS = ("file", "sheet", "table", "row", "reason")
"""The first columns of a rejects file, by which it is known."""


def read_tables(paths: Sequence[Path]) -> tuple[list[RawTable], list[str]]:
    """Every table in these files and folders, and hints on what was left aside.

    Raises UnusableFile for the first source that cannot be read as a table.
    """
    tables: list[RawTable] = []
    hints: list[str] = []
    rejects: list[Path] = []
    seen: set[Path] = set()
    for path in paths:
        for file in _files_of(path, hints):
            if file.resolve() in seen:
                continue
            seen.add(file.resolve())
            if file.suffix.lower() == ".csv":
                table = _read_csv(file)
                if table.header[: len(REJECTS_ADDRESS)] == REJECTS_ADDRESS:
                    rejects.append(file)
                else:
                    tables.append(table)
            elif file.suffix.lower() == ".xlsx":
                tables.extend(_read_workbook(file, hints))
            else:
                raise UnusableFile(
                    f"{file}: only .csv and .xlsx files can be read; save it as one of these."
                )
    if rejects:
        says = (
            f"{', '.join(map(str, rejects))}: rejects of an earlier import, left aside. Correct "
            "the rows in your own file and import that."
        )
        if not tables:
            raise UnusableFile(says)
        hints.append(says)
    return tables, hints


def _files_of(path: Path, hints: list[str]) -> list[Path]:
    """The files that a path stands for: itself, or the tables in a folder."""
    if not path.exists():
        raise UnusableFile(f"{path}: no such file.")
    if not path.is_dir():
        return [path]
    found = sorted(
        file
        for file in path.iterdir()
        if file.suffix.lower() in (".csv", ".xlsx") and not file.name.startswith(("~$", "."))
    )
    named = [f for f in found if f.suffix.lower() == ".csv" and f.stem.lower() in TABLES]
    if any(file.stem.lower() == "stints" for file in named):
        # One log as four files; a workbook beside them may well be the same log again.
        aside = [file.name for file in found if file not in named]
        if aside:
            hints.append(
                f"{path}: took {', '.join(f.name for f in named)}; left aside: {', '.join(aside)}."
            )
        return named
    if not found:
        raise UnusableFile(f"{path}: this folder holds no .csv or .xlsx file.")
    return found


def _read_csv(file: Path) -> RawTable:
    try:
        content = file.read_bytes()
    except OSError as error:
        raise UnusableFile(f"{file}: cannot be read ({error.strerror}).") from None
    if b"\0" in content:
        raise UnusableFile(f"{file}: this is not a text file; save the table as CSV UTF-8.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnusableFile(f"{file}: the text is not UTF-8; save the table as CSV UTF-8.") from None
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        rows = list(reader)
    except csv.Error as error:
        raise UnusableFile(
            f"{file}: line {reader.line_num}: the quotation marks do not close ({error})."
        ) from None
    stem = file.stem.lower()
    table = _table(str(file), None, stem if stem in TABLES else None, rows)
    if table is None:
        raise UnusableFile(f"{file}: the file is empty; its first row must name the columns.")
    return table


def _read_workbook(file: Path, hints: list[str]) -> list[RawTable]:
    from python_calamine import CalamineWorkbook

    try:
        workbook = CalamineWorkbook.from_path(str(file))
        sheets = {
            name: workbook.get_sheet_by_name(name).to_python(skip_empty_area=False)
            for name in workbook.sheet_names
        }
    except Exception:  # the library's own error classes differ between its versions
        raise UnusableFile(f"{file}: this cannot be read as an .xlsx workbook.") from None
    filled = {name: rows for name, rows in sheets.items() if any(map(_filled, rows))}
    known = [name for name in filled if name.strip().lower() in TABLES]
    if any(name.strip().lower() == "stints" for name in known):
        aside = [name for name in filled if name not in known]
        if aside:
            hints.append(f"{file}: left aside the sheets {', '.join(aside)}.")
    elif len(filled) == 1:
        known = list(filled)
    elif not known:
        raise UnusableFile(
            f"{file}: no sheet is called stints. Sheets with something in them: "
            f"{', '.join(filled) or 'none'}."
        )
    tables = []
    for name in known:
        rows = [[_as_text(cell) for cell in row] for row in filled[name]]
        as_table = name.strip().lower()
        table = _table(str(file), name, as_table if as_table in TABLES else None, rows)
        if table is not None:
            tables.append(table)
    return tables


def _filled(row: Iterable[Any]) -> bool:
    return any(cell not in ("", None) and str(cell).strip() for cell in row)


def _as_text(cell: Any) -> str:
    """A typed cell as its text: whole numbers without decimals, dates and times in ISO 8601."""
    if isinstance(cell, str):
        return cell
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        # Spreadsheets keep times as fractions of a day, a hair off the whole second.
        cell = (cell + timedelta(milliseconds=500)).replace(microsecond=0)
        return str(cell.isoformat(timespec="seconds" if cell.second else "minutes"))
    if isinstance(cell, date | time):
        return cell.isoformat()
    return str(cell)


def _table(
    file: str, sheet: str | None, name: str | None, rows: list[list[str]]
) -> RawTable | None:
    """Split raw rows into header and columns; None where nothing is filled."""
    top = next((index for index, row in enumerate(rows) if _filled(row)), None)
    if top is None:
        return None
    header = [cell.strip() for cell in rows[top]]
    while header and not header[-1]:
        header.pop()
    where = file if sheet is None else f"{file}, sheet {sheet}"
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        raise UnusableFile(f"{where}: the cells are not separated by commas; save as CSV UTF-8.")
    twice = sorted({cell for cell in header if cell and header.count(cell) > 1})
    if twice:
        raise UnusableFile(
            f"{where}, row {top + 1}: the column {twice[0]} is there twice; "
            "rename or remove one of them."
        )
    below = rows[top + 1 :]
    if set(map(len, below)) == {len(header)} and all(
        cell.strip() for cell in {row[0] for row in below}
    ):
        # As nearly every file is: full rows, none of them blank.
        numbers = list(range(top + 2, len(rows) + 1))
        return _raw_table(file, sheet, name, header, top + 1, below, numbers, {})
    numbers = []
    body: list[list[str]] = []
    misfits: dict[int, list[str]] = {}
    width = len(header)
    for index in range(top + 1, len(rows)):
        row = rows[index]
        if len(row) != width:
            if not _filled(row):
                continue
            surplus = row[width:]
            if (len(row) < width and sheet is None) or _filled(surplus):
                misfits[len(body)] = row
            row = row[:width] + [""] * (width - len(row))
        elif not row[0].strip() and not _filled(row):
            continue
        numbers.append(index + 1)
        body.append(row)
    return _raw_table(file, sheet, name, header, top + 1, body, numbers, misfits)


def _raw_table(
    file: str,
    sheet: str | None,
    name: str | None,
    header: list[str],
    header_row: int,
    body: list[list[str]],
    numbers: list[int],
    misfits: dict[int, list[str]],
) -> RawTable:
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
    return RawTable(
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
