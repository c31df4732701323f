"""CSV files, workbooks and folders to raw cells that know their address.

Cells are kept as text, as they were; nothing is interpreted here. A source that is no table
at all raises UnusableFile with what to do. How a file's rows are got at is in `files`.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.logbook.files.form import FileForm
from rodhours.logbook.files.header import Header, find_header, is_filled
from rodhours.logbook.files.opening import Content, kind, read_bytes
from rodhours.logbook.files.separated import records
from rodhours.logbook.files.text import FALLBACK, decoded, first_odd_row
from rodhours.logbook.files.totals import is_totals
from rodhours.logbook.files.workbook import Sheet, read_sheets, require_saved
from rodhours.logbook.formula_text import unguarded
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.tables import TABLES

REJECTS_ADDRESS = ("file", "sheet", "table", "row", "reason")
"""The first columns of a rejects file, by which it is known."""

TEXT_FILES = (".csv", ".tsv", ".txt")
WORKBOOKS = (".xlsx", ".xlsm", ".ods", ".xls", ".xlsb")
ALIKE = 0.6
"""The share of names that sheets must have in common to be parts of one log."""


def read_tables(
    paths: Sequence[Path], form: FileForm | None = None
) -> tuple[list[RawTable], list[str]]:
    """Every table in these files and folders, and hints on what was left aside or found out.

    `form` states what is known of the files; whatever it leaves open is found out.
    Raises UnusableFile for the first source that cannot be read as a table, UsageError for a
    form that cannot be.
    """
    form = form or FileForm()
    tables: list[RawTable] = []
    hints: list[str] = []
    rejects: list[Path] = []
    seen: set[Path] = set()
    for path in paths:
        for file in _files_of(path, hints):
            if file.resolve() in seen:
                continue
            seen.add(file.resolve())
            for table in _tables_of(file, form, hints):
                if table.header[: len(REJECTS_ADDRESS)] == REJECTS_ADDRESS:
                    rejects.append(file)
                else:
                    tables.append(table)
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
    try:
        if not path.is_dir():
            if not path.exists():
                raise UnusableFile(f"{path}: no such file.")
            return [path]
        inside = sorted(file for file in path.iterdir() if not file.name.startswith(("~$", ".")))
    except OSError as error:
        raise UnusableFile(f"{path}: cannot be read ({error.strerror}).") from None
    except ValueError:
        raise UnusableFile(f"{str(path)!r}: no such file.") from None
    found = [file for file in inside if file.suffix.lower() in (*TEXT_FILES[:2], *WORKBOOKS)]
    named = [f for f in found if f.suffix.lower() == ".csv" and f.stem.lower() in TABLES]
    if any(file.stem.lower() == "stints" for file in named):
        # One log as four files; a workbook beside them may well be the same log again.
        aside = [file.name for file in found if file not in named]
        if aside:
            hints.append(
                f"{path}: took {', '.join(f.name for f in named)}; left aside: {', '.join(aside)}."
            )
        return named
    texts = [file.name for file in inside if file.suffix.lower() == ".txt"]
    if not found:
        raise UnusableFile(
            f"{path}: this folder holds no table ({', '.join((*TEXT_FILES[:2], *WORKBOOKS))})."
            + (f" Name the text file itself to read it: {texts[0]}." if texts else "")
        )
    if texts:
        hints.append(
            f"{path}: left aside: {', '.join(texts)} (name a .txt file itself to read it)."
        )
    return found


def _tables_of(file: Path, form: FileForm, hints: list[str]) -> list[RawTable]:
    """The tables of one file, read as what its content is, whatever its name says."""
    suffix = file.suffix.lower()
    if suffix not in TEXT_FILES + WORKBOOKS:
        raise UnusableFile(
            f"{file}: only tables can be read ({', '.join(TEXT_FILES + WORKBOOKS)}); save it as "
            "one of these, best as .xlsx or .csv."
        )
    content = read_bytes(file)
    if not content:
        raise _empty(file)
    what = kind(file, content)
    if what is Content.TEXT:
        if suffix in WORKBOOKS:
            looks = "a web page" if content.lstrip()[:1] == b"<" else "text"
            raise UnusableFile(
                f"{file}: this is {looks}, not a workbook. Open it in your spreadsheet program "
                "and save it as .xlsx" + (", or name it .csv." if looks == "text" else ".")
            )
        return [_read_text(file, content, form, hints)]
    tables = _read_workbook(file, content, what, form, hints)
    if suffix in TEXT_FILES:
        hints.append(f"{file}: this is a workbook, not text, and was read as one.")
    return tables


def _read_text(file: Path, content: bytes, form: FileForm, hints: list[str]) -> RawTable:
    text, encoding = decoded(file, content, form.encoding)
    rows = records(file, text, form.separator)
    if "'" in text:
        rows = [[unguarded(cell) for cell in row] for row in rows]
    if encoding == FALLBACK and form.encoding is None:
        hints.append(
            f"{file}: the text is not UTF-8 and was read as Windows-1252; see whether row "
            f"{first_odd_row(rows)}, the first with such a letter, is as you wrote it."
        )
    stem = file.stem.lower()
    header = _header(str(file), rows, form)
    if header is None:
        raise _empty(file)
    table, notes = _table(str(file), None, stem if stem in TABLES else None, rows, header)
    hints.extend(f"{file}{note}" for note in notes)
    return table


def _read_workbook(
    file: Path, content: bytes, what: Content, form: FileForm, hints: list[str]
) -> list[RawTable]:
    filled = {
        sheet.name: sheet
        for sheet in read_sheets(file, content, what)
        if sheet.marks.unsaved or any(map(is_filled, sheet.rows))
    }
    tables = []
    noted: dict[str, list[str]] = {}
    for name in _chosen(file, filled, form, hints):
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
    hints.extend(
        f"{file}, {'sheet' if len(names) == 1 else 'sheets'} {', '.join(names)}{note}"
        for note, names in noted.items()
    )
    if not tables:
        raise _empty(file)
    return tables


def _chosen(file: Path, filled: dict[str, Sheet], form: FileForm, hints: list[str]) -> list[str]:
    """Which sheets are read: those stated, those named as tables, the only one, or those alike."""
    if form.sheets is not None:
        missing = [name for name in form.sheets if name not in filled]
        if missing:
            raise UnusableFile(
                f"{file}: no sheet {missing[0]} with something in it. Sheets with something in "
                f"them: {', '.join(filled) or 'none'}."
            )
        known = list(dict.fromkeys(form.sheets))
    else:
        known = [name for name in filled if name.strip().lower() in TABLES]
        if any(name.strip().lower() == "stints" for name in known):
            pass
        elif len(filled) <= 1:
            return list(filled)
        elif not known:
            known = _alike(filled, form)
            if not known:
                raise UnusableFile(
                    f"{file}: no sheet is called stints. Sheets with something in them: "
                    f"{', '.join(filled)}. Call the one with the log stints, or state its name "
                    "in a layout file."
                )
            hints.append(f"{file}: read as one log: the sheets {', '.join(known)}.")
    aside = [name for name in filled if name not in known]
    if aside:
        hints.append(f"{file}: left aside the sheets {', '.join(aside)}.")
    return known


def _alike(filled: dict[str, Sheet], form: FileForm) -> list[str]:
    """The sheets that have the columns of one log, as with a sheet for each month.

    Those that share most of their names with the largest set of equal headers; none where
    fewer than two do, or two sets are equally large.
    """
    stated = form.header_row - 1 if form.header_row is not None else None
    names: dict[str, frozenset[str]] = {}
    for sheet in filled.values():
        header = find_header(sheet.rows, stated)
        if header is not None:
            found = frozenset(name.casefold() for name in header.names if name)
            if len(found) > 1:
                names[sheet.name] = found

    def near(one: frozenset[str], other: frozenset[str]) -> bool:
        return len(one & other) >= ALIKE * len(one | other)

    groups = {
        frozenset(name for name, found in names.items() if near(found, centre))
        for centre in set(names.values())
    }
    largest = max(map(len, groups), default=0)
    if largest < 2 or [len(group) for group in groups].count(largest) > 1:
        return []
    group = max(groups, key=len)
    return [name for name in filled if name in group]


def _empty(file: Path) -> UnusableFile:
    return UnusableFile(f"{file}: the file is empty; a row must name the columns.")


def _header(where: str, rows: list[list[str]], form: FileForm) -> Header | None:
    """The header, found or stated; None where nothing is filled."""
    if form.header_row is not None:
        header = find_header(rows, form.header_row - 1) if form.header_row > 0 else None
        if header is None:
            raise UnusableFile(
                f"{where}: row {form.header_row} is empty; it should name the columns."
            )
        return header
    header = find_header(rows)
    if header is None and any(map(is_filled, rows)):
        raise UnusableFile(
            f"{where}: no row names the columns. The row above the first stint must say what "
            "stands in which column."
        )
    return header


def _table(
    file: str,
    sheet: str | None,
    name: str | None,
    rows: list[list[str]],
    found: Header,
) -> tuple[RawTable, list[str]]:
    """Split raw rows into header and columns; with notes that go on from the table's address."""
    header, top = list(found.names), found.index
    where = file if sheet is None else f"{file}, sheet {sheet}"
    twice = sorted({cell for cell in header if cell and header.count(cell) > 1})
    if twice:
        raise UnusableFile(
            f"{where}, row {top + 1}: the column {twice[0]} is there twice; "
            "rename or remove one of them."
        )
    notes = _header_notes(rows, found)
    last = next((i for i in range(len(rows) - 1, top, -1) if is_filled(rows[i])), top)
    if last > top + 1 and is_totals(rows[last], rows[top + 1 : last]):
        notes.append(
            f", row {last + 1}: a totals row (its numbers are those of the rows above), left aside."
        )
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
        notes.append(
            f": rows {number - 1} and {number} name the columns together, as in {example}."
        )
    if above > 0:
        start, end = first + 1, first + above
        aside = f"row {start}" if start == end else f"rows {start} to {end}"
        names = "" if found.rows == 2 else f"the columns are named in row {number}; "
        notes.append(f": {names}{aside} above left aside as a title.")
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
