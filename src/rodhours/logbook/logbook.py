"""The SQLite logbook: what stands in it, and changes written whole. Only `store*.py` opens SQLite.

Every row of the trip log knows the change that brought it and the change that replaced it; the
current log is what nobody replaced. So taking a change back is a few statements, and every
change is one transaction. Beside this file: `store_schema` (layouts), `store_changes` (history
and undo), `store_labels` (renames, sessions left out), `store_batches`,
`store_opening`, `store_backup`, `store_errors`.

Batches stand apart: no import brings them, so no undo takes them away, and they are no part of
the content's digest, which is the evidence's alone. Nor are the marks of sessions left out.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any

from rodhours.errors import UnusableLogbook, UsageError
from rodhours.logbook import store_batches, store_changes, store_labels
from rodhours.logbook.batch_codes import check_code
from rodhours.logbook.schema import (
    BATCH_DATA,
    CATCH_DATA,
    FIRST_WITH_BATCHES,
    FIRST_WITH_CHANGES,
    IS_SET_UP,
    SCHEMA,
    SESSION_DATA,
    STINT_DATA,
    UPGRADES,
    VARIANT_DATA,
    VERSION,
    quoted,
)
from rodhours.logbook.store_backup import back_up
from rodhours.logbook.store_changes import Change, FileRead, Undone
from rodhours.logbook.store_errors import plain_words
from rodhours.logbook.store_labels import LeftOut, Renamed
from rodhours.logbook.store_opening import check_file, is_missing
from rodhours.wording.history import no_such_change

__all__ = [
    "BATCH_DATA",
    "BUSY_SECONDS",
    "CATCH_DATA",
    "SESSION_DATA",
    "STINT_DATA",
    "VARIANT_DATA",
    "VERSION",
    "Change",
    "Columns",
    "Counts",
    "FileRead",
    "LeftOut",
    "Logbook",
    "NewRows",
    "Renamed",
    "Row",
    "Undone",
    "is_missing",
    "open_logbook",
]

BUSY_SECONDS = 30

Row = tuple[Any, ...]
Columns = Mapping[str, Sequence[Any]]


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
class NewRows:
    """What one import adds, column by column under the names of the schema.

    sessions: id, session, angler, SESSION_DATA, extra; stints: id, session_id, STINT_DATA,
    extra; catches: session_id, stint_id, CATCH_DATA, extra; variants: variant, VARIANT_DATA,
    extra. `replaced_sessions` are ids of held sessions, `replaced_variants` labels. The import
    also had `same_sessions` (ids of held sessions) and `same_variants` (labels, each with the
    row of VARIANT_DATA and extra that the files give it, None where that is the held one whole);
    `renames` are the changes whose new labels its rows were given, `replace` says whether it
    takes the place of what differs.
    """

    sessions: Columns
    stints: Columns
    catches: Columns
    variants: Columns
    replaced_sessions: Sequence[int]
    replaced_variants: Sequence[str]
    rows: int
    same_sessions: Sequence[int] = ()
    same_variants: Sequence[tuple[str, Row | None]] = ()
    renames: Sequence[int] = ()
    replace: bool = False


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
    def transaction(self, keep: bool = True) -> Iterator[None]:
        """All or nothing: waits for another writer, then writes everything or leaves no trace.

        A logbook of an older layout is copied beside itself first and brought up to date.
        Without `keep` everything is undone at the end: to see what a change would do.
        """
        with _plain_words(self.path):
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                if not self.is_begun():
                    for statement in SCHEMA:
                        self._connection.execute(statement)
                if keep and self._layout() < VERSION:
                    back_up(self.path)
                while (layout := self._layout()) < VERSION:
                    for statement in UPGRADES[layout]:
                        self._connection.execute(statement)
                yield
                self._connection.execute("COMMIT" if keep else "ROLLBACK")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Everything read inside is of one moment, whoever writes meanwhile."""
        with _plain_words(self.path):
            self._connection.execute("BEGIN")
            try:
                yield
            finally:
                self._connection.execute("ROLLBACK")

    def is_begun(self) -> bool:
        """Whether the file has its tables; the first import was cut off where it has not."""
        return bool(self._all(IS_SET_UP))

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
            f"SELECT id, session, angler, {quoted(SESSION_DATA)}, extra FROM sessions "
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
            f"SELECT variant, {quoted(VARIANT_DATA)}, extra FROM variants "
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
        if self._layout() < FIRST_WITH_BATCHES:
            return []
        with _plain_words(self.path):
            return store_batches.batches(self._connection)

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
        if self._layout() < FIRST_WITH_CHANGES:
            return not self._all("SELECT 1 FROM imports LIMIT 1")
        return not self._all("SELECT 1 FROM changes WHERE undone_at IS NULL LIMIT 1")

    def changes(self) -> list[Change]:
        """Every change, the oldest first, those taken back included."""
        with _plain_words(self.path):
            if self._layout() < FIRST_WITH_CHANGES:
                return store_changes.changes_before_layout_3(self._connection)
            return store_changes.changes(self._connection)

    def renames(self) -> list[tuple[int, str, str]]:
        """(change, old label, new label) of every rename still standing, the oldest first."""
        if self._layout() < FIRST_WITH_CHANGES:
            return []
        with _plain_words(self.path):
            return store_labels.renames(self._connection)

    def left_out(self) -> list[LeftOut]:
        """The sessions that are left out of every answer, by label."""
        if self._layout() < FIRST_WITH_CHANGES:
            return []
        with _plain_words(self.path):
            return store_labels.left_out(self._connection)

    def last_id(self, table: str) -> int:
        """The highest row id in use in `sessions` or `stints`."""
        assert table in ("sessions", "stints")
        return int(self._all(f"SELECT ifnull(max(id), 0) FROM {table}")[0][0])

    def content_sha256(self) -> str:
        """A digest of the current log: the same rows give the same digest.

        A stint's fish are those that count: its own number, or those that catches lists. The
        digest does not depend on row order, on the import's time or number, or on the file's pages;
        settings, batches, marks of sessions left out and older versions are no part of it.
        """
        keys = {row[0]: row[1:3] for row in self.sessions()}
        listed = Counter(row[1] for row in self.catches() if row[-2] != "lost")
        fish = 2 + STINT_DATA.index("fish")
        stints = (
            row if row[fish] is not None else (*row[:fish], listed[row[0]], *row[fish + 1 :])
            for row in self.stints()
        )
        digest = hashlib.sha256()
        for name, rows in (
            ("sessions", (row[1:] for row in self.sessions())),
            ("stints", ((*keys[row[1]], *row[2:]) for row in stints)),
            ("catches", ((*keys[row[0]], *row[2:]) for row in self.catches())),
            ("variants", iter(self.variants())),
        ):
            lines = sorted(json.dumps(row, separators=(",", ":")) for row in rows)
            digest.update("\n".join([f"{name} {len(lines)}", *lines, ""]).encode())
        return digest.hexdigest()

    # Changes

    def add(self, new: NewRows, *, zone: str, files: Sequence[FileRead]) -> int:
        """Write one import, inside a `transaction`; its number in the history."""
        run = self._connection
        details: dict[str, Any] = {"renames": sorted(new.renames)} if new.renames else {}
        if new.replace:
            details["replace"] = True
        number = store_changes.record(
            run,
            store_changes.IMPORT,
            zone=zone,
            files=files,
            rows=new.rows,
            sessions=len(new.sessions["session"]),
            details=details,
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
        run.executemany(
            "INSERT INTO also_in VALUES ('sessions', ?, ?, NULL)",
            ((session, number) for session in new.same_sessions),
        )
        run.executemany(
            "INSERT INTO also_in SELECT 'variants', id, ?, ? FROM variants "
            "WHERE variant = ? AND replaced_by IS NULL",
            (
                (number, None if row is None else json.dumps(row), variant)
                for variant, row in new.same_variants
            ),
        )
        return number

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
            return store_batches.add_batch(self._connection, values, diameters, code)

    def remove_batch(self, code: str) -> str:
        """Take a batch off the ledger, however its code is written; the code as it stood there.

        The code stays taken: a bag may bear it. UsageError where there is no such batch.
        """
        with self.transaction():
            return store_batches.remove_batch(self._connection, code)

    def _insert(self, table: str, columns: Columns) -> None:
        """Insert columns of equal length; those without a filled cell cost nothing."""
        used = {
            name: column for name, column in columns.items() if column.count(None) < len(column)
        }
        if not used:
            return
        marks = ", ".join("?" * len(used))
        self._connection.executemany(
            f"INSERT INTO {table} ({quoted(used)}) VALUES ({marks})",
            zip(*used.values(), strict=True),
        )

    def undo(self, change: int | None = None, dry_run: bool = False) -> Undone | None:
        """Take back a change whole and put back what it replaced; None where there is none.

        Without a number it is the latest change still standing. UsageError for a number that is
        none or is taken back already; RefusedRows where later changes touched what it brought.
        """
        if not self.changes():
            if change is None:
                return None
            raise UsageError(no_such_change(change, []))
        with self.transaction(keep=not dry_run):
            return store_changes.undo(self._connection, change)

    def rename_variant(self, old: str, new: str, dry_run: bool = False) -> Renamed:
        """Give a bait another label, in a transaction of its own; later imports follow it.

        Raises as `store_labels.rename_variant` does.
        """
        with self.transaction(keep=not dry_run):
            return store_labels.rename_variant(self._connection, old, new)

    def leave_out(
        self, session: str, angler: str | None, because: str, dry_run: bool = False
    ) -> LeftOut:
        """Leave a session out of every answer, in a transaction of its own.

        Raises as `store_labels.leave_out` does.
        """
        with self.transaction(keep=not dry_run):
            return store_labels.leave_out(self._connection, session, angler, because)

    def take_back(self, session: str, angler: str | None, dry_run: bool = False) -> LeftOut:
        """Count a session again that was left out, in a transaction of its own.

        Raises as `store_labels.take_back` does.
        """
        with self.transaction(keep=not dry_run):
            return store_labels.take_back(self._connection, session, angler)


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
        with _plain_words(path):
            check_file(path, connection, create)
    except BaseException:
        connection.close()
        raise
    return Logbook(path, connection)


def _plain_words(path: Path) -> AbstractContextManager[None]:
    return plain_words(path, BUSY_SECONDS)
