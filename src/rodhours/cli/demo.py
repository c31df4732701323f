"""`rodhours demo`: the whole loop on the invented example season, and what to try next."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from rodhours.cli.answers import summary
from rodhours.cli.compare import compare
from rodhours.cli.import_ import import_files
from rodhours.cli.output import answer
from rodhours.cli.report import report
from rodhours.errors import RodhoursError, UsageError
from rodhours.whole_files import write_whole

ASKED, REFERENCE = "pellet-20", "plain"
TABLES = ("stints.csv", "sessions.csv", "variants.csv", "catches.csv")


def demo(
    folder: Annotated[Path, typer.Option("--dir", help="Where to put the example season.")] = Path(
        "rodhours-demo"
    ),
) -> None:
    """Import an invented season, ask whether one bait really outfished another, write a report."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError(f"{folder} is there already: the demo wants a new folder, --dir NAME.")
    source = example_season()
    for name in TABLES:
        write_whole(folder / name, (source / name).read_bytes())
    logbook, page = folder / "logbook.sqlite", folder / "season.html"

    _step("1. Import a season's trip log", f"rodhours import {folder} --logbook {logbook}")
    import_files([folder / name for name in TABLES], logbook=logbook)
    _step("2. What was fished", f"rodhours summary --logbook {logbook}")
    summary(logbook=logbook)
    _step(
        "3. Did the 20 % pellet mix really outfish the plain mix?",
        f"rodhours compare {ASKED} {REFERENCE} --logbook {logbook}",
    )
    compare([ASKED, REFERENCE], logbook=logbook)
    _step("4. The season on one page", f"rodhours report --out {page} --logbook {logbook}")
    report(out=page, logbook=logbook)
    at = f" --logbook {shlex.quote(str(logbook))}"
    answer(
        "\nThe season is invented; what is true in it stands in example_data/truth.toml.\n"
        f"Open {page} in a browser. Then try:\n"
        f"  rodhours compare --reference {REFERENCE}{at}\n"
        f"  rodhours check{at}\n"
        f"  rodhours response pellet_pct{at}\n"
        f"  rodhours sizes{at}\n"
        f"  rodhours compare {ASKED} {REFERENCE} --min-weight 20lb{at}\n"
        f"  rodhours rehearse --seasons 50{at}\n"
        "and with your own log:\n"
        "  rodhours import FILE"
    )


def _step(title: str, command: str) -> None:
    answer(f"\n{title}\n$ {command}\n")


def example_season() -> Path:
    """The folder of the example season: in the installed package, or in the checkout."""
    inside = Path(__file__).parents[1] / "example_data"
    for folder in (inside, Path(__file__).parents[3] / "example_data"):
        if (folder / TABLES[0]).is_file():
            return folder
    raise RodhoursError("The example season is missing from this installation.")
