"""`rodhours summary`: sessions, blanks, rod-hours, fish and catch rates by group."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from rodhours.cli.options import Answers, ConfidenceOption, RowsAndFish, asks
from rodhours.cli.output import answer, answer_json, width_of_answers


class Grouping(StrEnum):
    """What a summary can be by."""

    VARIANT = "variant"
    VENUE = "venue"
    MONTH = "month"
    ROD = "rod"
    ANGLER = "angler"


@asks
def summary(
    by: Annotated[Grouping, typer.Option(help="What to group the stints by.")] = Grouping.VARIANT,
    *,
    rows: RowsAndFish,
    confidence: ConfidenceOption = 0.95,
    answers: Answers,
) -> None:
    """Sessions, blanks, rod-hours, fish, and fish per 100 rod-hours with an interval."""
    result = rows.of(answers.logbook).summary(by.value, confidence)
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import summary_text

    answer(summary_text(result, width_of_answers()))
