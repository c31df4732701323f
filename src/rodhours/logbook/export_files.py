"""The tables of the open format as CSV files or a workbook: the same tables give the same bytes.

Files appear under their names whole or not at all.
"""

from __future__ import annotations

import csv
import gc
import io
import os
import re
import shutil
import sys
import tempfile
import traceback
import zipfile
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from rodhours.errors import UnusableFile, UsageError
from rodhours.logbook.export_tables import OpenTable, text_of
from rodhours.logbook.formula_text import begins_like_formula, guarded
from rodhours.wording import export as words

if TYPE_CHECKING:
    from openpyxl import Workbook

_STAMP = datetime(2000, 1, 1)
"""When a workbook says it was made: always the same, or no two exports would be alike."""
_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*(</dcterms:modified>)")
MOST_ROWS = 1_048_575
"""Rows below the header that a sheet can hold."""


def csv_files(tables: Sequence[OpenTable]) -> dict[str, bytes]:
    """Each table as a CSV file: UTF-8, commas, its names in the first row."""
    files = {}
    for table in tables:
        out = io.StringIO(newline="")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(map(guarded, table.columns))
        writer.writerows(
            [guarded(cell) if isinstance(cell, str) else text_of(cell) for cell in row]
            for row in table.rows
        )
        files[f"{table.name}.csv"] = out.getvalue().encode()
    return files


def workbook_file(tables: Sequence[OpenTable]) -> bytes:
    """All tables as sheets of one workbook; texts are texts, whatever they begin with.

    UnusableFile where a text cannot stand in a workbook.
    """
    from openpyxl import Workbook
    from openpyxl.utils.exceptions import IllegalCharacterError

    book = Workbook()
    book.remove(book.active)
    book.properties.creator = "rodhours"
    book.properties.created = _STAMP
    for table in tables:
        if len(table.rows) > MOST_ROWS:
            raise UnusableFile(words.too_long_for_a_sheet(table.name, len(table.rows)))
        sheet = book.create_sheet(table.name)
        sheet.freeze_panes = "A2"
        for number, row in enumerate((table.columns, *table.rows), start=1):
            for column, value in enumerate(row, start=1):
                if value is None:
                    continue
                cell = sheet.cell(number, column)
                if not isinstance(value, str):
                    # As text that is declared a number: the library would write 16 digits.
                    cell.value = text_of(value)
                    cell.data_type = "n"
                    continue
                try:
                    cell.value = value
                except IllegalCharacterError:
                    raise UnusableFile(
                        words.no_text_for_a_sheet(table.name, table.columns[column - 1], value)
                    ) from None
                if cell.value != value:
                    raise UnusableFile(
                        words.no_text_for_a_sheet(table.name, table.columns[column - 1], value)
                    )
                cell.data_type = "s"
                if begins_like_formula(value):
                    cell.quotePrefix = True
    return _without_clock(workbook_bytes(book))


def workbook_bytes(book: Workbook) -> bytes:
    """The workbook's bytes; UnusableFile where its sheets do not fit into the temporary folder."""
    raw = io.BytesIO()
    try:
        book.save(raw)
    except OSError as error:
        reason = error.strerror
        # The library's half-written sheets fail once more when they are thrown away: in silence.
        before, sys.unraisablehook = sys.unraisablehook, lambda _: None
        try:
            failed: BaseException | None = error
            while failed is not None:
                traceback.clear_frames(failed.__traceback__)
                failed = failed.__context__
            gc.collect()
        finally:
            sys.unraisablehook = before
        raise UnusableFile(words.cannot_be_written(tempfile.gettempdir(), reason)) from None
    return raw.getvalue()


def _without_clock(content: bytes) -> bytes:
    """The same workbook without the moment it was written, in its properties and its archive."""
    stamp = _STAMP.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            part = old.read(name)
            if name == "docProps/core.xml":
                part = _MODIFIED.sub(rb"\g<1>" + stamp + rb"\g<2>", part)
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(entry, part)
    return out.getvalue()


def place(
    files: Mapping[str, bytes], folder: Path, force: bool, called: Path | None = None
) -> tuple[Path, ...]:
    """Write the files into a folder, a new one or one that is there; the paths.

    A new folder appears with all of them. In a folder that is there each file is whole, and the
    first of `files` is the last to appear. UsageError where one of them is there already and
    `force` is off; UnusableFile, on `called` (the folder), where the place cannot be written to.
    """
    targets = [folder / name for name in files]
    there = [str(path) for path in targets if path.exists() or path.is_symlink()]
    if there and not force:
        raise UsageError(words.there_already(there))
    try:
        if folder.exists():
            _into_folder(files, folder)
        else:
            _as_folder(files, folder)
    except OSError as error:
        raise UnusableFile(
            words.cannot_be_written(str(called or folder), error.strerror)
        ) from error
    return tuple(targets)


def place_file(content: bytes, path: Path, force: bool) -> tuple[Path, ...]:
    """Write one file, in a folder that is there; raises as `place` does."""
    if path.is_dir():
        raise UsageError(words.is_a_folder(str(path)))
    if not path.parent.is_dir():
        raise UnusableFile(words.no_folder(str(path), str(path.parent)))
    return place({path.name: content}, path.parent, force, called=path)


def _written(content: bytes, path: Path) -> None:
    with path.open("xb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())


def _as_folder(files: Mapping[str, bytes], folder: Path) -> None:
    # As text: a folder may be given as `.` or with a name that ends in dots.
    whole = folder.absolute()
    part = whole.with_name(f".{whole.name}.{os.getpid()}.part")
    shutil.rmtree(part, ignore_errors=True)
    try:
        part.mkdir()
        for name, content in files.items():
            _written(content, part / name)
        part.rename(whole)
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _into_folder(files: Mapping[str, bytes], folder: Path) -> None:
    parts = {name: folder / f".{name}.{os.getpid()}.part" for name in files}
    try:
        for name, content in files.items():
            parts[name].unlink(missing_ok=True)
            _written(content, parts[name])
        # Without its first table a half-replaced export cannot be taken for a whole one.
        first, *others = files
        if others:
            (folder / first).unlink(missing_ok=True)
        for name in (*others, first):
            parts[name].replace(folder / name)
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)
