"""`rodhours leave-out`: a session that no answer counts, and that every answer names."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, DryRunOption, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json
from rodhours.errors import UsageError


def leave_out(
    session: Annotated[str | None, typer.Argument(help="The session's label.")] = None,
    because: Annotated[
        str | None, typer.Option("--because", help="Why; every answer says it.")
    ] = None,
    take_back: Annotated[
        bool, typer.Option("--take-back", help="Count the session again.")
    ] = False,
    angler: Annotated[
        str | None, typer.Option("--angler", help="Whose session, where two used one label.")
    ] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    dry_run: DryRunOption = False,
    as_json: JsonOption = False,
) -> None:
    """Leave a session out of every answer, for how it was fished or logged, never for its catch.

    Its rows stay in the logbook, and every answer names it with the reason. --take-back counts
    it again.
    """
    if not session or not session.strip():
        raise UsageError('Name the session: rodhours leave-out SESSION --because "…"')
    if take_back and because is not None:
        raise UsageError("--because belongs to leaving out; --take-back needs no reason.")
    if not take_back and not (because or "").strip():
        raise UsageError(
            'Say why, for every answer will name it: rodhours leave-out SESSION --because "…"'
        )
    from rodhours.log import change_texts as words
    from rodhours.log.cells.texts import label
    from rodhours.log.logbook import open_logbook

    who = None if angler is None else label(angler)
    with open_logbook(logbook, dry_run=dry_run) as book:
        if take_back:
            done = book.take_back(label(session), who)
        else:
            done = book.leave_out(label(session), who, " ".join((because or "").split()))
    if as_json:
        head = {"schema": 1, "logbook": str(logbook), "dry_run": dry_run, "taken_back": take_back}
        answer_json({**head, **done.to_dict()})
        return
    says = words.counted_again if take_back else words.left_out
    answer(says(done.session, done.angler, dry_run))
    if dry_run:
        answer(words.DRY_RUN)
