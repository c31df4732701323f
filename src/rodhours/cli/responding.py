"""`rodhours response`: how the catch rate goes with a number of the recipe."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.choosing import (
    AdjustOption,
    AnglerOption,
    ConfidenceOption,
    MinWeightOption,
    OutcomeChoice,
    OutcomeOption,
    SinceOption,
    SpeciesOption,
    UntilOption,
    VenueOption,
    choose,
    read_stints,
)
from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, width_of_answers
from rodhours.errors import UsageError


def response(
    column: Annotated[
        str | None,
        typer.Argument(help="A number of the recipe, such as pellet_pct or size_mm."),
    ] = None,
    per: Annotated[
        float | None,
        typer.Option(
            help="The step to answer for, such as 10 points of pellet.", show_default=False
        ),
    ] = None,
    adjust: AdjustOption = None,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    species: SpeciesOption = None,
    min_weight: MinWeightOption = None,
    outcome: OutcomeOption = OutcomeChoice.LANDED,
    confidence: ConfidenceOption = 0.95,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Does more of an ingredient catch more fish? How many times as many for each step of it.

    Baits are compared within the same trips wherever the log allows it. The line through all
    baits, each bait by itself and how well the two agree stand beside each other.
    """
    book, stints = read_stints(logbook)
    with book:
        from rodhours.evidence.response.recipe_numbers import columns_that_differ
        from rodhours.evidence.response.respond import respond
        from rodhours.logbook.frames import variants_frame

        recipes = variants_frame(book)
        if column is None:
            found = ", ".join(columns_that_differ(recipes)) or "none yet"
            raise UsageError(
                "Name a number of the recipe: rodhours response COLUMN. "
                f"Those that differ between your baits: {found}."
            )
        chosen = choose(book, stints, since, until, venue, angler, species, min_weight, outcome)
        result = respond(
            chosen.stints,
            recipes,
            column,
            per=per,
            adjust=tuple(adjust or ()),
            confidence=confidence,
        )
        result = result.knowing(chosen.filters, chosen.notes, book.content_sha256())
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.response_text import response_text

    answer(response_text(result, width_of_answers()))
