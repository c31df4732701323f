"""The layout of the logbook: its tables, and the statements that bring an older one up to date.

Texts of SQL alone; nothing is opened here.
"""

from __future__ import annotations

from collections.abc import Iterable

from rodhours.logbook.tables import BATCHES, CATCHES, SESSIONS, STINTS, VARIANTS, Table

APPLICATION_ID = 0x526F6448
"""`RodH`, in the header of every logbook."""
VERSION = 3
"""The layout of the logbook; a newer one is refused, not guessed at.

Layout 2 added batches. Layout 3 keeps every change, taken back or not, renamed labels and
sessions left out. A logbook of an older layout is read as it is, and becomes one of this layout
with the next change, in the same transaction, after a copy of it was put beside it.
"""
FIRST_WITH_BATCHES = 2
FIRST_WITH_CHANGES = 3

SESSION_DATA = tuple(name for name in SESSIONS.names if name not in ("session", "angler"))
STINT_DATA = tuple(name for name in STINTS.names if name not in ("session", "angler"))
CATCH_DATA = tuple(name for name in CATCHES.names if name not in ("session", "angler"))
VARIANT_DATA = tuple(name for name in VARIANTS.names if name != "variant")
BATCH_DATA = tuple(name for name in BATCHES.names if name != "batch")

VERSIONED = ("sessions", "variants", "renames", "left_out")
"""Tables whose rows know the change that brought them and the one that replaced them."""


def fields(table: Table, names: Iterable[str]) -> str:
    """Column definitions of these columns of a table."""
    return ", ".join(f'"{name}" {table.column(name).kind.sql}' for name in names)


def quoted(names: Iterable[str]) -> str:
    """Column names as a list in SQL."""
    return ", ".join(f'"{name}"' for name in names)


IS_SET_UP = "SELECT 1 FROM sqlite_master WHERE name IN ('changes', 'imports')"
_VERSIONS = "added_by INTEGER NOT NULL, replaced_by INTEGER"
_BATCHES = (
    "CREATE TABLE batches (id INTEGER PRIMARY KEY, batch TEXT NOT NULL UNIQUE, "
    f"{fields(BATCHES, BATCH_DATA)}, added_at TEXT NOT NULL, removed_at TEXT)",
    "CREATE TABLE diameters (batch_id INTEGER NOT NULL, bait INTEGER NOT NULL, "
    "diameter_mm REAL NOT NULL, PRIMARY KEY (batch_id, bait))",
)
"""Batches that were removed stay, marked, so that no code is given out twice."""
_CHANGES = (
    "CREATE TABLE changes (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, made_at TEXT NOT NULL, "
    "undone_at TEXT, zone TEXT, files TEXT NOT NULL, rows INTEGER NOT NULL, "
    "sessions INTEGER NOT NULL, details TEXT NOT NULL)",
    "CREATE TABLE also_in (kind TEXT NOT NULL, row_id INTEGER NOT NULL, "
    "change_id INTEGER NOT NULL, says TEXT, PRIMARY KEY (kind, row_id, change_id))",
    f"CREATE TABLE renames (id INTEGER PRIMARY KEY, {_VERSIONS}, old TEXT NOT NULL, "
    "new TEXT NOT NULL)",
    f"CREATE TABLE left_out (id INTEGER PRIMARY KEY, {_VERSIONS}, session TEXT NOT NULL, "
    "angler TEXT, because TEXT NOT NULL)",
)
"""What was changed and by what; `also_in` says which later imports had the same row."""

UPGRADES = {
    1: (*_BATCHES, "PRAGMA user_version = 2"),
    2: (
        *_CHANGES,
        "INSERT INTO changes SELECT id, 'import', imported_at, NULL, zone, files, rows_imported, "
        "(SELECT count(*) FROM sessions WHERE added_by = imports.id), '{}' FROM imports",
        "DROP TABLE imports",
        "PRAGMA user_version = 3",
    ),
}
"""What turns each older layout into the next one."""
SCHEMA = (
    "CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    f"CREATE TABLE sessions (id INTEGER PRIMARY KEY, {_VERSIONS}, session TEXT NOT NULL, "
    f"angler TEXT, {fields(SESSIONS, SESSION_DATA)}, extra TEXT)",
    "CREATE UNIQUE INDEX current_sessions ON sessions (session, ifnull(angler, '')) "
    "WHERE replaced_by IS NULL",
    "CREATE TABLE stints (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, "
    f"{fields(STINTS, STINT_DATA)}, extra TEXT)",
    "CREATE TABLE catches (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, "
    f"stint_id INTEGER, {fields(CATCHES, CATCH_DATA)}, extra TEXT)",
    f"CREATE TABLE variants (id INTEGER PRIMARY KEY, {_VERSIONS}, variant TEXT NOT NULL, "
    f"{fields(VARIANTS, VARIANT_DATA)}, extra TEXT)",
    "CREATE UNIQUE INDEX current_variants ON variants (variant) WHERE replaced_by IS NULL",
    *_BATCHES,
    *_CHANGES,
    f"PRAGMA application_id = {APPLICATION_ID}",
    f"PRAGMA user_version = {VERSION}",
)
