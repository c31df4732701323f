"""`rodhours response`: how the catch rate goes with a number of the recipe."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.options import AdjustOption, Answers, ConfidenceOption, RowsAndFish, asks
from rodhours.cli.output import answer, answer_json, width_of_answers
from rodhours.errors import UsageError


@asks
def response(
    column: Annotated[
        str | None, typer.Argument(help="A number of the recipe, such as pellet_pct or size_mm.")
    ] = None,
    per: Annotated[
        float | None, typer.Option(help="The step to answer for, such as 10 points of pellet.")
    ] = None,
    adjust: AdjustOption = None,
    *,
    rows: RowsAndFish,
    confidence: ConfidenceOption = 0.95,
    answers: Answers,
) -> None:
    """Does more of an ingredient catch more fish? How many times as many for each step of it.

    Baits are compared within the same trips wherever the log allows it. The line through all
    baits, each bait by itself and how well the two agree stand beside each other.
    """
    asked = rows.of(answers.logbook)
    if column is None:
        from rodhours.evidence.response.recipe_numbers import columns_that_differ

        raise UsageError(
            "Name a number of the recipe: rodhours response COLUMN. Those that differ between "
            f"your baits: {', '.join(columns_that_differ(asked.log.recipes)) or 'none yet'}."
        )
    result = asked.response(column, per, adjust or (), confidence)
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import response_text

    answer(response_text(result, width_of_answers()))
