"""A workbook to the rows of text of its sheets."""

from __future__ import annotations

import posixpath
import re
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

from rodhours.errors import UnusableFile
from rodhours.log.files.flags import (
    Flags,
    Size,
    cell_name,
    ods_sizes,
    read_flags,
    xlsx_sizes,
)
from rodhours.log.files.open import Content
from rodhours.log.files.unpack import damaged, protected, too_large, unpack
from rodhours.log.files.values import (
    Unreadable,
    iso_duration,
    percentage,
    values,
    values_apart,
)

NAMED = 3
"""How many cells a message names before it counts the others."""
MAX_CELLS = 5_000_000
"""Cells in the rectangle from A1 to the last filled one: what a reader would have to lay out.

A hundred thousand rows of fifty columns.
"""
MAX_TEXT = 400 * 2**20
"""Bytes of text in all cells, where one text may stand for many cells."""

_LOCKED_XLS = re.compile(rb"\x09\x08\x10\x00.{16}(?:\x86\x00{3})?\x2f\x00", re.DOTALL)
"""Begin of the workbook, write protection or none, encryption: [MS-XLS] 2.1.7.20.3."""


@dataclass(frozen=True)
class Sheet:
    """One sheet as rows of text from A1 on, and the formulas that have no saved value."""

    name: str
    rows: list[list[str]]
    unsaved: tuple[str, ...] = ()


def read_sheets(file: Path, content: bytes, kind: Content, hints: list[str]) -> list[Sheet]:
    """Every sheet that holds a table of cells, hidden ones too, in the order of the workbook.

    Cells of an .xlsx workbook that show an error hold its text (`#DIV/0!`), percentages their
    sign (`20%`); of other workbooks there are the values alone, and `hints` takes that this is
    so. Raises UnusableFile where the workbook is damaged, protected or too large to lay out.
    """
    try:
        if kind is Content.COMPOUND:
            return _xls(file, content, hints)
        parts = unpack(file, content)
        if "xl/workbook.xml" in parts:
            return _xlsx(file, content, parts)
        return _ods(file, content, parts["content.xml"], hints)
    except Unreadable:
        raise damaged(file) from None


def require_saved(file: Path, sheet: Sheet) -> None:
    """Raise UnusableFile where a formula has no saved value: its cell would seem empty."""
    if not sheet.unsaved:
        return
    number = len(sheet.unsaved)
    cells = ", ".join(sheet.unsaved[:NAMED])
    cells += f" and {number - NAMED} more" if number > NAMED else ""
    noun, verb = ("formula", "has") if number == 1 else ("formulas", "have")
    raise UnusableFile(
        f"{file}, sheet {sheet.name}: the {noun} in {cells} {verb} no saved value. Open the "
        "workbook in your spreadsheet program, save it there and import it again."
    )


def _xlsx(file: Path, content: bytes, parts: dict[str, bytes]) -> list[Sheet]:
    try:
        sheets = _sheet_parts(parts)
    except (ElementTree.ParseError, LookupError, StopIteration, ValueError):
        raise damaged(file) from None
    texts = parts.get("xl/sharedStrings.xml", b"")
    _check_sizes(file, xlsx_sizes(sheets, texts, MAX_TEXT))
    found = values(content)
    try:
        flags = read_flags(content, found)
    except Exception:  # whatever the library makes of a workbook that it cannot read
        raise damaged(file) from None
    return [_with_flags(name, rows, flags[name]) for name, rows in found.items()]


def _ods(file: Path, content: bytes, table: bytes, hints: list[str]) -> list[Sheet]:
    _check_sizes(file, ods_sizes(table))
    if b":formula=" in table or b'"percentage"' in table:
        hints.append(_values_alone(file, "An .ods"))
    found = values(content)
    return [
        Sheet(name, [list(map(iso_duration, row)) for row in rows]) for name, rows in found.items()
    ]


def _xls(file: Path, content: bytes, hints: list[str]) -> list[Sheet]:
    """Sheets of an old workbook; a newer one that is encrypted is a compound file as well."""
    if "EncryptedPackage".encode("utf-16-le") in content or _LOCKED_XLS.search(content):
        raise protected(file)
    if not any(name.encode("utf-16-le") in content for name in ("Workbook\0", "Book\0")):
        raise UnusableFile(f"{file}: this file is no workbook; save the table as .xlsx or CSV.")
    found = values_apart(file, content)
    _check_sizes(
        file,
        {name: Size((len(rows), max(map(len, rows), default=0))) for name, rows in found.items()},
    )
    hints.append(_values_alone(file, "An .xls"))
    return [Sheet(name, rows) for name, rows in found.items()]


def _values_alone(file: Path, kind: str) -> str:
    return (
        f"{file}: {kind} workbook gives its values alone: a formula that shows an error, or was "
        "saved without its value, reads as an empty cell, and 20 % as 0.2. Save it as .xlsx where "
        "it has any."
    )


def _sheet_parts(parts: dict[str, bytes]) -> dict[str, bytes]:
    """The XML of each sheet by its name."""
    targets = {}
    for relation in ElementTree.fromstring(parts["xl/_rels/workbook.xml.rels"]):
        target = relation.get("Target", "")
        path = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
        targets[relation.get("Id")] = posixpath.normpath(path.replace("\\", "/")).lower()
    spelt = {name.replace("\\", "/").lower(): part for name, part in parts.items()}
    found = {}
    for sheet in ElementTree.fromstring(parts["xl/workbook.xml"]).iterfind(".//{*}sheet"):
        identity = next(value for name, value in sheet.items() if name.endswith("}id"))
        found[sheet.get("name", "")] = spelt[targets[identity]]
    return found


def _check_sizes(file: Path, sizes: dict[str, Size]) -> None:
    for name, size in sizes.items():
        if size.extent[0] * size.extent[1] > MAX_CELLS:
            raise UnusableFile(
                f"{file}, sheet {name}: cells are filled as far as {cell_name(size.extent)}; that "
                "is too large a sheet for a trip log. Delete what stands far away from the table."
            )
        if size.text > MAX_TEXT:
            raise too_large(file)


def _with_flags(name: str, rows: list[list[str]], flags: Flags) -> Sheet:
    for (row, column), text in flags.errors.items():
        # The reader of values leaves errors empty; what it has is no error (a date too late).
        if not rows[row - 1][column - 1]:
            rows[row - 1][column - 1] = text
    for row, column in flags.percentages:
        rows[row - 1][column - 1] = percentage(rows[row - 1][column - 1])
    return Sheet(name, rows, tuple(map(cell_name, flags.unsaved)))
