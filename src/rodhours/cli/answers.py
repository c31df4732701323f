"""`rodhours summary`, `check`, `response` and `sizes`: one question, one answer."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import (
    AdjustOption,
    AgainstArgument,
    Answers,
    ConfidenceOption,
    ReferenceOption,
    Rows,
    RowsAndFish,
    SeasonStartsOption,
    SpeciesOption,
    UnitsOption,
    VariantArgument,
    asks,
    keep_reference,
    reference_of,
    season_start,
)
from rodhours.cli.output import answer, answer_json, width_of_answers
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.evidence.result import Result


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
    from rodhours.report.terminal import summary_text

    _tell(result, answers, summary_text)


@asks
def check(
    variant: VariantArgument = None,
    against: AgainstArgument = None,
    *,
    reference: ReferenceOption = None,
    rows: RowsAndFish,
    answers: Answers,
) -> None:
    """What could still fool you: what was found, how much it could move the answer, what to do.

    Gaps are looked for in the whole logbook, whichever rows are chosen.
    """
    named = reference_of(against, reference)
    asked = rows.of(answers.logbook)
    result = asked.check(named, variant)
    keep_reference(asked, reference, result.reference if against is None else None)
    from rodhours.report.terminal import findings_text

    _tell(result, answers, findings_text)


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
    from rodhours.report.terminal import response_text

    _tell(result, answers, response_text)


@asks
def sizes(
    variant: VariantArgument = None,
    against: AgainstArgument = None,
    reference: ReferenceOption = None,
    species: SpeciesOption = None,
    units: UnitsOption = None,
    *,
    rows: Rows,
    confidence: ConfidenceOption = 0.95,
    answers: Answers,
) -> None:
    """Did one bait bring bigger fish? Weights by variant, of the fish that were weighed.

    Typical weights are compared with fish of one trip allowed to be alike.
    """
    named = reference_of(against, reference)
    asked = rows.of(answers.logbook)
    result = asked.sizes(named, species, confidence, variant)
    keep_reference(asked, reference, result.reference if against is None else None)
    from rodhours.report.terminal import sizes_text

    _tell(result, answers, partial(sizes_text, units=units or asked.log.weight_unit))


def _tell(result: Result, answers: Answers, text: Callable[..., str]) -> None:
    """The answer for a machine, or its text for a person."""
    if answers.as_json:
        answer_json(result.to_dict())
    else:
        answer(text(result, width=width_of_answers()))
