"""Which files are logbooks, and SQLite's own errors in plain words."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Set
from contextlib import contextmanager
from pathlib import Path

from rodhours.counts import listed
from rodhours.errors import UnusableLogbook
from rodhours.log.schema import APPLICATION_ID, VERSION
from rodhours.log.soundness import SETTINGS, unsound


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
