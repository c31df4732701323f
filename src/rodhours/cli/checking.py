"""`rodhours check`: what in the log could still fool the reader, worst first."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rodhours.cli.choosing import (
    AnglerOption,
    ReferenceOption,
    SinceOption,
    UntilOption,
    VenueOption,
    choose_rows,
    read_stints,
    remember,
    remembered_reference,
)
from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, width_of_answers

if TYPE_CHECKING:
    import pandas as pd

    from rodhours.evidence.check import CheckResult


def check(
    reference: ReferenceOption = None,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """What could still fool you: what was found, how much it could move the answer, what to do.

    Gaps are looked for in the whole logbook, whichever rows are chosen.
    """
    book, stints = read_stints(logbook)
    with book:
        chosen = choose_rows(stints, since, until, venue, angler)
        from rodhours.evidence.check import check as run_checks

        against = remembered_reference(book, chosen) if reference is None else reference
        result = run_checks(chosen.stints, reference=against)
        if chosen.filters:
            result = _with_gaps_of_the_whole_log(result, stints)
        remember(book, reference)
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.findings import findings_text

    answer(findings_text(result, width_of_answers()))


def _with_gaps_of_the_whole_log(result: CheckResult, stints: pd.DataFrame) -> CheckResult:
    """Rows chosen by water or angler have holes of their own, which are no gaps in the log."""
    from rodhours.evidence.checks.gaps import gaps_in_the_log
    from rodhours.evidence.severities import order_notes

    kept = [note for note in result.findings if note.code != "gaps_in_the_log"]
    return replace(result, findings=order_notes([*kept, *gaps_in_the_log(stints)]))
