"""Options that mean the same on every command."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

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
JsonOption = Annotated[bool, typer.Option("--json", help="Print the answer for machines, as JSON.")]
