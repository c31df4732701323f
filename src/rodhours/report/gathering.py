"""All results of one season's report, from its stints, its fish and its recipes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from rodhours.evidence.check import all_findings
from rodhours.evidence.ingredients.several import SeveralResponses, respond_to_several
from rodhours.evidence.looks.running import looks_of
from rodhours.evidence.result import Note, order_notes
from rodhours.evidence.results import ComparisonResult
from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.evidence.sizes import SizesResult, sizes
from rodhours.evidence.summary import summarise
from rodhours.planning.next_season import next_season
from rodhours.report.contents import Season
from rodhours.report.figures.growth import looks_to_draw
from rodhours.simulate.rehearse import RehearsalResult

NOT_OF_WEIGHTS = ("min_weight_kg", "outcome")
"""Choices of fish that the weights are not chosen by."""


def gather(
    stints: pd.DataFrame,
    result: ComparisonResult,
    *,
    everything: pd.DataFrame,
    catches: pd.DataFrame,
    recipes: pd.DataFrame,
    rehearsal: RehearsalResult | None = None,
    by_season: SeasonBySeason | None = None,
    units: str = "lb",
    notes: Sequence[Note] = (),
) -> Season:
    """The season of the chosen `stints` and the comparison that was made from them.

    `everything` is the stint frame of the whole log (for what a choice of rows hides), `catches`
    the fish of the chosen sessions, `recipes` the variants table. `units` is lb or kg. `notes` are
    what the choice of rows and fish left out: every result knows what was chosen, as the commands
    that answer each question print it.
    """
    found = replace(result, notes=all_findings(result, stints, everything))
    compared = bool(result.comparisons)
    most = looks_to_draw(len(result.comparisons))
    return Season(
        stints=stints,
        result=found,
        summary=replace(
            summarise(stints, "variant", result.confidence),
            filters=result.filters,
            notes=tuple(notes),
        ),
        responses=_responses(stints, recipes, result, notes),
        sizes=_sizes(catches, result, notes),
        running=looks_of(stints, result, most=most) if compared else None,
        plan=next_season(stints, adjust=result.adjusted_for, result=found) if compared else None,
        by_season=by_season,
        rehearsal=rehearsal,
        units=units,
        compared=result,
    )


def _responses(
    stints: pd.DataFrame, recipes: pd.DataFrame, result: ComparisonResult, notes: Sequence[Note]
) -> SeveralResponses:
    """The ingredients, each knowing what was chosen and which logbook it came from."""
    several = respond_to_several(stints, recipes, result.adjusted_for, result.confidence)
    told = [
        replace(one, notes=order_notes([*notes, *one.notes])).with_source(
            result.filters, result.logbook_sha256 or ""
        )
        for one in several.responses
    ]
    return replace(several, responses=tuple(told))


def _sizes(
    catches: pd.DataFrame, result: ComparisonResult, notes: Sequence[Note]
) -> SizesResult | None:
    """Sizes of the landed fish, where any of them was weighed."""
    landed = catches[(catches["outcome"] == "landed") & catches["variant"].notna()]
    if not landed["weight"].notna().any():
        return None
    reference = result.reference if result.reference in set(landed["variant"]) else None
    found = sizes(catches, reference, result.confidence)
    chosen = {one: value for one, value in result.filters.items() if one not in NOT_OF_WEIGHTS}
    told = [one for one in notes if one.code == "left_out"]
    return replace(found.with_filters(chosen), notes=order_notes([*told, *found.notes]))
