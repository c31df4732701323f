"""A copy of the logbook beside it, before its layout is changed.

Whole or not there, and never over an earlier copy.
"""

from __future__ import annotations

import logging
import os
import sqlite3
from contextlib import closing
from pathlib import Path

from rodhours.errors import UnusableLogbook
from rodhours.logbook.schema import VERSION


def back_up(path: Path) -> Path:
    """Copy the logbook to `NAME.before-layout-N` beside it; the copy's path.

    The caller has begun to write, so that nobody else does, and has changed nothing yet.
    A copy that is there already is kept: one with the same content serves, else the new one gets
    a number. Raises UnusableLogbook where no copy can be written.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        try:
            # SQLite copies nothing from a connection that writes: a second one reads beside it.
            with (
                closing(sqlite3.connect(path, timeout=1, isolation_level=None)) as source,
                closing(sqlite3.connect(part, isolation_level=None)) as target,
            ):
                source.backup(target)
            with part.open("rb+") as copied:
                os.fsync(copied.fileno())
            return _put(part, path)
        finally:
            part.unlink(missing_ok=True)
            part.with_name(part.name + "-journal").unlink(missing_ok=True)
    except (OSError, sqlite3.Error) as error:
        reason = getattr(error, "strerror", None) or error
        raise UnusableLogbook(
            f"{path} has the layout of an older version, and no copy of it can be written beside "
            f"it before it is brought up to date ({reason}). Nothing was changed."
        ) from error


def _put(part: Path, path: Path) -> Path:
    content = part.read_bytes()
    number = 1
    while True:
        ending = "" if number == 1 else f"-{number}"
        target = path.with_name(f"{path.name}.before-layout-{VERSION}{ending}")
        if target.exists():
            if target.read_bytes() == content:
                return target
            number += 1
            continue
        try:
            os.link(part, target)  # unlike a rename it never takes the place of another file
        except FileExistsError:
            continue
        except OSError:  # a file system without hard links
            part.rename(target)
        logging.getLogger("rodhours").warning(
            "%s has the layout of an older version of rodhours and is brought up to date; a copy "
            "as it was stays beside it: %s",
            path,
            target,
        )
        return target
