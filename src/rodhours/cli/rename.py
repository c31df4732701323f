"""`rodhours rename`: one label for a bait that was spelt two ways."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, DryRunOption, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json
from rodhours.errors import UsageError


def rename(
    old: Annotated[str | None, typer.Argument(help="The label as the logbook has it now.")] = None,
    new: Annotated[str | None, typer.Argument(help="The label it is to have.")] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    dry_run: DryRunOption = False,
    as_json: JsonOption = False,
) -> None:
    """Give a bait another label; a label that is there already makes the two one bait.

    Later imports that still have the old label are read with the new one. For a water, swim or
    angler spelt two ways, write it one way in your file and import that with --replace.
    """
    if not old or not new or not old.strip() or not new.strip():
        raise UsageError("Name both labels: rodhours rename OLD NEW")
    from rodhours.log import change_texts as words
    from rodhours.log.cells.texts import label
    from rodhours.log.logbook import open_logbook

    with open_logbook(logbook, dry_run=dry_run) as book:
        renamed = book.rename_variant(label(old), label(new))
    if as_json:
        head = {"schema": 1, "logbook": str(logbook), "dry_run": dry_run}
        answer_json({**head, **renamed.to_dict()})
        return
    answer(words.renamed(renamed, dry_run))
    if dry_run:
        answer(words.DRY_RUN)
