"""A workbook to the rows of text of its sheets: within bounds, as the sheet shows its cells."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from itertools import zip_longest
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from rodhours.errors import UnusableFile
from rodhours.log.files.open import MAX_WORKBOOK_MIB, MEBIBYTE

NAMED = 3
"""How many cells a message names before it counts the others."""
MAX_CELLS = 5_000_000
"""Cells in the rectangle from A1 to the last filled one: a hundred thousand rows of fifty."""
MAX_TEXT = 400 * 2**20
"""Characters in all cells, where one text may stand for many cells."""
BINARY = "a binary workbook (.xlsb) is not read; save it as .xlsx."
_QUOTED = re.compile(r"\"[^\"]*\"|\\.")
_SHEET = re.compile(rb"<(?:\w+:)?sheet\s")
_ISO_DURATION = re.compile(r"(-?)PT(\d{1,7})H(\d{1,2})M(\d{1,2}(?:\.\d+)?)S", re.ASCII)
_DAYS_NOUGHT = (
    (datetime(1899, 12, 31), datetime(1900, 3, 1)),
    (datetime(1904, 1, 1), datetime(1904, 3, 1)),
)
"""The day from which a spreadsheet counts, by each reckoning, and until when a date is hours."""
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"


@dataclass
class Sheet:
    """One sheet as rows of text from A1 on, and the formulas that have no saved value."""

    name: str
    rows: list[list[str]] = field(default_factory=list)
    unsaved: list[str] = field(default_factory=list)


def read_sheets(file: Path, content: bytes) -> list[Sheet]:
    """Every sheet that holds a table of cells, hidden ones too, in the order of the workbook.

    Cells that show an error hold its text (`#DIV/0!`), percentages their sign (`20%`). Raises
    UnusableFile where the workbook is damaged, protected or too large to lay out.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = _checked_parts(file, packed)
        if "content.xml" in parts:
            return _ods(file, parts["content.xml"])
        return _xlsx(file, content, parts)
    except (UnusableFile, MemoryError):
        raise
    except Exception:  # whatever a library makes of a workbook that it cannot read
        raise damaged(file) from None


def require_saved(file: Path, sheet: Sheet) -> None:
    """Raise UnusableFile where a formula has no saved value: its cell would seem empty."""
    if not sheet.unsaved:
        return
    more = len(sheet.unsaved) - NAMED
    cells = ", ".join(sheet.unsaved[:NAMED]) + (f" and {more} more" if more > 0 else "")
    what = f"formula in {cells} has" if len(sheet.unsaved) == 1 else f"formulas in {cells} have"
    raise UnusableFile(
        f"{file}, sheet {sheet.name}: the {what} no saved value. Open the "
        "workbook in your spreadsheet program, save it there and import it again."
    )


def damaged(file: Path) -> UnusableFile:
    """The workbook cannot be read."""
    return UnusableFile(f"{file}: this workbook is damaged or unfinished and cannot be read.")


def protected(file: Path) -> UnusableFile:
    """The workbook is encrypted."""
    says = "this workbook is protected by a password; save a copy without one"
    return UnusableFile(f"{file}: {says}.")


def _too_large(file: Path) -> UnusableFile:
    return UnusableFile(
        f"{file}: this workbook unpacks to more than {MAX_WORKBOOK_MIB} MiB; no trip log is that "
        "large, so nothing of it was read."
    )


def _checked_parts(file: Path, packed: zipfile.ZipFile) -> dict[str, bytes]:
    """The parts that a library parses, none of them with entities.

    No part is unpacked beyond the size that the directory states, and those are summed first.
    """
    entries = packed.infolist()
    names = {entry.filename for entry in entries}
    if len(names) < len(entries):
        raise damaged(file)
    if any(entry.flag_bits & 1 for entry in entries) or "encrypted-package" in names:
        raise protected(file)
    if sum(entry.file_size for entry in entries) > MAX_WORKBOOK_MIB * MEBIBYTE:
        raise _too_large(file)
    if "xl/workbook.bin" in names:
        raise UnusableFile(f"{file}: {BINARY}")
    if not names & {"xl/workbook.xml", "content.xml"}:
        raise UnusableFile(f"{file}: a zip file without a table in it, not a workbook.")
    parts = {name: packed.read(name) for name in names if name.endswith((".xml", ".rels"))}
    if b"encryption-data" in parts.get("META-INF/manifest.xml", b""):
        raise protected(file)
    # Without a document type there is no entity to grow; a NUL would be an encoding that hides it.
    if any(b"<!DOCTYPE" in part or b"\0" in part for part in parts.values()):
        raise damaged(file)
    return parts


def bounded(file: Path, sheet: str, rows: Iterable[tuple[list[str], int]]) -> Iterator[list[str]]:
    """The rows of a sheet, each with how often it stands there, within the bounds of a trip log.

    Empty cells at the end of a row, and empty rows at the end, are none.
    """
    width = text = last = empty = 0
    for cells, times in rows:
        while cells and not cells[-1]:
            cells.pop()
        if not cells:
            empty += times
            continue
        width, last = max(width, len(cells)), last + empty + times
        if last * width > MAX_CELLS:
            raise UnusableFile(
                f"{file}, sheet {sheet}: cells are filled as far as {cell_name(last, width)}; that "
                "is too large a sheet for a trip log. Delete what stands far away from the table."
            )
        text += sum(map(len, cells)) * times
        if text > MAX_TEXT:
            raise _too_large(file)
        yield from ([] for _ in range(empty))
        yield from (list(cells) for _ in range(times))
        empty = 0


def cell_name(row: int, column: int) -> str:
    """The name of a cell, counted from 1, as a spreadsheet shows it: C5."""
    letters = ""
    while column:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return f"{letters}{row}"


def _xlsx(file: Path, content: bytes, parts: dict[str, bytes]) -> list[Sheet]:
    from openpyxl import load_workbook

    def book(values: bool) -> Any:
        data = io.BytesIO(content)
        return load_workbook(data, read_only=True, data_only=values, keep_links=False)

    sheets = [part for name, part in parts.items() if "/worksheets/" in name]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        values = book(True)
        formulas = book(False) if any(b"<f" in part or b":f" in part for part in sheets) else None
        if len(values.sheetnames) != len(_SHEET.findall(parts["xl/workbook.xml"])):
            raise damaged(file)
        found = []
        for sheet in values.worksheets:
            unsaved: list[str] = []
            rows = _xlsx_rows(sheet, formulas and formulas[sheet.title], unsaved)
            found.append(Sheet(sheet.title, list(bounded(file, sheet.title, rows)), unsaved))
        return found


def _xlsx_rows(
    values: Any, formulas: Any | None, unsaved: list[str]
) -> Iterator[tuple[list[str], int]]:
    """The cells of each row; `unsaved` takes the formulas without a value."""
    values.reset_dimensions()
    if formulas is not None:
        formulas.reset_dimensions()
    both = zip_longest(values.rows, formulas.rows if formulas is not None else ())
    for number, (cells, same) in enumerate(both, start=1):
        for column, (cell, formula) in enumerate(zip(cells, same or (), strict=False), start=1):
            if cell.value is None and formula.data_type == "f" and cell.data_type != "str":
                unsaved.append(cell_name(number, column))
        yield [_shown(cell) for cell in cells], 1


def _shown(cell: Any) -> str:
    text = as_text(cell.value)
    percent = text and cell.data_type == "n" and "%" in _QUOTED.sub("", cell.number_format)
    return _percentage(text) if percent else text


def as_text(cell: Any) -> str:
    """Whole numbers without decimals, dates and times in ISO 8601, durations as `36:30`.

    A spreadsheet keeps a duration as days from its day nought: a time of day that runs past 24
    hours is a date of early 1900 (or 1904, by the other reckoning), and is written as the
    hours that it is.
    """
    if isinstance(cell, str):
        return cell
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, timedelta):
        return _duration(cell)
    if isinstance(cell, date) and not isinstance(cell, datetime):
        cell = datetime(cell.year, cell.month, cell.day)
    if isinstance(cell, datetime):
        # Spreadsheets keep times as fractions of a day, a hair off the whole second.
        cell = (cell + timedelta(milliseconds=500)).replace(microsecond=0)
        for nought, end in _DAYS_NOUGHT:
            if cell < end and (nought <= cell or nought.year < 1900):
                return _duration(cell - nought)
        if cell.time() == time.min:
            return str(cell.date().isoformat())
        return str(cell.isoformat(timespec="seconds" if cell.second else "minutes"))
    if isinstance(cell, time):
        return _duration(datetime.combine(date.min, cell) - datetime.min)
    return str(cell)


def _duration(span: timedelta) -> str:
    """Hours and minutes (and seconds, where they are not zero): `05:30`, `36:30`."""
    total = round(span / timedelta(seconds=1))
    hours, rest = divmod(abs(total), 3600)
    minutes, seconds = divmod(rest, 60)
    sign = "-" if total < 0 else ""
    return f"{sign}{hours:02d}:{minutes:02d}" + (f":{seconds:02d}" if seconds else "")


def _percentage(text: str) -> str:
    return f"{as_text(round(float(text) * 100, 9))}%"


def _ods(file: Path, content: bytes) -> list[Sheet]:
    found: list[Sheet] = []
    rows: list[tuple[list[str], int]] = []
    for event, element in ElementTree.iterparse(io.BytesIO(content), ("start", "end")):
        if event == "start" and element.tag == f"{_TABLE}table":
            rows = []
        elif event == "end" and element.tag == f"{_TABLE}table-row":
            rows.append(_ods_row(file, element))
            element.clear()
        elif event == "end" and element.tag == f"{_TABLE}table":
            name = element.get(f"{_TABLE}name", "")
            found.append(Sheet(name, list(bounded(file, name, rows))))
    return found


def _ods_row(file: Path, row: ElementTree.Element) -> tuple[list[str], int]:
    """The cells of a row, and for how many rows it stands."""
    cells: list[str] = []
    empty = 0
    for cell in row:
        text = _ods_text(cell) if cell.tag == f"{_TABLE}table-cell" else ""
        times = int(cell.get(f"{_TABLE}number-columns-repeated", 1))
        if not text:
            empty += times
            continue
        if empty + times > MAX_CELLS or len(text) * times > MAX_TEXT:
            raise _too_large(file)
        cells += [""] * empty + [text] * times
        empty = 0
    return cells, int(row.get(f"{_TABLE}number-rows-repeated", 1))


def _ods_text(cell: ElementTree.Element) -> str:
    """What an OpenDocument cell shows, its numbers, days and hours as a workbook's."""
    kind = cell.get(f"{_OFFICE}value-type")
    if kind in ("float", "currency"):
        return as_text(float(cell.get(f"{_OFFICE}value", "")))
    if kind == "percentage":
        return _percentage(cell.get(f"{_OFFICE}value", ""))
    if kind == "date":
        told = cell.get(f"{_OFFICE}date-value", "")
        return as_text(datetime.fromisoformat(told)) if "T" in told else told
    if kind == "time":
        parts = _ISO_DURATION.fullmatch(cell.get(f"{_OFFICE}time-value", ""))
        if parts:
            span = timedelta(hours=int(parts[2]), minutes=int(parts[3]), seconds=float(parts[4]))
            return _duration(-span if parts[1] else span)
    lines = ("".join(_ods_words(one)) for one in cell.iterfind(f"{_TEXT}p"))
    return "\n".join(lines) if kind else ""


def _ods_words(element: ElementTree.Element) -> Iterator[str]:
    """The words of a paragraph; several spaces, tabs and breaks are elements in it."""
    yield element.text or ""
    for part in element:
        if part.tag == f"{_TEXT}s":
            yield " " * min(int(part.get(f"{_TEXT}c", 1)), MAX_TEXT)
        elif part.tag in (f"{_TEXT}tab", f"{_TEXT}line-break"):
            yield "\t" if part.tag.endswith("tab") else "\n"
        else:
            yield from _ods_words(part)
        yield part.tail or ""
