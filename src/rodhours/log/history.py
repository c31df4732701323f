"""The history of the logbook: every change, which of them stand, and taking one back.

What holds is what the last change still standing says: of a session a version, of a recipe its
row or some of its cells, of a label another one, of a mark on a session whether it is there.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from rodhours.counts import listed
from rodhours.errors import UsageError
from rodhours.log.change_texts import meant_perhaps, moment

IMPORT, RENAME, OPENED_KEY = "import", "rename", "opened-key"
LEAVE_OUT, TAKE_BACK = "leave-out", "take-back"
BATCH_ADDED, BATCH_REMOVED = "batch-added", "batch-removed"
DROP_WAITING = "drop-waiting"
REFERENCE = "reference"
STATED_END = "stated-end"
"""The kinds of change."""


@dataclass(frozen=True)
class FileRead:
    """A file of an import; `sha256` is the digest of its bytes, None where it was not kept."""

    file: str
    sha256: str | None = None


@dataclass(frozen=True)
class Change:
    """One change of the logbook.

    `made_at` and `undone_at` are UTC in ISO 8601; `rows` and `sessions` count what it brought
    when it was made; `details` holds what belongs to its kind: `old` and `new` of a rename, `plan`
    and `codes` of an opened key, `session`, `angler` and `because` of a session left out or taken
    back in, `batch` and `variant` of a batch, `variant` of a reference and whether it was
    `automatic`, `until_trip` and the question of a stated end.
    """

    id: int
    kind: str
    made_at: str
    undone_at: str | None
    zone: str | None
    files: tuple[FileRead, ...]
    rows: int
    sessions: int
    details: Mapping[str, Any] = field(default_factory=dict)

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours history --json` lists."""
        aside = ("codes", "replace", "as_new", "waiting")
        own = asdict(self)
        details = own.pop("details")
        return own | {name: value for name, value in details.items() if name not in aside}


def files_read(files: Iterable[str]) -> tuple[FileRead, ...]:
    """Each file once, in order, with the digest of its bytes; None where it is gone by now."""
    found = []
    for file in dict.fromkeys(files):
        digest = None
        with suppress(OSError), Path(file).open("rb") as content:
            digest = hashlib.file_digest(content, "sha256").hexdigest()
        found.append(FileRead(file, digest))
    return tuple(found)


def now() -> str:
    """This moment as the logbook writes it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def record(
    run: sqlite3.Connection,
    kind: str,
    *,
    zone: str | None = None,
    files: Sequence[FileRead] = (),
    rows: int = 0,
    sessions: int = 0,
    details: Mapping[str, Any] | None = None,
    rows_sha256: str | None = None,
) -> int:
    """Enter a change into the history; its number."""
    values = {
        "kind": kind,
        "made_at": now(),
        "zone": zone,
        "files": json.dumps([asdict(file) for file in files], ensure_ascii=False),
        "rows": rows,
        "sessions": sessions,
        "details": json.dumps(dict(details or {}), ensure_ascii=False),
        "rows_sha256": rows_sha256,
    }
    marks = ", ".join(f":{name}" for name in values)
    done = run.execute(f"INSERT INTO changes ({', '.join(values)}) VALUES ({marks})", values)
    return int(done.lastrowid or 0)


def changes(run: sqlite3.Connection, *kinds: str) -> list[Change]:
    """Every change, or those of these kinds, the oldest first."""
    wanted = f" WHERE kind IN ({', '.join('?' * len(kinds))})" if kinds else ""
    rows = run.execute(f"SELECT * FROM changes{wanted} ORDER BY id", kinds)
    own = [name for name in Change.__dataclass_fields__ if name not in ("files", "details")]
    return [
        Change(
            **{name: row[name] for name in own},
            files=tuple(FileRead(**file) for file in json.loads(row["files"])),
            details=json.loads(row["details"]),
        )
        for row in rows
    ]


def standing(run: sqlite3.Connection, *kinds: str) -> list[Change]:
    """The changes of these kinds that were not taken back, the oldest first."""
    return [change for change in changes(run, *kinds) if change.undone_at is None]


@dataclass(frozen=True)
class Undone:
    """What taking back a change did; `rows_waiting` is how many more rows wait than before."""

    change: Change
    sessions_removed: int
    sessions_restored: int
    rows_waiting: int

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours undo --json` prints beside its head."""
        return {**vars(self), "change": self.change.to_dict()}


def undo(run: sqlite3.Connection, number: int | None = None) -> Undone | None:
    """Take back a change, the latest still standing without a number; None where there is none.

    It is marked, whichever it is, and what holds is what the others say. A reference that nobody
    asked for is taken back by its number alone. UsageError for a number that no change has, or one
    that is taken back already.
    """
    history = {change.id: change for change in changes(run)}
    if number is None:
        asked_for = [one.id for one in standing(run) if not one.details.get("automatic")]
        if not asked_for:
            return None
        number = asked_for[-1]
    if number not in history:
        where = "is empty"
        if history:
            where = f"goes from {min(history)} to {max(history)}: rodhours history lists it"
        raise UsageError(f"There is no change {number}; the logbook's history {where}.")
    change = history[number]
    if change.undone_at is not None:
        when = moment(change.undone_at)
        raise UsageError(f"Change {number} was taken back already, {when}.")
    before, waited = _current(run)
    run.execute("UPDATE changes SET undone_at = ? WHERE id = ?", (now(), number))
    after, waiting = _current(run)
    return Undone(change, len(before - after), len(after - before), waiting - waited)


def _current(run: sqlite3.Connection) -> tuple[set[int], int]:
    """The versions of sessions that hold, and how many rows wait."""
    versions = {number for (number,) in run.execute("SELECT id FROM current")}
    return versions, int(run.execute("SELECT count(*) FROM waits").fetchone()[0])


def undo_imports(run: sqlite3.Connection, file: str | None, angler: str | None) -> list[Undone]:
    """Take back the imports still standing of a file (or of all files of a folder), of an angler,
    or of both, the newest first.

    UsageError where there is none, and where one of them brought trips of other anglers too.
    """
    imports = standing(run, IMPORT)
    anglers = anglers_of_imports(run)
    meant = []
    for one in imports:
        # A file is named with its folder or without, or by a folder that it is in.
        read = [Path(each.file) for each in one.files]
        names = {path for each in read for path in (each.resolve(), *each.resolve().parents)}
        of_file = file is None or Path(file).resolve() in names or file in {p.name for p in read}
        if of_file and (angler is None or (angler or None) in anglers[one.id]):
            meant.append(one)
    for one in meant if angler is not None else ():
        others = sorted(name or "nobody" for name in anglers[one.id] - {angler or None})
        if others:
            raise UsageError(
                f"Change {one.id} brought trips of {listed(others)} beside those of "
                f"{angler or 'nobody'}: rodhours undo {one.id} takes back all of them. "
                "Nothing was taken back."
            )
    if not meant:
        files = {Path(one.file).name for change in imports for one in change.files}
        of = " and ".join(filter(None, [file, angler and f"the angler {angler}"]))
        raise UsageError(
            f"No import that stands is of {of or 'a trip without an angler'}."
            f"{meant_perhaps(file or '', files)} rodhours history lists them."
        )
    return [done for one in reversed(meant) if (done := undo(run, one.id)) is not None]


def anglers_of_imports(run: sqlite3.Connection) -> Mapping[int, set[str | None]]:
    """Whose trips each import says or refused, None among them for those without a name."""
    anglers: dict[int, set[str | None]] = defaultdict(set)
    for change, angler in run.execute(
        "SELECT y.change_id, s.angler FROM session_says y JOIN sessions s ON s.id = y.session_id "
        "UNION SELECT change_id, angler FROM waiting"
    ):
        anglers[change].add(angler)
    return anglers
