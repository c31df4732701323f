"""Which files are logbooks: missing, begun, another program's, newer, damaged."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from rodhours.errors import UnusableLogbook
from rodhours.logbook.schema import APPLICATION_ID, VERSION
from rodhours.logbook.store_errors import damaged


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
    """Raise UnusableLogbook where the file is no logbook of this version or an older one.

    With `create` a file without a table is one that is still to be begun.
    """
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
        raise UnusableLogbook(damaged(path))
