"""One import: read, check, compare with the logbook, write in one transaction, report.

Every data row ends in exactly one place: imported, already there, or refused, and waiting.
"""

from __future__ import annotations

import gc
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rodhours.counts import listed
from rodhours.errors import UnusableFile, UsageError
from rodhours.log.aliases import Labels
from rodhours.log.anglers import stamp_angler
from rodhours.log.cells.times import machine_zone, zone_label
from rodhours.log.cells.weights import WEIGHT_FORMS
from rodhours.log.history import IMPORT, FileRead, files_read
from rodhours.log.layout.toml import load_layout
from rodhours.log.layout.use import read_laid_out, recall, remember
from rodhours.log.logbook import Logbook, open_logbook
from rodhours.log.logbook_file import is_missing
from rodhours.log.merge import CONFLICT, DOUBLE, NEW, REFUSED, SAME, TAKEN, Merge
from rodhours.log.reading import read_log
from rodhours.log.relabelling import Relabelled, relabel
from rodhours.log.rules import check_log
from rodhours.log.rules.checked import Checked
from rodhours.log.table import Problem
from rodhours.log.weight_unit import remember_weight_unit

SURE = "sure"
"""The setting of the logbook with what is beyond sense and was said to be right."""


@dataclass(frozen=True)
class TableRead:
    """One table that was read, and its data rows."""

    file: str
    sheet: str | None
    table: str
    rows: int


@dataclass(frozen=True)
class ImportResult:
    """What an import did: `rows_read = rows_imported + rows_already_there + rows_rejected`.

    The rows are data rows of all tables. Sessions are counted by what became of them. `noted` says
    that the files, though they brought nothing, were entered into the history as saying it too.
    `doubted` is what is beyond sense and was not said to be right.
    `unread` are cells that no answer needs and nobody could read: empty in the numbers, kept word
    for word.
    """

    rows_read: int
    rows_imported: int
    rows_already_there: int
    rows_rejected: int
    problems: tuple[Problem, ...]
    hints: tuple[str, ...] = ()
    tables: tuple[TableRead, ...] = ()
    sessions: dict[str, int] = field(default_factory=dict)
    variant_conflicts: int = 0
    dry_run: bool = False
    logbook: str = ""
    noted: bool = False
    doubted: tuple[str, ...] = ()
    unread: tuple[Problem, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether nothing was refused and nothing is in conflict."""
        return not self.rows_rejected and not self.problems

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours import --json` prints."""
        return {
            "schema": 1,
            "rows_read": self.rows_read,
            "rows_imported": self.rows_imported,
            "rows_already_there": self.rows_already_there,
            "rows_rejected": self.rows_rejected,
            "problems": [problem.to_dict() for problem in self.problems],
            "unread_cells": [problem.to_dict() for problem in self.unread],
        }


@contextmanager
def _without_collection() -> Iterator[None]:
    """Hold the garbage collector: it would walk a hundred thousand rows that all stay in use."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@_without_collection()
def import_paths(
    paths: Sequence[Path | str],
    logbook_path: Path | str,
    *,
    dry_run: bool = False,
    replace: bool = False,
    as_new: bool = False,
    zone: str | None = None,
    weight_unit: str | None = None,
    angler: str | None = None,
    layouts: Sequence[Path | str] = (),
    remembered: bool = True,
    sure: bool = False,
) -> ImportResult:
    """Import the files of one or more trip logs into a logbook, in one transaction.

    `zone` names the time zone of the files' local times (default: this machine's),
    `weight_unit` (one of WEIGHT_FORMS) what a weight without a unit means, `angler` whose
    log the files are. `replace` swaps sessions that differ from what the logbook holds, `as_new`
    takes probable doubles; `dry_run` writes nothing at all. `layouts` are layout files by which
    the tables are read; for tables that none of them speaks of, those that the logbook knows for
    files of the same columns are used, unless `remembered` is off.
    `sure` takes trips that are beyond sense, and the logbook remembers that they are right.

    Raises UnusableFile where a file is no trip log (then nothing of any file is imported), and
    of these LayoutNeeded where only its columns are not those of the trip log,
    UnusableLogbook where the logbook cannot be used, UsageError for an unknown zone or unit.
    """
    if weight_unit is not None and weight_unit not in WEIGHT_FORMS:
        raise UsageError(f"The weight unit is one of {', '.join(WEIGHT_FORMS)}, not {weight_unit}.")
    path = Path(logbook_path)
    with _held(path) as held:
        recalled = partial(recall, held) if held is not None and remembered else None
        laid = read_laid_out(
            [Path(one) for one in paths], [load_layout(Path(one)) for one in layouts], recalled
        )
        labels = held.labels() if held else Labels()
        known = frozenset(json.loads((held and held.setting(SURE)) or "[]"))
    stated = zone if zone is not None else laid.zone
    zone_name = stated if stated is not None else machine_zone()

    def checked_under(labels: Labels) -> tuple[Checked, Relabelled]:
        """The rows, read and checked under the labels of now."""
        log = read_log(laid.raws, weight_unit=weight_unit)
        if angler is not None:
            stamp_angler(log, angler)
        log.findings.hints[:0] = laid.hints
        relabelled = relabel(log, labels)
        checked = check_log(log, _zone(zone_name), known, sure)
        if stated is None and checked.spans:
            log.findings.hints.append(
                "The times are taken for local times of this machine's zone, "
                f"{zone_label(zone_name)}; where the water is elsewhere, say so with --zone, "
                "such as --zone Europe/London."
            )
        return checked, relabelled

    def merged(book: Logbook | None) -> Merge:
        held = None if book is None or book.is_empty() else book
        merge = Merge(checked[0], checked[1], held, replace, as_new)
        if book is not None:
            _refuse_rereading(merge, book, files)
        return merge

    files = files_read(raw.file for raw in laid.raws)
    checked = checked_under(labels)
    merge = None
    if is_missing(path) or dry_run:
        with _held(path) as held:
            merge = merged(held)
        if dry_run or not (merge.brings or merge.waiting):
            return _result(merge, dry_run, path)
    with open_logbook(path, create=True) as book, book.transaction():
        if book.labels() != labels:
            checked = checked_under(book.labels())
        if merge is None or not book.is_empty():
            merge = merged(book)
        # The same files again change nothing; other ones count as saying it too.
        read = {file.sha256 for file in files} <= book.files_read()
        noted = not merge.brings and merge.count(SAME) > 0 and not read
        waiting = merge.waiting_news(book)
        if merge.brings or noted or any(waiting):
            merge.write(book, zone_label(zone_name), files, waiting)
        for key in laid.keys:
            first = {name: key[name] for name in ("opened_at", "trips_in")}
            book.open_key(key["plan"], key["codes"], key["trips_planned"], first)
        if merge.brings:
            remember_weight_unit(book, checked[0].log.weights_written)
        if sure and checked[0].doubted:
            book.set_setting(SURE, json.dumps(sorted({*known, *checked[0].doubted})))
        if laid.used and merge.count(*TAKEN, SAME):
            remember(book, laid.used)
    return _result(merge, False, path, noted)


@contextmanager
def _held(path: Path) -> Iterator[Logbook | None]:
    """The logbook as it stands; None where there is no file yet."""
    if is_missing(path):
        yield None
        return
    with open_logbook(path, create=True) as book:
        yield book


def _refuse_rereading(merge: Merge, book: Logbook, files: Sequence[FileRead]) -> None:
    """UnusableFile where the files of a standing import, byte for byte, are read otherwise now.

    They are where they bring sessions that are new, and no longer name all that it brought.
    """
    if {NEW, DOUBLE}.isdisjoint(merge.fates):
        return
    digests = {file.sha256 for file in files} - {None}
    said, now = book.said_by_import(), set(merge.checked.keys)
    for change in book.standing(IMPORT):
        earlier = {file.sha256 for file in change.files} - {None}
        if earlier and earlier <= digests and said.get(change.id, set()) - now:
            names = listed(Path(file.file).name for file in change.files)
            raise UnusableFile(
                f"{names}: imported before, as change {change.id}, and read otherwise now, so that "
                "its trips would be in the logbook twice. Nothing was imported. Undo first: "
                f"rodhours undo {change.id}, then import again."
            )


def _zone(name: str | None) -> ZoneInfo | None:
    try:
        return None if name is None else ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise UsageError(
            f"There is no time zone called {name}; write it as Europe/Berlin or UTC."
        ) from None


def _result(merge: Merge, dry_run: bool, logbook: Path, noted: bool = False) -> ImportResult:
    order = {(raw.file, raw.sheet): number for number, raw in enumerate(merge.log.raws)}
    return ImportResult(
        rows_read=sum(len(raw.rows) for raw in merge.log.raws),
        rows_imported=merge.count(*TAKEN),
        rows_already_there=merge.count(SAME),
        rows_rejected=merge.count(*REFUSED),
        problems=tuple(
            sorted(merge.problems, key=lambda one: (order[one.file, one.sheet], one.row or 0))
        ),
        hints=tuple(dict.fromkeys(merge.hints)),
        tables=tuple(
            TableRead(raw.file, raw.sheet, raw.table, len(raw.rows)) for raw in merge.log.raws
        ),
        sessions=dict(Counter(merge.fates)),
        variant_conflicts=list(merge.variant_fates.values()).count(CONFLICT),
        dry_run=dry_run,
        logbook=str(logbook),
        noted=noted,
        doubted=tuple(merge.checked.unanswered),
        unread=tuple(merge.log.findings.unread),
    )
