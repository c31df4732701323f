"""`rodhours waiting`: the trips whose rows were refused, what each needs, and dropping one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.log.waiting import WaitingTrip


def waiting(
    drop: Annotated[
        str | None,
        typer.Option("--drop", metavar="LABEL", help="Take a trip off the list, with --because."),
    ] = None,
    because: Annotated[
        str | None, typer.Option("--because", help="Why it is dropped; the history keeps it.")
    ] = None,
    angler: Annotated[
        str | None, typer.Option("--angler", help="Whose trip, where two used one label.")
    ] = None,
    cells: Annotated[
        bool, typer.Option("--cells", help="Show the cells as they were written, too.")
    ] = False,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Trips that wait: refused rows, which no answer counts, and what each needs.

    They leave the list when the trip is imported, or with --drop LABEL --because TEXT.
    """
    from rodhours.log.cells.texts import label
    from rodhours.log.logbook import open_logbook

    if drop is not None and not (because or "").strip():
        raise UsageError('Say why: rodhours waiting --drop LABEL --because "…"')
    with open_logbook(logbook) as book:
        if drop is not None:
            who = None if angler is None else label(angler)
            book.drop_waiting(label(drop), who, " ".join((because or "").split()))
        trips = book.waiting()
        unread = book.unread_cells() if cells else []
    if as_json:
        listed = [trip.to_dict() for trip in trips]
        said = {"unread_cells": [list(one) for one in unread]} if cells else {}
        answer_json({"schema": 1, "logbook": str(logbook), "trips": listed, **said})
        return
    answer(in_words(trips, cells))
    if unread:
        answer("\nCells that could not be read, empty in the numbers and kept as written:")
        answer("\n".join(f"  {label}, {column}: {text}" for label, column, text in unread))


def in_words(trips: list[WaitingTrip], with_cells: bool = False) -> str:
    """The trips one below the other, each with what its rows need."""
    from rodhours.words.numbers import tallied

    if not trips:
        return "Nothing waits: every row that was read is in the logbook."
    lines = [f"{tallied(len(trips), 'trip')} {'waits' if len(trips) == 1 else 'wait'}:"]
    for trip in trips:
        who = f" of {trip.angler}" if trip.angler else ""
        lines += ["", f"{trip.session}{who}, {trip.kind}:"]
        for row in trip.rows:
            sheet = f", sheet {row.sheet}" if row.sheet else ""
            lines.append(f"  {row.file}{sheet}, row {row.row}: {row.reason}")
            if with_cells:
                lines.append(f"    {row.written}")
    lines += [
        "",
        "Correct them in your own file and import it again, or take one off the list: "
        'rodhours waiting --drop LABEL --because "…"',
    ]
    return "\n".join(lines)
