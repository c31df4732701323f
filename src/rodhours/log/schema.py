"""The tables of the logbook's file, as SQL: what a new one is begun with, what a later one gains.

Texts of SQL alone; nothing is opened here.
"""

from __future__ import annotations

from collections.abc import Iterable

from rodhours.log.tables import BATCHES, CATCHES, SESSIONS, STINTS, VARIANTS, Table

APPLICATION_ID = 0x526F6448
"""`RodH`, in the header of every logbook."""
VERSION = 8
"""The layout of the logbook; a file of another one is refused, not guessed at.

A further column in `tables` is no new layout: a file begun before it is read without it, and
gains it with its next change.
"""
SESSION_DATA = tuple(name for name in SESSIONS.names if name not in ("session", "angler"))
STINT_DATA = tuple(name for name in STINTS.names if name not in ("session", "angler"))
CATCH_DATA = tuple(name for name in CATCHES.names if name not in ("session", "angler"))
VARIANT_DATA = tuple(name for name in VARIANTS.names if name != "variant")
BATCH_DATA = tuple(name for name in BATCHES.names if name != "batch")

DECLARED: dict[str, tuple[Table, tuple[str, ...]]] = {
    "sessions": (SESSIONS, SESSION_DATA),
    "stints": (STINTS, STINT_DATA),
    "catches": (CATCHES, CATCH_DATA),
    "variants": (VARIANTS, VARIANT_DATA),
    "batches": (BATCHES, BATCH_DATA),
}
"""The tables whose columns `tables` declares, beside the keys that each has of its own."""


def quoted(names: Iterable[str]) -> str:
    """Column names as a list in SQL."""
    return ", ".join(f'"{name}"' for name in names)


def field(table: Table, name: str) -> str:
    """The definition of a declared column."""
    return f'"{name}" {table.column(name).kind.sql}'


def _fields(name: str) -> str:
    table, names = DECLARED[name]
    return ", ".join(field(table, column) for column in names)


IS_SET_UP = "SELECT 1 FROM sqlite_master WHERE name = 'changes'"
SCHEMA = (
    "CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE TABLE changes (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, made_at TEXT NOT NULL, "
    "undone_at TEXT, zone TEXT, files TEXT NOT NULL, rows INTEGER NOT NULL, "
    "sessions INTEGER NOT NULL, details TEXT NOT NULL, rows_sha256 TEXT)",
    # Of all that each change brought: see `logbook_file`.
    "CREATE TABLE digests (change_id INTEGER PRIMARY KEY, sha256 TEXT NOT NULL)",
    # A version of a session with its stints and catches, as a file had it: never changed.
    "CREATE TABLE sessions (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, "
    f"session TEXT NOT NULL, angler TEXT, {_fields('sessions')}, extra TEXT)",
    f"CREATE TABLE stints (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, "
    f"{_fields('stints')}, extra TEXT)",
    "CREATE TABLE catches (session_id INTEGER NOT NULL, "
    f"stint_id INTEGER, {_fields('catches')}, extra TEXT)",
    "CREATE TABLE said_again (session_id INTEGER NOT NULL, change_id INTEGER NOT NULL, "
    "PRIMARY KEY (change_id, session_id)) WITHOUT ROWID",
    "CREATE VIEW session_says AS SELECT id AS session_id, change_id FROM sessions "
    "UNION ALL SELECT session_id, change_id FROM said_again",
    # What an import says of a recipe: the whole row, or the cells that a flat file carries.
    "CREATE TABLE variants (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, "
    f"whole INTEGER NOT NULL, variant TEXT NOT NULL, {_fields('variants')}, extra TEXT)",
    "CREATE TABLE batches (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, "
    f"batch TEXT NOT NULL UNIQUE, {_fields('batches')})",
    "CREATE TABLE diameters (batch_id INTEGER NOT NULL, bait INTEGER NOT NULL, "
    "diameter_mm REAL NOT NULL, PRIMARY KEY (batch_id, bait))",
    # Rows that an import refused, and the changes that have done with them.
    "CREATE TABLE waiting (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, trip TEXT NOT NULL, "
    "angler TEXT, kind TEXT NOT NULL, file TEXT NOT NULL, sheet TEXT, of_table TEXT NOT NULL, "
    "row INTEGER NOT NULL, reason TEXT NOT NULL, cells TEXT NOT NULL, fish INTEGER NOT NULL)",
    "CREATE TABLE waiting_done (waiting_id INTEGER NOT NULL, change_id INTEGER NOT NULL, "
    "PRIMARY KEY (waiting_id, change_id)) WITHOUT ROWID",
    "CREATE VIEW waits AS SELECT * FROM waiting "
    "WHERE change_id IN (SELECT id FROM changes WHERE undone_at IS NULL) "
    "AND id NOT IN (SELECT waiting_id FROM waiting_done "
    "WHERE change_id IN (SELECT id FROM changes WHERE undone_at IS NULL))",
    # Of each session the version that the last change still standing speaks of.
    "CREATE VIEW current AS SELECT s.id AS id, max(y.change_id) AS change_id "
    "FROM session_says y JOIN sessions s ON s.id = y.session_id "
    "WHERE y.change_id IN (SELECT id FROM changes WHERE undone_at IS NULL) "
    "GROUP BY s.session, ifnull(s.angler, '')",
    f"PRAGMA application_id = {APPLICATION_ID}",
    f"PRAGMA user_version = {VERSION}",
)
"""The statements that begin a logbook."""
