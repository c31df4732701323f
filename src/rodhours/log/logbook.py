"""The SQLite logbook: opened, changed whole or not at all, and read as its history says.

Its files stand side by side: `logbook_file` (which files are logbooks), `history`
(changes), `aliases` (labels), `recipe_rows`, `waiting`, `batches`. Only they open or
ask SQLite.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from functools import cache, wraps
from itertools import repeat
from pathlib import Path
from types import TracebackType
from typing import Any, Concatenate, ParamSpec, TypeVar

from rodhours.errors import UnusableLogbook
from rodhours.log import aliases, history
from rodhours.log import batches as ledger
from rodhours.log import waiting as refused
from rodhours.log.logbook_file import (
    check_content,
    check_file,
    is_missing,
    keep_digests,
    plain_words,
    rows_sha256,
    unsound,
)
from rodhours.log.recipe_rows import CELLS, as_json, held_recipes
from rodhours.log.tables import (
    CATCH_DATA,
    DECLARED,
    IS_SET_UP,
    SCHEMA,
    SESSION_DATA,
    STINT_DATA,
    UNREAD,
    field,
    quoted,
)
from rodhours.log.unfished import PLANNED, UNFISHED
from rodhours.log.waiting import WaitingRow

BUSY_SECONDS = 30

Given = ParamSpec("Given")
Found = TypeVar("Found")
OfFile = Callable[Concatenate[sqlite3.Connection, Given], Found]
OfBook = Callable[Concatenate["Logbook", Given], Found]
Row = sqlite3.Row
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


def by_column(rows: Sequence[Row], names: Sequence[str]) -> dict[str, Sequence[Any]]:
    """Rows of the logbook as columns of these names."""
    if not rows:
        return dict.fromkeys(names, ())
    columns = dict(zip(rows[0].keys(), zip(*rows, strict=True), strict=True))
    return {name: columns[name] for name in names}


def _asks(function: OfFile[Given, Found]) -> OfBook[Given, Found]:
    """The function, asked of a logbook: its docstring and what it raises are the method's."""

    @wraps(function)
    def method(book: Logbook, /, *given: Given.args, **named: Given.kwargs) -> Found:
        with book._plain_words():
            return function(book._run, *given, **named)

    return method


def _changes(function: OfFile[Given, Found]) -> OfBook[Given, Found]:
    """The same of a function that writes: in a transaction."""

    @wraps(function)
    def method(book: Logbook, /, *given: Given.args, **named: Given.kwargs) -> Found:
        with book.transaction() as run:
            return function(run, *given, **named)

    return method


@cache
def _nothing() -> sqlite3.Connection:
    """A logbook in which nothing was ever written, in memory."""
    run = sqlite3.connect(":memory:", isolation_level=None)
    run.row_factory = sqlite3.Row
    for statement in SCHEMA:
        run.execute(statement)
    keep_digests(run)
    return run


class Logbook:
    """An open logbook; use it as a context manager. `open_logbook` makes one.

    A file in which nothing was written yet answers as an empty logbook. With `dry_run` each
    change is taken back at its end: to see what it would do.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection, dry_run: bool = False) -> None:
        self.path = path
        self._connection = connection
        self._dry_run = dry_run
        self._changing = False
        self._read: dict[str, list[Row]] | None = None
        connection.row_factory = sqlite3.Row

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

    def _plain_words(self) -> AbstractContextManager[None]:
        return plain_words(self.path, BUSY_SECONDS)

    @property
    def _run(self) -> sqlite3.Connection:
        return self._connection if self.is_begun() else _nothing()

    def _all(self, sql: str, values: Sequence[Any] = ()) -> list[Row]:
        if self._read is not None and sql in self._read and not values:
            return self._read[sql]
        with self._plain_words():
            rows = self._run.execute(sql, values).fetchall()
        if self._read is not None and not values:
            self._read[sql] = rows
        return rows

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """All or nothing: waits for another writer, then writes everything or leaves no trace.

        Inside another one it is part of that. Columns declared since the logbook was begun are
        added first.
        """
        if self._changing:
            yield self._connection
            return
        self._changing = True
        with self._plain_words():
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                for statement in () if self.is_begun() else SCHEMA:
                    self._connection.execute(statement)
                for name, (table, columns) in DECLARED.items():
                    for column in set(columns) - self._columns_of(name):
                        self._connection.execute(f"ALTER TABLE {name} ADD {field(table, column)}")
                yield self._connection
                keep_digests(self._connection)
                self._connection.execute("ROLLBACK" if self._dry_run else "COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise
            finally:
                self._changing = False

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Everything read inside is of one moment, whoever writes meanwhile, and is read once."""
        with self._plain_words():
            self._connection.execute("BEGIN")
            self._read = {}
            try:
                yield
            finally:
                self._read = None
                self._connection.execute("ROLLBACK")

    def is_begun(self) -> bool:
        """Whether the file has its tables; the first import was cut off where it has not."""
        with self._plain_words():
            return self._connection.execute(IS_SET_UP).fetchone() is not None

    def _columns_of(self, table: str) -> set[str]:
        return {row["name"] for row in self._all(f"PRAGMA table_info({table})")}

    # Settings

    def setting(self, name: str) -> str | None:
        """What is remembered under this name, such as `weight_unit`; None where nothing is."""
        found = self._all("SELECT value FROM settings WHERE name = ?", (name,))
        return str(found[0]["value"]) if found else None

    def set_setting(self, name: str, value: str | None) -> None:
        """Remember a value, or forget it with None."""
        if value == self.setting(name):
            return
        with self.transaction() as run:
            if value is None:
                run.execute("DELETE FROM settings WHERE name = ?", (name,))
            else:
                run.execute("INSERT OR REPLACE INTO settings VALUES (?, ?)", (name, value))

    # What the logbook holds

    def reference(self) -> str | None:
        """The bait that answers compare with, under its label of now; None before the first."""
        chosen = self.standing(history.REFERENCE)
        return self.variant_meant(chosen[-1].details["variant"]) if chosen else None

    labels = _asks(aliases.labels_of)

    def variant_meant(self, name: str | None) -> str | None:
        """The bait that a name typed by a user stands for: a label now, an earlier one, a code."""
        with self._plain_words():
            return None if name is None else aliases.meant(self._run, name)

    def _fields(self, table: str, keys: Sequence[str], as_written: bool) -> str:
        """Columns to be selected: labels as they are now, nothing for a column not there yet."""
        there = self._columns_of(table)
        labelled = not as_written and self._label_functions()
        fields = [f"t.{key}" for key in keys]
        for name in (*DECLARED[table][1], "extra"):
            if name not in there:
                fields.append(f'NULL AS "{name}"')
            elif labelled and name in ("variant", "extra"):
                fields.append(f'{name}_now(t."{name}") AS "{name}"')
            else:
                fields.append(f't."{name}" AS "{name}"')
        return ", ".join(fields)

    def _label_functions(self) -> bool:
        """Give SQLite the labels of now as functions; False where every label is its own."""
        labels = self.labels()
        if not labels.steps:
            return False

        @cache
        def extra_now(text: str | None) -> str | None:
            cells = json.loads(text or "{}")
            for column in cells.keys() & {PLANNED, UNFISHED}:
                (cells[column],) = labels.each([cells[column]])
            return as_json(cells) if cells else text

        variant_now = cache(lambda label: None if label is None else labels.of(label))
        self._connection.create_function("variant_now", 1, variant_now, deterministic=True)
        self._connection.create_function("extra_now", 1, extra_now, deterministic=True)
        return True

    def sessions(self) -> list[Row]:
        """(id, session, angler, *SESSION_DATA, extra) of every session, by date."""
        fields = self._fields("sessions", ("id", "session", "angler"), as_written=True)
        return self._all(
            f"SELECT {fields} FROM sessions t WHERE t.id IN (SELECT id FROM current) "
            "ORDER BY date, session, angler, id"
        )

    def stints(self, as_written: bool = False) -> list[Row]:
        """(id, session_id, *STINT_DATA, extra) of every stint, in a lasting order.

        With `as_written` its labels are those that the files had.
        """
        return self._of_sessions("stints", ("id", "session_id"), as_written)

    def catches(self, as_written: bool = False) -> list[Row]:
        """(session_id, stint_id, *CATCH_DATA, extra) of every fish; labels as for stints."""
        return self._of_sessions("catches", ("session_id", "stint_id"), as_written)

    def _of_sessions(self, table: str, keys: Sequence[str], as_written: bool) -> list[Row]:
        names = DECLARED[table][1]
        order = quoted(["rod", *(name for name in names if name != "rod"), "extra"])
        return self._all(
            f"SELECT {self._fields(table, keys, as_written)} FROM {table} t "
            "JOIN sessions s ON s.id = t.session_id WHERE s.id IN (SELECT id FROM current) "
            f"ORDER BY s.date, s.session, s.angler, {order}"
        )

    def variants(self) -> list[dict[str, Any]]:
        """The recipe of every bait that has one: variant, VARIANT_DATA and extra, by label."""
        with self._plain_words():
            recipes = held_recipes(self._run, self.labels().of)
        return [{"variant": label, **recipe} for label, recipe in recipes.items()]

    def variants_fished(self) -> set[str]:
        """The labels of the baits in stints."""
        rows = self._all(
            "SELECT DISTINCT variant FROM stints WHERE session_id IN (SELECT id FROM current)"
        )
        return set(map(self.labels().of, (row["variant"] for row in rows)))

    def batches(self) -> list[dict[str, Any]]:
        """Every batch: its code, BATCH_DATA and `diameters_mm`, those of single baits, mm."""
        with self._plain_words():
            held = ledger.held_batches(self._run)
        labels = self.labels()
        return [batch | {"variant": labels.of(batch["variant"])} for batch in held]

    def counts(self) -> Counts:
        """Sessions with a stint, stints, fish landed, variants fished, first and last date."""
        from_catches = (
            "(SELECT count(*) FROM catches c JOIN stints t ON t.id = c.stint_id "
            "WHERE c.session_id IN (SELECT id FROM current) "
            "AND t.fish IS NULL AND ifnull(c.outcome, 'landed') = 'landed')"
        )
        day = "coalesce(s.date, substr(s.start, 1, 10), substr(t.cast_in, 1, 10))"
        (held,) = self._all(
            "SELECT count(DISTINCT s.id) AS sessions, count(*) AS stints, "
            f"ifnull(sum(t.fish), 0) + {from_catches} AS fish, "
            f"min({day}) AS first_date, max({day}) AS last_date "
            "FROM stints t JOIN sessions s ON s.id = t.session_id "
            "WHERE s.id IN (SELECT id FROM current)"
        )
        return Counts(**dict(held), variants=len(self.variants_fished()))

    def is_empty(self) -> bool:
        """Whether nothing was ever changed, or all of it was undone."""
        return not self._all("SELECT 1 FROM changes WHERE undone_at IS NULL LIMIT 1")

    changes = _asks(history.changes)
    standing = _asks(history.standing)
    unsound = _asks(unsound)
    opened_early = _asks(aliases.opened_early)
    anglers_of_imports = _asks(history.anglers_of_imports)
    waiting_rows = _asks(refused.waiting_rows)
    waiting = _asks(refused.waiting_trips)
    left_out = _asks(refused.left_out)

    def files_read(self) -> set[str]:
        """SHA-256 of every file of the imports that stand."""
        files = (one for change in self.standing(history.IMPORT) for one in change.files)
        return {one.sha256 for one in files if one.sha256 is not None}

    def unread_cells(self) -> list[tuple[str, str, str]]:
        """Trip (or bait), column and text of each cell that could not be read, kept as it was."""
        labels = {row["id"]: row["session"] for row in self.sessions()}
        rows = [(labels[row["id"]], row["extra"]) for row in self.sessions()]
        for of_table in (self.stints(), self.catches()):
            rows += [(labels[row["session_id"]], row["extra"]) for row in of_table]
        rows += [(row["variant"], row["extra"]) for row in self.variants()]
        return [
            (label, name.removeprefix(UNREAD), text)
            for label, extra in rows
            for name, text in json.loads(extra or "{}").items()
            if name.startswith(UNREAD)
        ]

    def files_of_sessions(self) -> dict[int, str]:
        """The files of the last import that says each session, by the session's id."""
        files = {
            change.id: ", ".join(one.file for one in change.files) for change in self.changes()
        }
        return {row["id"]: files[row["change_id"]] for row in self._all("SELECT * FROM current")}

    def said_by_import(self) -> dict[int, set[tuple[str | None, str]]]:
        """Angler and label of the sessions that each standing import says, by its number."""
        said: dict[int, set[tuple[str | None, str]]] = {}
        for row in self._all(
            "SELECT y.change_id, s.angler, s.session FROM session_says y "
            "JOIN sessions s ON s.id = y.session_id "
            "WHERE y.change_id IN (SELECT id FROM changes WHERE undone_at IS NULL)"
        ):
            said.setdefault(row["change_id"], set()).add((row["angler"], row["session"]))
        return said

    def taken_as_new(self) -> frozenset[tuple[str, str | None]]:
        """Label and angler of the trips that were taken although another says the same."""
        taken = (change.details.get("as_new", ()) for change in self.standing(history.IMPORT))
        return frozenset((label, angler) for trips in taken for label, angler in trips)

    def content_sha256(self) -> str:
        """A digest of the current log: the same rows give the same digest.

        A stint's fish are those that count: its own number, or those that catches lists. The
        digest does not depend on row order, on the import's time or number, or on the file's pages;
        settings, batches, marks of sessions left out and older versions are no part of it.
        """
        sessions, stints, catches = self.sessions(), self.stints(), self.catches()
        listed = Counter(row["stint_id"] for row in catches if row["outcome"] != "lost")
        own = by_column(sessions, ("session", "angler", *SESSION_DATA, "extra"))
        trips = by_column(sessions, ("id", "session", "angler"))
        label, angler = (dict(zip(trips["id"], trips[n], strict=True)) for n in list(trips)[1:])

        def of_trips(rows: Sequence[Row], names: Sequence[str]) -> dict[str, Sequence[Any]]:
            columns = by_column(rows, ("session_id", *names, "extra"))
            of = columns.pop("session_id")
            return {"session": [*map(label.get, of)], "angler": [*map(angler.get, of)]} | columns

        fished = of_trips(stints, STINT_DATA)
        fished["fish"] = [
            listed[stint] if fish is None else fish
            for stint, fish in zip(by_column(stints, ["id"])["id"], fished["fish"], strict=True)
        ]
        recipes = self.variants()
        digest = hashlib.sha256()
        for table, columns in (
            ("sessions", own),
            ("stints", fished),
            ("catches", of_trips(catches, CATCH_DATA)),
            ("variants", {name: [one[name] for one in recipes] for name in ("variant", *CELLS)}),
        ):
            # Cells repeat: each text is made once.
            texts = [
                map({cell: json.dumps(cell) for cell in set(cells)}.__getitem__, cells)
                for cells in columns.values()
            ]
            lines = sorted(f"[{line}]" for line in map(",".join, zip(*texts, strict=True)))
            digest.update("\n".join([f"{table} {len(lines)}", *lines, ""]).encode())
        return digest.hexdigest()

    # Changes

    def next_id(self, table: str) -> int:
        """The next free row id of `sessions` or `stints`."""
        return int(self._all(f"SELECT ifnull(max(id), 0) + 1 AS id FROM {table}")[0]["id"])

    def add(
        self,
        tables: Mapping[str, Columns],
        again: Sequence[int],
        waiting: tuple[Sequence[WaitingRow], Sequence[int]],
        **entry: Any,
    ) -> None:
        """Write one import, inside a `transaction`, as its files have it.

        `tables` are the rows of sessions, stints, catches and variants under the names of the
        schema, `again` the ids of held versions that the files say again, `waiting` the refused
        rows and the numbers of those that wait no longer, `entry` what the history says.
        """
        of_sessions = {**tables, "said_again": {"session_id": sorted(again)}}
        digest = rows_sha256(of_sessions)
        number = history.record(self._connection, history.IMPORT, rows_sha256=digest, **entry)
        for table, columns in of_sessions.items():
            self._insert(table, columns, number)
        refused.keep(self._connection, number, *waiting)

    def _insert(self, table: str, columns: Columns, change: int) -> None:
        """Insert columns of equal length; those without a filled cell cost nothing."""
        used: dict[str, Iterable[Any]] = {
            name: column for name, column in columns.items() if column.count(None) < len(column)
        }
        if not used:
            return
        if table not in ("stints", "catches"):
            used["change_id"] = repeat(change, len(next(iter(columns.values()))))
        marks = ", ".join("?" * len(used))
        self._connection.executemany(
            f"INSERT INTO {table} ({quoted(used)}) VALUES ({marks})",
            zip(*used.values(), strict=True),
        )

    def set_reference(self, variant: str, automatic: bool = False) -> None:
        """Keep a reference, one that was asked for or `automatic`, unless it is that already."""
        with self.transaction() as run:
            if self.reference() != variant:
                details = {"variant": variant, "automatic": automatic}
                history.record(run, history.REFERENCE, details=details)

    def state_end(self, details: Mapping[str, Any]) -> None:
        """Enter a stated end, `until_trip` and the question that it is of, into the history."""
        with self.transaction() as run:
            history.record(run, history.STATED_END, details=details)

    def add_batch(
        self, values: Mapping[str, Any], diameters: Sequence[float] = (), code: str | None = None
    ) -> str:
        """Record a batch; the code that its bag gets. Raises as `batches.add_batch` does.

        `values` are those of BATCH_DATA, at least variant and date; what is not there is not
        recorded. `diameters` are those of single baits, mm. `code` is one that the bag bears.
        """
        if code is not None:
            ledger.check_code(code)
        with self.transaction() as run:
            label = aliases.meant(run, values["variant"])
            return ledger.add_batch(run, values, diameters, code, label)

    undo = _changes(history.undo)
    undo_imports = _changes(history.undo_imports)
    rename_variant = _changes(aliases.rename_variant)
    open_key = _changes(aliases.open_key)
    remove_batch = _changes(ledger.remove_batch)
    drop_waiting = _changes(refused.drop)
    leave_out = _changes(refused.leave_out)
    take_back = _changes(refused.take_back)


def open_logbook(
    path: Path | str, create: bool = False, unsound: bool = False, dry_run: bool = False
) -> Logbook:
    """Open a logbook; with `create`, a missing one is begun when the first change is written.

    With `unsound` its content is not held against what its changes wrote, with `dry_run` no
    change is kept. Raises
    UnusableLogbook, in plain words, for a file that is missing, no logbook, damaged, or written by
    another version that this one cannot read.
    """
    path = Path(path)
    if is_missing(path) and not create:
        raise UnusableLogbook(
            f"There is no logbook at {path} yet. Start one with: rodhours import FILE"
        )
    with plain_words(path, BUSY_SECONDS):
        connection = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
        try:
            connection.execute("PRAGMA trusted_schema = OFF")
            # KiB: an import of many seasons need not go to the disk page by page.
            connection.execute("PRAGMA cache_size = -65536")
            check_file(path, connection, create)
            if not unsound and connection.execute(IS_SET_UP).fetchone():
                check_content(path, connection)
            return Logbook(path, connection, dry_run)
        except BaseException:
            connection.close()
            raise
