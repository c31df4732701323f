"""Options that mean the same on every command."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from rodhours.wording.weights import UNITS_HELP

DEFAULT_LOGBOOK = Path("logbook.sqlite")

LogbookOption = Annotated[
    Path,
    typer.Option(
        "--logbook",
        envvar="RODHOURS_LOGBOOK",
        help="The logbook file.",
        show_default=True,
    ),
]


class WeightUnit(StrEnum):
    """What weights are shown in."""

    LB = "lb"
    KG = "kg"


UnitsOption = Annotated[
    WeightUnit | None, typer.Option("--units", help=UNITS_HELP, show_default=False)
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the answer for machines, as JSON.")]
SeedOption = Annotated[int, typer.Option(help="The same seed gives the same answer.")]
JobsOption = Annotated[
    int | None, typer.Option(help="Cores to use; all of them without this.", show_default=False)
]
QuietOption = Annotated[bool, typer.Option("--quiet", help="Draw no progress bar.")]
DryRunOption = Annotated[
    bool, typer.Option("--dry-run", help="Say what would happen; write nothing.")
]
