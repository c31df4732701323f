"""`rodhours undo`: take back a change, and put back what it replaced.

Says what it did; nothing to take back is an answer too.
"""

from __future__ import annotations

import re
from typing import Annotated, Any

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, DryRunOption, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json
from rodhours.errors import UsageError


def undo(
    change: Annotated[
        str | None,
        typer.Argument(
            metavar="[NUMBER|FILE]",
            help="The change's number in rodhours history, or a file or folder whose imports are "
            "meant; without one, the latest change that stands.",
        ),
    ] = None,
    angler: Annotated[
        str | None, typer.Option("--angler", help="Take back all imports of this person.")
    ] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    dry_run: DryRunOption = False,
    as_json: JsonOption = False,
) -> None:
    """Take back an import or another change of the log, and put back what it replaced.

    Whichever it is, what holds then is what the other changes say, as if it had never been made.
    """
    from rodhours.log import change_texts as words
    from rodhours.log.logbook import open_logbook
    from rodhours.words.numbers import tallied

    number = int(change) if change is not None and re.fullmatch("[0-9]{1,9}", change) else None
    by_number = angler is None and (change is None or number is not None)
    if number is not None and angler is not None:
        raise UsageError("--angler takes back all imports of a person: leave the number out.")
    with open_logbook(logbook, dry_run=dry_run) as book:
        if by_number:
            one = book.undo(number)
            done = [] if one is None else [one]
        else:
            done = book.undo_imports(change, angler)
        sessions = book.counts().sessions if done else 0
    if as_json:
        machine: dict[str, Any] = {"changes": [undone.to_dict() for undone in done]}
        if by_number:
            machine = done[0].to_dict() if done else {"change": None}
        answer_json({"schema": 1, "logbook": str(logbook), "dry_run": dry_run, **machine})
        return
    if not done:
        answer(f"Nothing to take back: {logbook} holds no import.")
        return
    for undone in done:
        answer(words.undone(undone, dry_run))
    answer(words.DRY_RUN if dry_run else f"{logbook} now holds {tallied(sessions, 'session')}.")
