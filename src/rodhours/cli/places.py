"""Where answers are written: never over a logbook or its files, over others only when forced."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rodhours.errors import RodhoursError
from rodhours.whole_files import require_free

ForceOption = Annotated[bool, typer.Option("--force", help="Write over files that are there.")]


def require_places(*paths: Path | None, force: bool, logbook: Path) -> None:
    """Raise UsageError where one of the files asked for must not be written."""
    wanted = [path for path in paths if path is not None]
    require_free(wanted, force, _files_read(logbook) if force else ())


def _files_read(logbook: Path) -> set[str]:
    from rodhours.log.logbook import open_logbook

    if not logbook.is_file():
        return set()
    try:
        with open_logbook(logbook) as book:
            return book.files_read()
    except RodhoursError:
        return set()
