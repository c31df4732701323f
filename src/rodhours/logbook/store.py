"""The SQLite logbook: open, check, keep versions of sessions, undo. Nothing else opens SQLite.

Every session and variant row knows the import that brought it and the import that replaced it;
the current log is what nobody replaced. So undoing an import is two statements, and every
change is one transaction.

Batches stand apart: no import brings them, so no undo takes them away, and they are no part of
the content's digest, which is the evidence's alone.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from rodhours.errors import UnusableLogbook, UsageError
from rodhours.logbook.batch_codes import batch_key, check_code, next_code
from rodhours.logbook.tables import BATCHES, CATCHES, SESSIONS, STINTS, VARIANTS, Table

APPLICATION_ID = 0x526F6448
"""`RodH`, in the header of every logbook."""
VERSION = 2
"""The layout of the logbook; a newer one is refused, not guessed at.

Layout 2 added batches. A logbook of layout 1 is read as it is, and becomes one of layout 2 with
the next change, in the same transaction.
"""
BUSY_SECONDS = 30

SESSION_DATA = tuple(name for name in SESSIONS.names if name not in ("session", "angler"))
STINT_DATA = tuple(name for name in STINTS.names if name not in ("session", "angler"))
CATCH_DATA = tuple(name for name in CATCHES.names if name not in ("session", "angler"))
VARIANT_DATA = tuple(name for name in VARIANTS.names if name != "variant")
BATCH_DATA = tuple(name for name in BATCHES.names if name != "batch")

Row = tuple[Any, ...]
Columns = Mapping[str, Sequence[Any]]


def _fields(table: Table, names: Iterable[str]) -> str:
    return ", ".join(f'"{name}" {table.column(name).kind.sql}' for name in names)


def _quoted(names: Iterable[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)


_IS_SET_UP = "SELECT 1 FROM sqlite_master WHERE name = 'imports'"
_VERSIONS = "added_by INTEGER NOT NULL, replaced_by INTEGER"
_BATCHES = (
    "CREATE TABLE batches (id INTEGER PRIMARY KEY, batch TEXT NOT NULL UNIQUE, "
    f"{_fields(BATCHES, BATCH_DATA)}, added_at TEXT NOT NULL, removed_at TEXT)",
    "CREATE TABLE diameters (batch_id INTEGER NOT NULL, bait INTEGER NOT NULL, "
    "diameter_mm REAL NOT NULL, PRIMARY KEY (batch_id, bait))",
)
"""Batches that were removed stay, marked, so that no code is given out twice."""
_UPGRADES = {1: (*_BATCHES, "PRAGMA user_version = 2")}
"""What turns each older layout into the next one."""
_SCHEMA = (
    "CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE TABLE imports (id INTEGER PRIMARY KEY, imported_at TEXT NOT NULL, "
    "zone TEXT NOT NULL, files TEXT NOT NULL, rows_imported INTEGER NOT NULL)",
    f"CREATE TABLE sessions (id INTEGER PRIMARY KEY, {_VERSIONS}, session TEXT NOT NULL, "
    f"angler TEXT, {_fields(SESSIONS, SESSION_DATA)}, extra TEXT)",
    "CREATE UNIQUE INDEX current_sessions ON sessions (session, ifnull(angler, '')) "
    "WHERE replaced_by IS NULL",
    "CREATE TABLE stints (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, "
    f"{_fields(STINTS, STINT_DATA)}, extra TEXT)",
    "CREATE TABLE catches (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, "
    f"stint_id INTEGER, {_fields(CATCHES, CATCH_DATA)}, extra TEXT)",
    f"CREATE TABLE variants (id INTEGER PRIMARY KEY, {_VERSIONS}, variant TEXT NOT NULL, "
    f"{_fields(VARIANTS, VARIANT_DATA)}, extra TEXT)",
    "CREATE UNIQUE INDEX current_variants ON variants (variant) WHERE replaced_by IS NULL",
    *_BATCHES,
    f"PRAGMA application_id = {APPLICATION_ID}",
    f"PRAGMA user_version = {VERSION}",
)


@dataclass(frozen=True)
class Counts:
    """What a logbook holds; dates are ISO texts, None where no session has one."""

    sessions: int
    stints: int
    fish: int
    variants: int
    first_date: str | None
    last_date: str | None


@dataclass(frozen=True)
class Undone:
    """What taking back an import did."""

    imported_at: str
    files: tuple[str, ...]
    sessions_removed: int
    sessions_restored: int
    variants_removed: int
    variants_restored: int


@dataclass(frozen=True)
class NewRows:
    """What one import adds, column by column under the names of the schema.

    sessions: id, session, angler, SESSION_DATA, extra; stints: id, session_id, STINT_DATA,
    extra; catches: session_id, stint_id, CATCH_DATA, extra; variants: variant, VARIANT_DATA,
    extra. `replaced_sessions` are ids of held sessions, `replaced_variants` labels.
    """

    sessions: Columns
    stints: Columns
    catches: Columns
    variants: Columns
    replaced_sessions: Sequence[int]
    replaced_variants: Sequence[str]
    rows: int


class Logbook:
    """An open logbook; use it as a context manager. `open_logbook` makes one."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection

    def __enter__(self) -> Logbook:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; what was not committed is forgotten."""
        self._connection.close()

    def _all(self, sql: str, values: Sequence[Any] = ()) -> list[Row]:
        with _plain_words(self.path):
            return self._connection.execute(sql, values).fetchall()

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """All or nothing: waits for another writer, then writes everything or leaves no trace."""
        with _plain_words(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                if not self.is_begun():
                    for statement in _SCHEMA:
                        self._connection.execute(statement)
                while (layout := self._layout()) < VERSION:
                    for statement in _UPGRADES[layout]:
                        self._connection.execute(statement)
                yield
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    def is_begun(self) -> bool:
        """Whether the file has its tables; the first import was cut off where it has not."""
        return bool(self._all(_IS_SET_UP))

    def _layout(self) -> int:
        return int(self._all("PRAGMA user_version")[0][0])

    # Settings

    def setting(self, name: str) -> str | None:
        """What is remembered under this name, such as `reference`; None where nothing is."""
        found = self._all("SELECT value FROM settings WHERE name = ?", (name,))
        return str(found[0][0]) if found else None

    def set_setting(self, name: str, value: str | None) -> None:
        """Remember a value, or forget it with None."""
        if value == self.setting(name):
            return
        with self.transaction():
            if value is None:
                self._connection.execute("DELETE FROM settings WHERE name = ?", (name,))
            else:
                self._connection.execute(
                    "INSERT INTO settings VALUES (?, ?) "
                    "ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                    (name, value),
                )

    # What the logbook holds

    def sessions(self) -> list[Row]:
        """(id, session, angler, *SESSION_DATA, extra) of every current session."""
        return self._all(
            f"SELECT id, session, angler, {_quoted(SESSION_DATA)}, extra FROM sessions "
            "WHERE replaced_by IS NULL ORDER BY date, session, angler, id"
        )

    def stints(self) -> list[Row]:
        """(id, session_id, *STINT_DATA, extra) of every current stint, in a lasting order."""
        return self._of_current("stints", ("id", "session_id", *STINT_DATA, "extra"))

    def catches(self) -> list[Row]:
        """(session_id, stint_id, *CATCH_DATA, extra) of every current fish."""
        return self._of_current("catches", ("session_id", "stint_id", *CATCH_DATA, "extra"))

    def _of_current(self, table: str, names: Sequence[str]) -> list[Row]:
        columns = ", ".join(f't."{name}"' for name in names)
        first = ["rod", *(name for name in names if name != "rod" and not name.endswith("id"))]
        order = ", ".join(f't."{name}"' for name in first)
        return self._all(
            f"SELECT {columns} FROM {table} t JOIN sessions s ON s.id = t.session_id "
            f"WHERE s.replaced_by IS NULL ORDER BY s.date, s.session, s.angler, {order}"
        )

    def variants(self) -> list[Row]:
        """(variant, *VARIANT_DATA, extra) of every current variant row."""
        return self._all(
            f"SELECT variant, {_quoted(VARIANT_DATA)}, extra FROM variants "
            "WHERE replaced_by IS NULL ORDER BY variant"
        )

    def variants_fished(self) -> set[str]:
        """The variant labels of the current stints."""
        rows = self._all(
            "SELECT DISTINCT variant FROM stints WHERE session_id IN "
            "(SELECT id FROM sessions WHERE replaced_by IS NULL)"
        )
        return {row[0] for row in rows}

    def batches(self) -> list[Row]:
        """(batch, *BATCH_DATA, diameters) of every batch, the oldest first.

        `diameters` are those of the baits measured, mm, in the order they were given. A logbook
        that was begun before there were batches has none.
        """
        if self._layout() < 2:
            return []
        rows = self._all(
            f"SELECT id, batch, {_quoted(BATCH_DATA)} FROM batches WHERE removed_at IS NULL "
            "ORDER BY date, id"
        )
        measured: dict[int, list[float]] = {row[0]: [] for row in rows}
        for number, diameter in self._all(
            "SELECT batch_id, diameter_mm FROM diameters ORDER BY batch_id, bait"
        ):
            if number in measured:
                measured[number].append(diameter)
        return [(*row[1:], tuple(measured[row[0]])) for row in rows]

    def counts(self) -> Counts:
        """Sessions with a stint, stints, fish landed, variants fished, first and last date."""
        from_catches = (
            "(SELECT count(*) FROM catches c JOIN stints t ON t.id = c.stint_id "
            "JOIN sessions s ON s.id = c.session_id WHERE s.replaced_by IS NULL "
            "AND t.fish IS NULL AND ifnull(c.outcome, 'landed') = 'landed')"
        )
        sessions, stints, fish, variants, first, last = self._all(
            "SELECT count(DISTINCT s.id), count(*), "
            f"ifnull(sum(t.fish), 0) + {from_catches}, count(DISTINCT t.variant), "
            "min(coalesce(s.date, substr(s.start, 1, 10), substr(t.cast_in, 1, 10))), "
            "max(coalesce(s.date, substr(s.start, 1, 10), substr(t.cast_in, 1, 10))) "
            "FROM stints t JOIN sessions s ON s.id = t.session_id WHERE s.replaced_by IS NULL"
        )[0]
        return Counts(sessions, stints, fish, variants, first, last)

    def is_empty(self) -> bool:
        """Whether nothing was ever imported, or all of it was undone."""
        return not self._all("SELECT 1 FROM imports LIMIT 1")

    def last_id(self, table: str) -> int:
        """The highest row id in use in `sessions` or `stints`."""
        assert table in ("sessions", "stints")
        return int(self._all(f"SELECT ifnull(max(id), 0) FROM {table}")[0][0])

    def content_sha256(self) -> str:
        """A digest of the current log: the same rows give the same digest.

        It does not depend on row order, on the import's time or number, or on the file's pages;
        settings, batches and older versions are left out.
        """
        keys = {row[0]: row[1:3] for row in self.sessions()}
        digest = hashlib.sha256()
        for name, rows in (
            ("sessions", (row[1:] for row in self.sessions())),
            ("stints", ((*keys[row[1]], *row[2:]) for row in self.stints())),
            ("catches", ((*keys[row[0]], *row[2:]) for row in self.catches())),
            ("variants", iter(self.variants())),
        ):
            lines = sorted(json.dumps(row, separators=(",", ":")) for row in rows)
            digest.update("\n".join([f"{name} {len(lines)}", *lines, ""]).encode())
        return digest.hexdigest()

    # Changes

    def add(self, new: NewRows, *, zone: str, files: Sequence[str]) -> None:
        """Write one import, inside a `transaction`."""
        run = self._connection
        number = run.execute("SELECT ifnull(max(id), 0) + 1 FROM imports").fetchone()[0]
        run.execute(
            "INSERT INTO imports VALUES (?, ?, ?, ?, ?)",
            (
                number,
                _now(),
                zone,
                json.dumps(list(files), ensure_ascii=False),
                new.rows,
            ),
        )
        run.executemany(
            "UPDATE sessions SET replaced_by = ? WHERE id = ?",
            ((number, session) for session in new.replaced_sessions),
        )
        run.executemany(
            "UPDATE variants SET replaced_by = ? WHERE variant = ? AND replaced_by IS NULL",
            ((number, variant) for variant in new.replaced_variants),
        )
        for table, columns in (("sessions", new.sessions), ("variants", new.variants)):
            rows = len(next(iter(columns.values())))
            self._insert(table, {**columns, "added_by": [number] * rows})
        self._insert("stints", new.stints)
        self._insert("catches", new.catches)

    def add_batch(
        self, values: Mapping[str, Any], diameters: Sequence[float] = (), code: str | None = None
    ) -> str:
        """Record a batch, in a transaction of its own; the code that its bag gets.

        `values` are those of BATCH_DATA, at least variant and date; what is not there is not
        recorded. `diameters` are those of single baits, mm. `code` is one that the bag bears
        already: UsageError where another batch has it, or had it, and for one that is none.
        """
        if code is not None:
            check_code(code)
        with self.transaction():
            run = self._connection
            used = [row[0] for row in run.execute("SELECT batch FROM batches")]
            if code is None:
                code = next_code(values["variant"], used)
            elif batch_key(code) in map(batch_key, used):
                raise UsageError(
                    f"The code {code} was given to a batch before; see rodhours batch list. "
                    "Leave out --code to have a free one."
                )
            names = ("batch", *BATCH_DATA, "added_at")
            row = {**values, "batch": code, "added_at": _now()}
            number = run.execute(
                f"INSERT INTO batches ({_quoted(names)}) VALUES ({', '.join('?' * len(names))})",
                [row.get(name) for name in names],
            ).lastrowid
            run.executemany(
                "INSERT INTO diameters VALUES (?, ?, ?)",
                ((number, bait, one) for bait, one in enumerate(diameters, start=1)),
            )
        return code

    def remove_batch(self, code: str) -> str:
        """Take a batch off the ledger, however its code is written; the code as it stood there.

        The code stays taken: a bag may bear it. UsageError where there is no such batch.
        """
        with self.transaction():
            run = self._connection
            held = [r[0] for r in run.execute("SELECT batch FROM batches WHERE removed_at IS NULL")]
            found = [one for one in held if batch_key(one) == batch_key(code)]
            if not found:
                raise UsageError(f"There is no batch {code}; see rodhours batch list.")
            run.execute("UPDATE batches SET removed_at = ? WHERE batch = ?", (_now(), found[0]))
        return str(found[0])

    def _insert(self, table: str, columns: Columns) -> None:
        """Insert columns of equal length; those without a filled cell cost nothing."""
        used = {
            name: column for name, column in columns.items() if column.count(None) < len(column)
        }
        if not used:
            return
        marks = ", ".join("?" * len(used))
        self._connection.executemany(
            f"INSERT INTO {table} ({_quoted(used)}) VALUES ({marks})",
            zip(*used.values(), strict=True),
        )

    def undo(self) -> Undone | None:
        """Take back the last import and put back what it replaced; None where there is none."""
        if self.is_empty():
            return None
        with self.transaction():
            run = self._connection
            last = run.execute(
                "SELECT id, imported_at, files FROM imports ORDER BY id DESC LIMIT 1"
            ).fetchone()
            if last is None:
                return None
            number, imported_at, files = last
            for table in ("stints", "catches"):
                run.execute(
                    f"DELETE FROM {table} WHERE session_id IN "
                    "(SELECT id FROM sessions WHERE added_by = ?)",
                    (number,),
                )
            changed = {}
            for table in ("sessions", "variants"):
                removed = run.execute(f"DELETE FROM {table} WHERE added_by = ?", (number,))
                restored = run.execute(
                    f"UPDATE {table} SET replaced_by = NULL WHERE replaced_by = ?", (number,)
                )
                changed[table] = (removed.rowcount, restored.rowcount)
            run.execute("DELETE FROM imports WHERE id = ?", (number,))
        return Undone(
            imported_at=imported_at,
            files=tuple(json.loads(files)),
            sessions_removed=changed["sessions"][0],
            sessions_restored=changed["sessions"][1],
            variants_removed=changed["variants"][0],
            variants_restored=changed["variants"][1],
        )


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


def open_logbook(path: Path | str, create: bool = False) -> Logbook:
    """Open a logbook; with `create`, a missing one is begun when the first import is written.

    Raises UnusableLogbook, in plain words, for a file that is missing, no logbook, damaged, or
    written by a newer version.
    """
    path = Path(path)
    if is_missing(path) and not create:
        raise UnusableLogbook(
            f"There is no logbook at {path} yet. Start one with: rodhours import FILE"
        )
    with _plain_words(path):
        connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    try:
        _check_file(path, connection, create)
    except BaseException:
        connection.close()
        raise
    return Logbook(path, connection)


def is_missing(path: Path) -> bool:
    """Whether a logbook is still to be begun at this path.

    Raises UnusableLogbook where none can be: in a folder that does not exist, or at a folder.
    """
    if not path.exists():
        if not path.parent.is_dir():
            raise UnusableLogbook(f"{path}: the folder {path.parent} does not exist.")
        return True
    if not path.is_file():
        raise UnusableLogbook(f"{path} is not a file, so it cannot be a logbook.")
    # A cut-off first import may leave an empty file, with a journal that SQLite still needs.
    return path.stat().st_size == 0 and not path.with_name(path.name + "-journal").exists()


def _check_file(path: Path, connection: sqlite3.Connection, create: bool) -> None:
    with _plain_words(path):
        held = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        mark = connection.execute("PRAGMA application_id").fetchone()[0]
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        if held == 0 and mark == 0:
            # An import that was cut off while it began the file leaves it without a table.
            if create:
                return
            raise UnusableLogbook(
                f"The logbook at {path} holds nothing yet. Fill it with: rodhours import FILE"
            )
        if mark != APPLICATION_ID:
            raise UnusableLogbook(
                f"{path} is a database of another program, not a logbook; it was left alone."
            )
        if version > VERSION:
            raise UnusableLogbook(
                f"{path} was written by a newer version of rodhours (layout {version}, this one "
                f"knows {VERSION}); it was left alone. Update rodhours to read it."
            )
        if connection.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
            raise UnusableLogbook(_damaged(path))


def _damaged(path: Path) -> str:
    return (
        f"{path} is damaged and was left alone. Move it aside and import your files again "
        "into a new logbook."
    )


@contextmanager
def _plain_words(path: Path) -> Iterator[None]:
    """SQLite's errors as UnusableLogbook."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        raise UnusableLogbook(_in_words(path, error)) from error


def _in_words(path: Path, error: sqlite3.DatabaseError) -> str:
    code = (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return (
            f"{path} is busy: something else has been writing to it for {BUSY_SECONDS} seconds. "
            "Nothing was changed; try again when that is done."
        )
    if code == sqlite3.SQLITE_NOTADB:
        return f"{path} is not a logbook (no SQLite file); it was left alone."
    if code == sqlite3.SQLITE_FULL:
        return f"{path}: the disk is full. Nothing was changed."
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return f"{path} cannot be opened for writing; check its permissions and its folder."
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_ERROR):
        return _damaged(path)
    return f"{path}: the logbook cannot be used ({error}). Nothing was changed."
