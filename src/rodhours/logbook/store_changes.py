"""The history of the logbook: every change, and taking one back whole.

Every row of a versioned table knows the change that brought it and the one that replaced it, so
that taking a change back deletes the first kind and frees the second. A row that a later import
had too is handed on to that import: what stands is what the changes still standing say. All
functions take a connection, inside a transaction where they write.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from rodhours.errors import RefusedRows, UsageError
from rodhours.logbook.schema import VARIANT_DATA, VERSIONED
from rodhours.wording.history import cannot_be_taken_back, no_such_change, taken_back_before

IMPORT, RENAME, LEAVE_OUT, TAKE_BACK = "import", "rename", "leave-out", "take-back"
"""The kinds of change."""

_KEYS = {
    "sessions": ("session", "ifnull({}.angler, '')"),
    "variants": ("variant",),
    "renames": ("old",),
    "left_out": ("session", "ifnull({}.angler, '')"),
}


@dataclass(frozen=True)
class FileRead:
    """A file of an import; `sha256` is the digest of its bytes, None where it was not kept."""

    file: str
    sha256: str | None = None


@dataclass(frozen=True)
class Change:
    """One change of the logbook.

    `made_at` and `undone_at` are UTC in ISO 8601; `rows` and `sessions` count what it brought
    when it was made; `details` holds what belongs to its kind: `old` and `new` of a rename,
    `session`, `angler` and `because` of a session left out or taken back in.
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
        told = ("old", "new", "merged", "session", "angler", "because")
        return {
            "id": self.id,
            "kind": self.kind,
            "made_at": self.made_at,
            "undone_at": self.undone_at,
            "zone": self.zone,
            "files": [{"file": one.file, "sha256": one.sha256} for one in self.files],
            "rows": self.rows,
            "sessions": self.sessions,
            **{name: self.details[name] for name in told if name in self.details},
        }


@dataclass(frozen=True)
class Undone:
    """What taking back a change did. `sessions_kept` are those that a later import had too."""

    change: Change
    sessions_removed: int
    sessions_restored: int
    variants_removed: int
    variants_restored: int
    sessions_kept: int = 0
    variants_kept: int = 0

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours undo --json` prints beside its head."""
        return {
            "change": self.change.to_dict(),
            "sessions_removed": self.sessions_removed,
            "sessions_restored": self.sessions_restored,
            "sessions_kept": self.sessions_kept,
            "variants_removed": self.variants_removed,
            "variants_restored": self.variants_restored,
            "variants_kept": self.variants_kept,
        }


def files_read(files: Iterable[str]) -> tuple[FileRead, ...]:
    """Each file once, in order, with the digest of its bytes; None where it is gone by now."""
    return tuple(FileRead(file, _sha256(Path(file))) for file in dict.fromkeys(files))


def _sha256(file: Path) -> str | None:
    try:
        with file.open("rb") as content:
            return hashlib.file_digest(content, "sha256").hexdigest()
    except OSError:
        return None


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
) -> int:
    """Enter a change into the history; its number."""
    number = int(run.execute("SELECT ifnull(max(id), 0) + 1 FROM changes").fetchone()[0])
    listed = [{"file": one.file, "sha256": one.sha256} for one in files]
    run.execute(
        "INSERT INTO changes VALUES (?, ?, ?, NULL, ?, ?, ?, ?, ?)",
        (
            number,
            kind,
            now(),
            zone,
            json.dumps(listed, ensure_ascii=False),
            rows,
            sessions,
            json.dumps(dict(details or {}), ensure_ascii=False),
        ),
    )
    return number


def changes(run: sqlite3.Connection) -> list[Change]:
    """Every change, the oldest first."""
    return [
        _change(row)
        for row in run.execute(
            "SELECT id, kind, made_at, undone_at, zone, files, rows, sessions, details "
            "FROM changes ORDER BY id"
        )
    ]


def changes_before_layout_3(run: sqlite3.Connection) -> list[Change]:
    """The imports of a logbook that kept nothing else."""
    return [
        _change((number, IMPORT, made_at, None, zone, files, rows, sessions, "{}"))
        for number, made_at, zone, files, rows, sessions in run.execute(
            "SELECT id, imported_at, zone, files, rows_imported, "
            "(SELECT count(*) FROM sessions WHERE added_by = imports.id) FROM imports ORDER BY id"
        )
    ]


def _change(row: tuple[Any, ...]) -> Change:
    number, kind, made_at, undone_at, zone, files, rows, sessions, details = row
    read = tuple(
        FileRead(one) if isinstance(one, str) else FileRead(one["file"], one["sha256"])
        for one in json.loads(files)
    )
    return Change(number, kind, made_at, undone_at, zone, read, rows, sessions, json.loads(details))


def undo(run: sqlite3.Connection, number: int | None = None) -> Undone | None:
    """Take back a change, the latest still standing without a number; None where there is none.

    UsageError for a number that no change has, or one that is taken back already; RefusedRows,
    with the sessions and the changes, where later changes rest on what it brought.
    """
    history = {one.id: one for one in changes(run)}
    standing = [one.id for one in history.values() if one.undone_at is None]
    if number is None:
        if not standing:
            return None
        number = standing[-1]
    if number not in history:
        raise UsageError(no_such_change(number, list(history)))
    change = history[number]
    if change.undone_at is not None:
        raise UsageError(taken_back_before(number, change.undone_at))
    touched = _touched_later(run, change, history)
    if touched:
        raise RefusedRows(
            cannot_be_taken_back(
                number,
                [
                    (later, history[later].kind, sorted(labels))
                    for later, labels in sorted(touched.items())
                ],
            )
        )
    kept = {"sessions": 0, "variants": 0}
    if change.kind == IMPORT:
        kept = _hand_on(run, number, history)
    if change.kind == RENAME:
        _undo_beside_rows(run, change)
    _forget_also_in(run, number)
    for table in ("stints", "catches"):
        run.execute(
            f"DELETE FROM {table} WHERE session_id IN (SELECT id FROM sessions WHERE added_by = ?)",
            (number,),
        )
    moved = {}
    for table in VERSIONED:
        removed = run.execute(f"DELETE FROM {table} WHERE added_by = ?", (number,))
        restored = run.execute(
            f"UPDATE {table} SET replaced_by = NULL WHERE replaced_by = ?", (number,)
        )
        moved[table] = (removed.rowcount, restored.rowcount)
    run.execute("UPDATE changes SET undone_at = ? WHERE id = ?", (now(), number))
    return Undone(
        change=change,
        sessions_removed=moved["sessions"][0],
        sessions_restored=moved["sessions"][1],
        variants_removed=moved["variants"][0],
        variants_restored=moved["variants"][1],
        sessions_kept=kept["sessions"],
        variants_kept=kept["variants"],
    )


def _same_key(table: str, one: str, other: str) -> str:
    return " AND ".join(
        f"{part.format(one)} = {part.format(other)}"
        if "{}" in part
        else f"{one}.{part} = {other}.{part}"
        for part in _KEYS[table]
    )


def _named(table: str, label: str) -> str:
    return label if table in ("sessions", "left_out") else f"the variant {label}"


def _touched_later(
    run: sqlite3.Connection, change: Change, history: Mapping[int, Change]
) -> dict[int, set[str]]:
    """The later changes that rest on what this one did, with what they touched."""
    number = change.id
    found: dict[int, set[str]] = {}
    for table in VERSIONED:
        label = _KEYS[table][0]
        # What it brought was replaced, or what it replaced has a successor of the same name.
        for sql in (
            f"SELECT replaced_by, {label} FROM {table} WHERE added_by = ? "
            "AND replaced_by IS NOT NULL",
            f"SELECT now.added_by, now.{label} FROM {table} now JOIN {table} then_ ON "
            f"{_same_key(table, 'now', 'then_')} WHERE then_.replaced_by = ? "
            "AND now.replaced_by IS NULL AND now.added_by <> then_.replaced_by",
        ):
            for later, name in run.execute(sql, (number,)):
                found.setdefault(later, set()).add(_named(table, name))
    own = (
        "FROM sessions s JOIN left_out l ON "
        f"{_same_key('sessions', 's', 'l')} WHERE s.added_by = ? AND l.added_by > ? "
        "AND NOT EXISTS (SELECT 1 FROM sessions o WHERE o.replaced_by = s.added_by AND "
        f"{_same_key('sessions', 'o', 's')}) AND NOT EXISTS (SELECT 1 FROM also_in a "
        "WHERE a.kind = 'sessions' AND a.row_id = s.id AND a.change_id < l.added_by)"
    )
    for column in ("added_by", "replaced_by"):
        for later, name in run.execute(
            f"SELECT l.{column}, s.session {own} AND l.{column} IS NOT NULL", (number, number)
        ):
            found.setdefault(later, set()).add(name)
    # Imports that said different parts of one recipe: what would be left depends on their order.
    for name, parts in run.execute(
        "SELECT r.variant, group_concat(a.change_id) FROM variants r JOIN also_in a "
        "ON a.kind = 'variants' AND a.row_id = r.id WHERE r.added_by = ? GROUP BY r.id "
        "HAVING count(DISTINCT ifnull(a.says, '')) > 1",
        (number,),
    ):
        for later in map(int, parts.split(",")):
            found.setdefault(later, set()).add(_named("variants", name))
    if change.kind == RENAME:
        for later in history.values():
            if later.undone_at is None and number in later.details.get("renames", ()):
                names = run.execute("SELECT session FROM sessions WHERE added_by = ?", (later.id,))
                found.setdefault(later.id, set()).update(name for (name,) in names)
    return found


def _hand_on(run: sqlite3.Connection, number: int, history: Mapping[int, Change]) -> dict[str, int]:
    """Give rows that later imports had too to the first of those; how many of each table.

    A row that replaced another goes to an import that would have replaced that one as well.
    """
    kept = dict.fromkeys(("sessions", "variants"), 0)
    for table in kept:
        rows = run.execute(
            f"SELECT r.id, (SELECT o.id FROM {table} o WHERE o.replaced_by = r.added_by AND "
            f"{_same_key(table, 'o', 'r')}), a.change_id, a.says FROM {table} r JOIN also_in a "
            "ON a.kind = ? AND a.row_id = r.id WHERE r.added_by = ? ORDER BY r.id, a.change_id",
            (table, number),
        ).fetchall()
        done = set()
        for row, before, heir, says in rows:
            if row in done or (before is not None and not history[heir].details.get("replace")):
                continue
            done.add(row)
            run.execute(f"UPDATE {table} SET added_by = ? WHERE id = ?", (heir, row))
            run.execute(f"UPDATE {table} SET replaced_by = ? WHERE id = ?", (heir, before))
            if says is not None:
                names = ", ".join(f'"{name}" = ?' for name in (*VARIANT_DATA, "extra"))
                run.execute(f"UPDATE variants SET {names} WHERE id = ?", (*json.loads(says), row))
            run.execute(
                "DELETE FROM also_in WHERE kind = ? AND row_id = ? AND change_id <= ?",
                (table, row, heir),
            )
        kept[table] = len(done)
    return kept


def _forget_also_in(run: sqlite3.Connection, number: int) -> None:
    """Drop what the change had too, and move what was said of its own rows to their forerunners."""
    run.execute("DELETE FROM also_in WHERE change_id = ?", (number,))
    for table in ("sessions", "variants"):
        run.execute(
            f"UPDATE OR IGNORE also_in SET row_id = (SELECT o.id FROM {table} o JOIN {table} r "
            f"ON {_same_key(table, 'o', 'r')} WHERE r.id = also_in.row_id AND r.added_by = ? "
            "AND o.replaced_by = ?) WHERE kind = ? AND row_id IN "
            f"(SELECT r.id FROM {table} r JOIN {table} o ON {_same_key(table, 'o', 'r')} "
            "WHERE r.added_by = ? AND o.replaced_by = ?)",
            (number, number, table, number, number),
        )
        run.execute(
            "DELETE FROM also_in WHERE kind = ? AND row_id IN "
            f"(SELECT id FROM {table} WHERE added_by = ?)",
            (table, number),
        )


def _undo_beside_rows(run: sqlite3.Connection, change: Change) -> None:
    """What a rename did to the batches and to the remembered reference."""
    old, new = change.details["old"], change.details["new"]
    run.executemany(
        "UPDATE batches SET variant = ? WHERE id = ? AND variant = ?",
        ((old, batch, new) for batch in change.details.get("batches", ())),
    )
    if change.details.get("was_reference"):
        run.execute(
            "UPDATE settings SET value = ? WHERE name = 'reference' AND value = ?", (old, new)
        )
