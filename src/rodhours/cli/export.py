"""`rodhours export`: the logbook in the open format, as CSV files, a workbook or notes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, ForceOption, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk
from rodhours.errors import UsageError


def export(
    target: Annotated[
        Path | None,
        typer.Argument(
            metavar="DIR|FILE.xlsx|FILE.txt",
            help="A folder for CSV files, a workbook, or notes as text.",
        ),
    ] = None,
    force: ForceOption = False,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Write the whole log in the open format; importing that gives the same log again.

    Weights are in kilograms, dates in ISO 8601, hours decimal with every digit. No text in it is
    run by a spreadsheet as a formula.
    """
    if target is None:
        raise UsageError("Name a folder or a workbook: rodhours export DIR|FILE.xlsx|FILE.txt")
    from rodhours.log.export import export_logbook
    from rodhours.log.logbook import open_logbook
    from rodhours.words import export as words

    with open_logbook(logbook) as book:
        done = export_logbook(book, target, force)
    missing = words.not_carried(done.left_out, done.batches, done.no_place)
    if missing is not None:
        talk(missing)
    if done.zones:
        talk(words.zones(done.zones))
    if as_json:
        answer_json({"schema": 1, "logbook": str(logbook), **done.to_dict()})
    else:
        answer(words.exported(done.files, done.rows))
