"""`rodhours plan next`: what each variant gains or costs, and which are worth more hours."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.choosing import (
    AdjustOption,
    AnglerOption,
    ConfidenceOption,
    MarginOption,
    MinWeightOption,
    OutcomeChoice,
    OutcomeOption,
    ReferenceOption,
    SinceOption,
    SpeciesOption,
    UntilOption,
    VenueOption,
    choose,
    comparison,
    read_stints,
)
from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers


def next_season(
    reference: ReferenceOption = None,
    ratio: Annotated[
        float, typer.Option(help="Hours to go are for a bait that is truly so many times as fast.")
    ] = 1.5,
    power: Annotated[
        float, typer.Option(help="The chance of settling it that you want to have.")
    ] = 0.8,
    adjust: AdjustOption = None,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    species: SpeciesOption = None,
    min_weight: MinWeightOption = None,
    outcome: OutcomeOption = OutcomeChoice.LANDED,
    confidence: ConfidenceOption = 0.95,
    margin: MarginOption = 1.25,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """What to fish next: which baits are worth more hours, which are not, and by which rule.

    Says what each variant gains or costs in fish per 100 rod-hours against the reference, which
    trips would mend what `check` found one-sided, and about how many trips are to go.
    """
    from rodhours.planning.next_season import next_season

    book, stints = read_stints(logbook)
    with book:
        chosen = choose(book, stints, since, until, venue, angler, species, min_weight, outcome)
        result = comparison(
            book,
            chosen,
            reference=reference,
            adjust=adjust,
            confidence=confidence,
            margin=margin,
        )
    for note in chosen.notes:
        talk(note.says)
    plan = next_season(chosen.stints, ratio=ratio, power=power, result=result)
    if as_json:
        answer_json(plan.to_dict())
        return
    from rodhours.report.planning_text import next_season_text

    answer(next_season_text(plan, width_of_answers()))
