"""Is the logbook what its changes wrote? A digest of what each brought."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from itertools import groupby
from operator import itemgetter
from typing import Any

SETTINGS = 0
"""In the place of a change: the settings, and the tables and views of the file themselves."""

_MASTER = "SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%' ORDER BY name"
_OWNED = (
    ("changes", "id"),
    ("variants", "change_id"),
    ("batches", "change_id"),
    ("waiting", "change_id"),
    ("session_says", "change_id"),
    ("waiting_done", "change_id"),
    ("diameters", "(SELECT change_id FROM batches b WHERE b.id = batch_id)"),
    ("sessions", "(SELECT min(change_id) FROM session_says y WHERE y.session_id = t.id)"),
    ("stints", "(SELECT min(change_id) FROM session_says y WHERE y.session_id = t.session_id)"),
    ("catches", "(SELECT min(change_id) FROM session_says y WHERE y.session_id = t.session_id)"),
)
"""Every table with the change that a row of it belongs to."""


def unsound(run: sqlite3.Connection) -> set[int]:
    """The changes whose content is not what was written, SETTINGS among them; empty where all is.

    Nothing of a file is run whose tables and views are not ours.
    """
    try:
        kept = dict(_plain(run, "SELECT change_id, sha256 FROM digests"))
        if kept.get(SETTINGS) != _settings_digest(run):
            return {SETTINGS}
        found = dict(digests(run))
    except (sqlite3.OperationalError, sqlite3.IntegrityError, UnicodeError):
        # A text that is no text, a table that is not there.
        return {SETTINGS}
    return {one for one in kept.keys() | found.keys() if kept.get(one) != found.get(one)}


def keep_digests(run: sqlite3.Connection) -> None:
    """Write the digests of the content as it is now, inside the transaction that changed it."""
    now = dict(digests(run))
    if now != dict(_plain(run, "SELECT change_id, sha256 FROM digests")):
        run.execute("DELETE FROM digests")
        run.executemany("INSERT INTO digests VALUES (?, ?)", now.items())


def digests(run: sqlite3.Connection) -> Iterator[tuple[int, str]]:
    """Each change with the SHA-256 of its rows in all tables, by table and in their order.

    SQLite puts a row together, but for its decimal numbers: their digits differ by its version.
    """
    yield SETTINGS, _settings_digest(run)
    found: dict[int, Any] = {}
    for table, owner in _OWNED:
        columns = list(_plain(run, f"SELECT name, type FROM pragma_table_info('{table}')"))
        cells = ", ".join(f't."{name}"' for name, kind in columns if kind != "REAL")
        real = "".join(f', t."{name}"' for name, kind in columns if kind == "REAL")
        order = f't."{columns[0][0]}", t."{columns[1][0]}"'
        rows = f"SELECT {owner}, json_array({cells}){real} FROM {table} t ORDER BY {order}"
        for change, brought in groupby(_plain(run, rows), itemgetter(0)):
            # Rows of no change belong to nobody, and are never written.
            digest = found.setdefault(-1 if change is None else change, hashlib.sha256())
            digest.update(f"{table} {list(brought)}".encode("utf-8", "surrogatepass"))
    for change, digest in sorted(found.items()):
        yield change, digest.hexdigest()


def _settings_digest(run: sqlite3.Connection) -> str:
    settings = _plain(run, "SELECT name, value FROM settings ORDER BY name")
    return _sha256([list(_plain(run, _MASTER)), list(settings)])


def _plain(run: sqlite3.Connection, sql: str) -> Iterator[Any]:
    """Rows as plain tuples, whatever the connection makes of them."""
    cursor = run.cursor()
    cursor.row_factory = None
    return iter(cursor.execute(sql))


def _sha256(rows: object) -> str:
    return hashlib.sha256(repr(rows).encode("utf-8", "surrogatepass")).hexdigest()
