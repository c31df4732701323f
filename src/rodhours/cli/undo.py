"""`rodhours undo`: take back a change, and put back what it replaced.

Says what it did; nothing to take back is an answer too.
"""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, DryRunOption, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json
from rodhours.errors import UsageError


def undo(
    change: Annotated[
        str | None,
        typer.Argument(
            metavar="[NUMBER]",
            help="The change's number in rodhours history; without one, the latest that stands.",
        ),
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

    if change is not None and not change.isdecimal():
        raise UsageError(
            f"'{change}' is no change: they have numbers, which rodhours history lists; rodhours "
            "undo alone takes the latest back."
        )
    number = None if change is None else int(change)
    with open_logbook(logbook) as book:
        undone = book.undo(number, dry_run)
        sessions = book.counts().sessions if undone is not None else 0
    if as_json:
        done = {"change": None} if undone is None else undone.to_dict()
        answer_json({"schema": 1, "logbook": str(logbook), "dry_run": dry_run, **done})
        return
    if undone is None:
        answer(f"Nothing to take back: {logbook} holds no import.")
        return
    files = [one.file for one in undone.change.files]
    change_was = undone.change
    answer(words.undone(change_was.kind, change_was.details, files, undone.numbers, dry_run))
    answer(words.DRY_RUN if dry_run else f"{logbook} now holds {tallied(sessions, 'session')}.")
