"""The logbook in the open format: written, and checked by importing it into a logbook of its own.

What the format has no place for (batches, marks of sessions left out) is not exported and named.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rodhours.errors import RodhoursError, UnusableLogbook
from rodhours.logbook.export_files import csv_files, place, place_file, workbook_file
from rodhours.logbook.export_tables import OpenTable, open_tables
from rodhours.logbook.importing import import_paths
from rodhours.logbook.logbook import Logbook, open_logbook
from rodhours.wording.export import NOTHING_TO_EXPORT

WORKBOOK = ".xlsx"


@dataclass(frozen=True)
class Exported:
    """What was written. `rows` counts the rows of each table, `zones` are those of local times.

    `same_log` says whether importing the export gives the same log, `problem` what was in the
    way. `left_out` and `batches` count what the format has no place for.
    """

    files: tuple[str, ...]
    rows: dict[str, int]
    content_sha256: str
    same_log: bool
    problem: str | None
    zones: tuple[str, ...]
    left_out: tuple[str, ...]
    batches: int

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours export --json` prints beside its head."""
        return {
            "files": list(self.files),
            "rows": dict(self.rows),
            "content_sha256": self.content_sha256,
            "same_log": self.same_log,
            "problem": self.problem,
            "zones": list(self.zones),
            "not_exported": {"left_out": list(self.left_out), "batches": self.batches},
        }


def export_logbook(book: Logbook, target: Path, force: bool = False) -> Exported:
    """Write the current log as CSV files into a folder, or as a workbook to a file `.xlsx`.

    UsageError where a file is there already and `force` is off; UnusableFile where the place
    cannot be written to or a workbook cannot hold a text; UnusableLogbook for a logbook without
    stints.
    """
    with book.snapshot():
        tables = open_tables(book)
        digest = book.content_sha256()
        left_out = tuple(one.session for one in book.left_out())
        batches = len(book.batches())
        zones = _zones(book) if _has_times(tables) else ()
    if not tables[0].rows:
        raise UnusableLogbook(NOTHING_TO_EXPORT)
    as_workbook = target.suffix.lower() == WORKBOOK
    if as_workbook:
        files = {target.name: workbook_file(tables)}
        written = place_file(files[target.name], target, force)
    else:
        files = csv_files(tables)
        written = place(files, target, force)
    same, problem = _comes_back(files, digest, zones[-1] if zones else None)
    return Exported(
        files=tuple(map(str, written)),
        rows={table.name: len(table.rows) for table in tables},
        content_sha256=digest,
        same_log=same,
        problem=problem,
        zones=zones,
        left_out=left_out,
        batches=batches,
    )


def _has_times(tables: tuple[OpenTable, ...]) -> bool:
    times = {"cast_in", "cast_out"}
    return any(times & set(table.columns) for table in tables)


def _zones(book: Logbook) -> tuple[str, ...]:
    """The zones of the standing imports, the latest last."""
    named = [one.zone for one in book.changes() if one.zone and one.undone_at is None]
    return tuple(dict.fromkeys(reversed(named)))[::-1]


def _has_name(zone: str) -> bool:
    return " " not in zone


def _comes_back(files: dict[str, bytes], digest: str, zone: str | None) -> tuple[bool, str | None]:
    """Import the files into a logbook of their own: is it the same log, and if not, why?"""
    known = zone if zone is not None and _has_name(zone) else None
    try:
        with tempfile.TemporaryDirectory() as place_for_it:
            folder = Path(place_for_it)
            log = folder / "log"
            log.mkdir()
            for name, content in files.items():
                (log / name).write_bytes(content)
            path = folder / "logbook.sqlite"
            result = import_paths([log], path, zone=known, remembered=False)
            if result.problems:
                first = result.problems[0]
                return False, f"{Path(first.place).name}: {first.says}"
            with open_logbook(path) as copy:
                return copy.content_sha256() == digest, None
    except RodhoursError as error:
        return False, str(error)
    except OSError as error:
        return False, f"it could not be checked: {error.strerror}"
