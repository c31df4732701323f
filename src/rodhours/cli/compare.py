"""`rodhours compare`: which variant catches more fish per rod-hour, and how sure one can be."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import Against, Answers, Intervals, RowsAndFish, asks, keep_reference
from rodhours.cli.output import answer, answer_json, width_of_answers
from rodhours.cli.progress import progress_bar
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.evidence.results import ComparisonResult
    from rodhours.question import Question


class BasisChoice(StrEnum):
    """Which sessions an answer may rest on."""

    AUTO = "auto"
    SAME = "same"
    ALL = "all"


@asks
def compare(
    variant: Annotated[
        str | None,
        typer.Argument(help="The variant asked about; all of them without one."),
    ] = None,
    against: Annotated[
        str | None,
        typer.Argument(metavar="[REFERENCE]", help="The variant to compare with, this once."),
    ] = None,
    *,
    options: Against,
    basis: Annotated[
        BasisChoice,
        typer.Option(help="same: only trips that had both in the water; all: every stint."),
    ] = BasisChoice.AUTO,
    rows: RowsAndFish,
    intervals: Intervals,
    as_planned: Annotated[
        bool,
        typer.Option("--as-planned", help="By the bait that the plan asked for on each rod."),
    ] = False,
    running: Annotated[
        bool,
        typer.Option(
            "--running", help="After every trip, an interval you may look at as often as you like."
        ),
    ] = False,
    answers: Answers,
) -> None:
    """Did one bait really outfish another? The answer, how sure it is, and what limits it.

    Baits are compared within the same trips wherever the log allows it; the answer from all
    trips, and the one as if every fish came by itself, stand beside it.
    """
    reference = options.reference
    if against is not None and reference not in (None, against):
        raise UsageError(f"Two references are given: '{against}' and '{reference}'. Name one.")
    reference = against if reference is None else reference
    asked = rows.of(answers.logbook)
    asked = asked.as_planned() if as_planned else asked
    result = asked.compare(
        variant,
        reference,
        options.adjust or (),
        intervals.confidence,
        basis.value,
        intervals.margin,
    )
    keep_reference(asked, options.reference, result.reference if against is None else None)
    if running:
        _answer_running(asked, result, answers.as_json)
        return
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import comparison_text

    answer(comparison_text(result, width_of_answers()))


def _answer_running(asked: Question, result: ComparisonResult, as_json: bool) -> None:
    """The same comparison after every trip; the machine form is that of compare and one key."""
    with progress_bar("Looking back", not as_json) as progress:
        looks = asked.running(result, progress=progress)
    if as_json:
        answer_json({**result.to_dict(), "running": looks.to_dict()})
        return
    from rodhours.report.running_text import running_text

    answer(running_text(result, looks, width_of_answers()))
