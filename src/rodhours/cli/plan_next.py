"""`rodhours plan next`: what each variant gains or costs, and which are worth more hours."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from rodhours.cli.mix import costs_a_bait
from rodhours.cli.options import (
    AdjustOption,
    Answers,
    Intervals,
    ReferenceOption,
    RowsAndFish,
    asks,
    keep_reference,
    talk_notes,
)
from rodhours.cli.output import answer, answer_json, width_of_answers


@asks
def next_season(
    reference: ReferenceOption = None,
    ratio: Annotated[
        float, typer.Option(help="Hours to go are for a bait that is truly so many times as fast.")
    ] = 1.5,
    power: Annotated[
        float, typer.Option(help="The chance of settling it that you want to have.")
    ] = 0.8,
    adjust: AdjustOption = None,
    *,
    rows: RowsAndFish,
    intervals: Intervals,
    answers: Answers,
) -> None:
    """What to fish next: which baits are worth more hours, which are not, and by which rule.

    Says what each variant gains or costs in fish per 100 rod-hours against the reference, which
    trips would mend what `check` found one-sided, and about how many trips are to go.
    """
    asked = rows.of(answers.logbook)
    talk_notes(asked.notes)
    plan = asked.next_season(reference, ratio, power, adjust=adjust or (), **vars(intervals))
    plan = replace(plan, cost_a_bait=costs_a_bait(answers.logbook))
    keep_reference(asked, reference, plan.reference)
    if answers.as_json:
        answer_json(plan.to_dict())
        return
    from rodhours.report.planning_text import next_season_text

    answer(next_season_text(plan, width_of_answers()))
