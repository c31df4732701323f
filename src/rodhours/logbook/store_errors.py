"""SQLite's errors in plain words: what cannot be done, and that the logbook is unchanged."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rodhours.errors import UnusableLogbook


def damaged(path: Path) -> str:
    """What is said of a file whose pages make no sense."""
    return (
        f"{path} is damaged and was left alone. Move it aside and import your files again "
        "into a new logbook."
    )


@contextmanager
def plain_words(path: Path, busy_seconds: float) -> Iterator[None]:
    """SQLite's errors as UnusableLogbook."""
    try:
        yield
    except sqlite3.DatabaseError as error:
        raise UnusableLogbook(in_words(path, error, busy_seconds)) from error


def in_words(path: Path, error: sqlite3.DatabaseError, busy_seconds: float) -> str:
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
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_ERROR):
        return damaged(path)
    return f"{path}: the logbook cannot be used ({error}). Nothing was changed."
