"""`rodhours summary`: sessions, blanks, rod-hours, fish and catch rates by group."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.options import (
    Answers,
    ConfidenceOption,
    RowsAndFish,
    SeasonStartsOption,
    asks,
    season_start,
)
from rodhours.cli.output import answer, answer_json, width_of_answers


@asks
def summary(
    by: Annotated[
        str,
        typer.Option(
            metavar="COLUMN",
            help="Any column of stints, sessions or variants, such as venue, rod, angler or batch; "
            "or month, season.",
        ),
    ] = "variant",
    season_starts: SeasonStartsOption = "01-01",
    *,
    rows: RowsAndFish,
    confidence: ConfidenceOption = 0.95,
    answers: Answers,
) -> None:
    """Sessions, blanks, rod-hours, fish, and fish per 100 rod-hours with an interval."""
    result = rows.of(answers.logbook).summary(by, confidence, season_start(season_starts))
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import summary_text

    answer(summary_text(result, width_of_answers()))
