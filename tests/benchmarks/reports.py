"""The report of a long log against that of the example season, both whole, in one process."""

from __future__ import annotations

import contextlib
import io
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

from timing import ratio

from odd_seasons import write
from rodhours.cli.demonstrating import TABLES, example_season
from rodhours.cli.importing import import_files
from rodhours.cli.reporting import report


def run() -> Iterator[str]:
    """A season of 400 trips on twelve waters against the example season's 45 trips."""
    with tempfile.TemporaryDirectory() as place:
        example = reported([example_season() / name for name in TABLES], Path(place) / "example")
        (Path(place) / "files").mkdir()
        long = reported(write("400 trips", Path(place) / "files"), Path(place) / "long")
        yield str(ratio("report of 400 trips against that of the example", long, example, 2.0))


def reported(files: list[Path], folder: Path) -> Callable[[], None]:
    """Import the files quietly; the work is the report of them."""
    folder.mkdir()
    logbook = folder / "logbook.sqlite"

    def quietly(work: Callable[[], None]) -> None:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            work()

    quietly(lambda: import_files(files, logbook=logbook))
    return lambda: quietly(lambda: report(out=folder / "season.html", logbook=logbook))
