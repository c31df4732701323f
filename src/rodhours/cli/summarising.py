"""`rodhours summary`: sessions, blanks, rod-hours, fish and catch rates by group."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from rodhours.cli.choosing import (
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


class Grouping(StrEnum):
    """What a summary can be by."""

    VARIANT = "variant"
    VENUE = "venue"
    MONTH = "month"
    ROD = "rod"
    ANGLER = "angler"


def summary(
    by: Annotated[Grouping, typer.Option(help="What to group the stints by.")] = Grouping.VARIANT,
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
    """Sessions, blanks, rod-hours, fish, and fish per 100 rod-hours with an interval."""
    book, stints = read_stints(logbook)
    with book:
        chosen = choose(book, stints, since, until, venue, angler, species, min_weight, outcome)
    from rodhours.evidence.summary import summarise

    result = summarise(chosen.stints, by.value, confidence).knowing(chosen.filters, chosen.notes)
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import summary_text

    answer(summary_text(result, width_of_answers()))
