"""Which files are logbooks, and sound; SQLite's own errors in plain words."""

from __future__ import annotations

import hashlib
import json
import math
import sqlite3
import struct
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence, Set
from contextlib import contextmanager
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import Any

from rodhours.counts import listed
from rodhours.errors import UnusableLogbook
from rodhours.log.tables import APPLICATION_ID, VERSION

Columns = Mapping[str, Sequence[Any]]
"""Rows by the names of their columns."""


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


def check_file(path: Path, connection: sqlite3.Connection, create: bool) -> None:
    """Raise UnusableLogbook where a file is no logbook that can be read.

    With `create` a file without a table is one that is still to be begun.
    """
    held = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    layout = int(connection.execute("PRAGMA user_version").fetchone()[0])
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
    if layout > VERSION:
        raise UnusableLogbook(
            f"{path} was written by a newer version of rodhours (layout {layout}, this one "
            f"knows {VERSION}); it was left alone. Update rodhours to read it."
        )
    if layout < VERSION:
        raise UnusableLogbook(
            f"{path} was written by an older version of rodhours (layout {layout}, this one "
            f"knows {VERSION}); it was left alone. Import your files again into a new logbook."
        )
    if connection.execute("PRAGMA integrity_check(1)").fetchone()[0] != "ok":
        raise UnusableLogbook(_damaged(path))


def check_content(path: Path, connection: sqlite3.Connection) -> None:
    """Raise UnusableLogbook where the content is not what the logbook's changes wrote.

    Looked at once for each state of the file in one run of the program.
    """
    state = path.stat()
    seen = (path.resolve(), state.st_ino, state.st_mtime_ns, state.st_size)
    if seen in _SOUND:
        return
    connection.execute("BEGIN")
    wrong = unsound(connection)
    connection.execute("ROLLBACK")
    if wrong:
        raise UnusableLogbook(
            f"{path}: {not_as_written(wrong)} It gives no answer; rodhours history says what is "
            "sound. Take a copy from before, or import your files again into a new logbook."
        )
    _SOUND.add(seen)


_SOUND: set[tuple[Path, int, int, int]] = set()


def not_as_written(wrong: Set[int]) -> str:
    """What of a logbook is damaged, as a sentence."""
    changes = sorted(one for one in wrong if one > SETTINGS)
    what = "its settings or its tables are"
    if changes:
        many = len(changes) > 1
        what = f"change{'s' if many else ''} {listed(map(str, changes))} {'are' if many else 'is'}"
    return f"damaged, or changed by another program: {what} not what was written."


@contextmanager
def plain_words(path: Path, busy_seconds: float) -> Iterator[None]:
    """What SQLite says of the file or its place as UnusableLogbook.

    An error in a statement is a mistake of the program, never the file's: it is raised as it is.
    """
    try:
        yield
    except UnicodeDecodeError as error:
        # SQLite names what is damaged, in bytes that are no text.
        raise UnusableLogbook(_damaged(path)) from error
    except sqlite3.DatabaseError as error:
        says = _in_words(path, error, busy_seconds)
        if says is None:
            raise
        raise UnusableLogbook(says) from error


def _damaged(path: Path) -> str:
    return (
        f"{path} is damaged and was left alone. Move it aside and import your files again "
        "into a new logbook."
    )


def _in_words(path: Path, error: sqlite3.DatabaseError, busy_seconds: float) -> str | None:
    """One line for the reader; `busy_seconds` is how long was waited for another writer."""
    code = (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return (
            f"{path} is busy: something else has been writing to it for {busy_seconds} seconds. "
            "Nothing was changed; try again when that is done."
        )
    if code == sqlite3.SQLITE_NOTADB:
        return f"{path} is not a logbook (no SQLite file); it was left alone."
    if code == sqlite3.SQLITE_FULL:
        return f"{path}: the disk is full. Nothing was changed."
    if code == sqlite3.SQLITE_IOERR:
        return (
            f"{path}: the disk cannot be read or written (full, too large a file, or gone). "
            "Nothing was changed."
        )
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return f"{path} cannot be opened for writing; check its permissions and its folder."
    return _damaged(path) if code == sqlite3.SQLITE_CORRUPT else None


SETTINGS = 0
"""In the place of a change: the settings, and the tables and views of the file themselves."""

_MASTER = "SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%' ORDER BY name"
_SMALL = (
    ("changes", "id"),
    ("variants", "change_id"),
    ("batches", "change_id"),
    ("waiting", "change_id"),
    ("waiting_done", "change_id"),
    ("diameters", "(SELECT change_id FROM batches b WHERE b.id = batch_id)"),
)
"""Tables of which all rows are looked at with every change, with whose a row of each is."""
_OF_SESSION = "LEFT JOIN sessions s ON s.id = t.session_id ORDER BY t.rowid"
_LARGE = (
    ("sessions", "t.change_id", "ORDER BY t.id"),
    ("stints", "s.change_id", _OF_SESSION),
    ("catches", "s.change_id", _OF_SESSION),
    ("said_again", "t.change_id", "ORDER BY t.change_id, t.session_id"),
)
"""Tables whose rows an import writes once: their digest stands in its row of `changes`."""


def unsound(run: sqlite3.Connection) -> set[int]:
    """The changes whose content is not what was written, SETTINGS among them; empty where all is.

    Nothing of a file is run whose tables and views are not ours.
    """
    try:
        kept = dict(_plain(run, "SELECT change_id, sha256 FROM digests"))
        if kept.get(SETTINGS) != _settings_digest(run):
            return {SETTINGS}
        found = digests(run)
        written = dict(_plain(run, "SELECT id, rows_sha256 FROM changes"))
        rows: dict[int, Any] = {}
        for table, owner, order in _LARGE:
            for change, columns in _large(run, table, owner, order):
                # Rows of no change belong to nobody, and are never written.
                _update(rows.setdefault(change or -1, hashlib.sha256()), table, columns)
    except (
        sqlite3.OperationalError,
        sqlite3.IntegrityError,
        UnicodeError,
        TypeError,
        struct.error,
    ):
        # A text that is no text, a table that is not there, a text in the place of a number.
        return {SETTINGS}
    wrong = {one for one in kept.keys() | found.keys() if kept.get(one) != found.get(one)}
    now = {change: digest.hexdigest() for change, digest in rows.items()}
    return wrong | {one for one in written.keys() | now.keys() if written.get(one) != now.get(one)}


def rows_sha256(tables: Mapping[str, Columns]) -> str | None:
    """The digest of the rows that an import writes, by the names of _LARGE; None without a row."""
    digest = hashlib.sha256()
    for table, *_ in _LARGE:
        _update(digest, table, tables[table])
    brought = tables["sessions"]["id"], tables["said_again"]["session_id"]
    return digest.hexdigest() if any(map(len, brought)) else None


def _update(digest: Any, table: str, columns: Columns) -> None:
    """Put rows into a digest by the columns that are filled: numbers by their bits."""
    for name, cells in sorted(columns.items()):
        if cells.count(None) == len(cells):
            continue
        kinds = set(map(type, cells))
        if kinds == {str}:
            content = "\0".join(cells).encode()
        elif kinds == {int}:
            content = struct.pack(f"<{len(cells)}q", *cells)
        elif float in kinds:
            numbers = [math.nan if cell is None else cell for cell in cells]
            content = struct.pack(f"<{len(numbers)}d", *numbers)
        else:
            content = json.dumps(cells).encode()
        digest.update(f"{table} {name} {len(cells)} ".encode() + content)


def _large(
    run: sqlite3.Connection, table: str, owner: str, order: str
) -> Iterator[tuple[int | None, Columns]]:
    """The rows of a table that each change brought, by column."""
    names = [name for (name,) in _plain(run, f"SELECT name FROM pragma_table_info('{table}')")]
    counts = ", ".join(f'count("{name}")' for name in names)
    (filled,) = _plain(run, f"SELECT {counts} FROM {table}")
    used = [
        name for name, count in zip(names, filled, strict=True) if count and name != "change_id"
    ]
    cells = "".join(f', t."{name}"' for name in used)
    rows = _plain(run, f"SELECT {owner}{cells} FROM {table} t {order}")
    for change, brought in groupby(rows, itemgetter(0)):
        _, *columns = zip(*brought, strict=True)
        yield change, dict(zip(used, columns, strict=True))


def keep_digests(run: sqlite3.Connection) -> None:
    """Write the digests of the content as it is now, inside the transaction that changed it."""
    now = digests(run)
    if now != dict(_plain(run, "SELECT change_id, sha256 FROM digests")):
        run.execute("DELETE FROM digests")
        run.executemany("INSERT INTO digests VALUES (?, ?)", now.items())


def digests(run: sqlite3.Connection) -> dict[int, str]:
    """Each change with the SHA-256 of its rows in the small tables, and SETTINGS with its own."""
    found: dict[int, list[Any]] = defaultdict(list)
    for table, owner in _SMALL:
        for change, *cells in _plain(run, f"SELECT {owner}, * FROM {table} ORDER BY 2, 3"):
            found[-1 if change is None else change].append([table, *cells])
    own = {change: _sha256(rows) for change, rows in sorted(found.items())}
    return {SETTINGS: _settings_digest(run), **own}


def _settings_digest(run: sqlite3.Connection) -> str:
    settings = _plain(run, "SELECT name, value FROM settings ORDER BY name")
    return _sha256([list(_plain(run, _MASTER)), list(settings)])


def _plain(run: sqlite3.Connection, sql: str) -> Iterator[Any]:
    """Rows as plain tuples, whatever the connection makes of them."""
    cursor = run.cursor()
    cursor.row_factory = None
    return iter(cursor.execute(sql))


def _sha256(rows: object) -> str:
    return hashlib.sha256(json.dumps(rows).encode()).hexdigest()
