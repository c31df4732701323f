"""The logbook in the open format, written: CSV files in a folder, a workbook, or notes.

What the format has no place for (batches, marks of sessions left out) is not exported and named.
"""

from __future__ import annotations

import gc
import io
import sys
import tempfile
import traceback
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rodhours.errors import UnusableFile, UnusableLogbook, UsageError
from rodhours.log.export_tables import OpenTable, open_tables, text_of
from rodhours.log.logbook import Logbook
from rodhours.log.notes.write import has_no_place, notes_text
from rodhours.spreadsheet_cells import csv_text, put_text
from rodhours.whole_files import require_free, write_together

if TYPE_CHECKING:
    from openpyxl import Workbook

WORKBOOK, NOTES = ".xlsx", ".txt"


@dataclass(frozen=True)
class Exported:
    """What was written. `rows` counts the rows of each table, `zones` are those of local times.

    `left_out` and `batches` count what the format has no place for, `no_place` names what notes
    have none for.
    """

    files: tuple[str, ...]
    rows: dict[str, int]
    content_sha256: str
    zones: tuple[str, ...]
    left_out: tuple[str, ...]
    batches: int
    no_place: tuple[str, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours export --json` prints beside its head."""
        return {
            "files": list(self.files),
            "rows": dict(self.rows),
            "content_sha256": self.content_sha256,
            "zones": list(self.zones),
            "not_exported": {"left_out": list(self.left_out), "batches": self.batches},
            "no_place": list(self.no_place),
        }


def export_logbook(book: Logbook, target: Path, force: bool = False) -> Exported:
    """Write the current log as CSV files into a folder, as a workbook (`.xlsx`) or notes (`.txt`).

    UsageError where a file is there already and `force` is off; UnusableFile where the place
    cannot be written to or a workbook cannot hold a text; UnusableLogbook for a logbook without
    stints.
    """
    ending = target.suffix.lower()
    with book.snapshot():
        tables = open_tables(book)
        timed = {"cast_in", "cast_out"} & {*tables[0].columns}
        # The zones of the standing imports, the latest last.
        zones = [change.zone for change in book.standing() if change.zone and timed]
        said: dict[str, Any] = {
            "rows": {table.name: len(table.rows) for table in tables},
            "content_sha256": book.content_sha256(),
            "zones": tuple(dict.fromkeys(reversed(zones)))[::-1],
            "left_out": tuple(mark.session for mark in book.left_out()),
            "batches": len(book.batches()),
            "no_place": tuple(has_no_place(tables)) if ending == NOTES else (),
        }
        inputs = book.files_read()
    if not tables[0].rows:
        raise UnusableLogbook("The logbook holds no stints, so there is nothing to export.")
    if ending in (WORKBOOK, NOTES):
        content = workbook_file(tables) if ending == WORKBOOK else notes_text(tables).encode()
        folder, files = target.parent, {target.name: content}
        if target.is_dir():
            raise UsageError(
                f"{target} is a folder; name a file that ends in {ending}, or a folder without "
                "that ending."
            )
        if not folder.is_dir():
            raise UnusableFile(f"{target}: the folder {folder} does not exist.")
    else:
        folder, files = target, {}
        for table in tables:
            cells = ([c if isinstance(c, str) else text_of(c) for c in row] for row in table.rows)
            files[f"{table.name}.csv"] = csv_text([table.columns, *cells]).encode()
    paths = [folder / name for name in files]
    require_free(paths, force, inputs)
    write_files(files, folder, called=target)
    return Exported(files=tuple(map(str, paths)), **said)


def write_files(files: Mapping[str, bytes], folder: Path, called: Path) -> None:
    """Write files by name, all or none; UnusableFile, on `called`, where that cannot be."""
    try:
        write_together(files, folder)
    except OSError as error:
        raise cannot_be_written(called, error) from error


def cannot_be_written(place: Path | str, error: OSError) -> UnusableFile:
    """The system does not take a file there."""
    why = error.strerror or "the disk is full or gone"
    return UnusableFile(f"{place} cannot be written ({why}). Nothing was left.")


def workbook_file(tables: Sequence[OpenTable]) -> bytes:
    """All tables as sheets of one workbook; texts are texts, whatever they begin with.

    UnusableFile where a text cannot stand in a workbook.
    """
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for table in tables:
        sheet = book.create_sheet(table.name)
        sheet.freeze_panes = "A2"
        for number, row in enumerate((table.columns, *table.rows), start=1):
            for column, value in enumerate(row, start=1):
                if isinstance(value, str):
                    if not put_text(sheet.cell(number, column), value):
                        raise UnusableFile(
                            f"A workbook cannot hold a text as it is: {value[:40]!r}, in "
                            f"{table.columns[column - 1]} of {table.name}. Export to a folder of "
                            "CSV files instead."
                        )
                elif value is not None:
                    # As text that is declared a number: the library would write 16 digits.
                    sheet.cell(number, column).value = text_of(value)
                    sheet.cell(number, column).data_type = "n"
    return workbook_bytes(book)


def workbook_bytes(book: Workbook) -> bytes:
    """The workbook's bytes; UnusableFile where its sheets do not fit into the temporary folder."""
    content = io.BytesIO()
    try:
        book.save(content)
    except OSError as error:
        _throw_away(error)
        raise cannot_be_written(tempfile.gettempdir(), error) from None
    return content.getvalue()


def _throw_away(error: BaseException) -> None:
    """Close what the library left half written: it fails once more, and nobody need hear it."""
    before, sys.unraisablehook = sys.unraisablehook, lambda _: None
    try:
        failed: BaseException | None = error
        while failed is not None:
            traceback.clear_frames(failed.__traceback__)
            failed = failed.__context__
        gc.collect()
    finally:
        sys.unraisablehook = before
