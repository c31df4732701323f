"""One season: all results that its report is made from, and their machine form."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from rodhours.evidence.check import all_findings
from rodhours.evidence.response.respond import SeveralResponses, respond_to_several
from rodhours.evidence.result import OF_THE_LOG, Note
from rodhours.evidence.results import ComparisonResult, RateSummary
from rodhours.evidence.running import looks_of
from rodhours.evidence.running_result import RunningResult
from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.evidence.sizes import SizesResult, sizes
from rodhours.evidence.summary import summarise
from rodhours.planning.next_season import NextSeason, next_season
from rodhours.report.pictures.growth import looks_to_draw
from rodhours.report.tallies import date_span
from rodhours.simulate.rehearse import RehearsalResult
from rodhours.words.report import page_title
from rodhours.words.shown import plain

NOT_OF_WEIGHTS = ("min_weight_kg", "outcome")
"""Choices of fish that the weights are not chosen by."""


@dataclass(frozen=True)
class Season:
    """All results that one season's report is made from.

    `stints` is the stint frame that `result` and `summary` (by variant, at the confidence of
    `result`) were made from; what limits the answer are the notes of `result`. `responses` are the
    ingredients of its recipes, `sizes` the weights of its fish, where any was weighed, `running`
    the looks after its trips, `plan` what to fish next, `by_season` earlier seasons beside this
    one, and `rehearsal` what a season like it can tell; each is left out where it is None. Weights
    are shown in `units` (lb or kg); `made` is the day of the report. `compared` is `result` before
    the checks of the log added their findings to its notes, where that is known.
    """

    stints: pd.DataFrame
    result: ComparisonResult
    summary: RateSummary
    responses: SeveralResponses = SeveralResponses()  # noqa: RUF009 - frozen and empty
    sizes: SizesResult | None = None
    running: RunningResult | None = None
    plan: NextSeason | None = None
    by_season: SeasonBySeason | None = None
    rehearsal: RehearsalResult | None = None
    units: str = "lb"
    made: str = ""
    compared: ComparisonResult | None = None

    @property
    def title(self) -> str:
        """What the report is called: the stretch of dates."""
        return page_title(*date_span(self.stints))


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
    made: str = "",
    notes: Sequence[Note] = (),
) -> Season:
    """The season of the chosen `stints` and the comparison that was made from them.

    `everything` is the stint frame of the whole log (for what a choice of rows hides), `catches`
    the fish of the chosen sessions, `recipes` the variants table. `units` is lb or kg, `made` the
    day that the page names. `notes` are what the choice of rows and fish left out: every result
    knows what was chosen, as the commands that answer each question print it.
    """
    found = replace(result, notes=all_findings(result, stints, everything))
    several = respond_to_several(
        stints, recipes, result.adjusted_for, result.confidence, result.reference
    )
    knowing = [
        one.knowing(result.filters, notes, result.logbook_sha256 or "") for one in several.responses
    ]
    compared = bool(result.comparisons)
    most = looks_to_draw(len(result.comparisons))
    return Season(
        stints=stints,
        result=found,
        summary=summarise(stints, "variant", result.confidence).knowing(result.filters, notes),
        responses=replace(several, responses=tuple(knowing)),
        sizes=_sizes(catches, result, notes),
        running=looks_of(stints, result, most=most) if compared else None,
        plan=next_season(stints, adjust=result.adjusted_for, result=found) if compared else None,
        by_season=by_season,
        rehearsal=rehearsal,
        units=units,
        made=made,
        compared=result,
    )


def _sizes(
    catches: pd.DataFrame, result: ComparisonResult, notes: Sequence[Note]
) -> SizesResult | None:
    """Sizes of the landed fish, where any of them was weighed."""
    landed = catches[(catches["outcome"] == "landed") & catches["variant"].notna()]
    if not landed["weight"].notna().any():
        return None
    reference = result.reference if result.reference in set(landed["variant"]) else None
    chosen = {one: value for one, value in result.filters.items() if one not in NOT_OF_WEIGHTS}
    of_log = [note for note in notes if note.code in OF_THE_LOG]
    return sizes(catches, reference, result.confidence).knowing(chosen, of_log)


def season_machine(season: Season) -> dict[str, Any]:
    """The machine form of a season; a part that is not there is None.

    Each entry is the `to_dict` of its result: `compare` as `rodhours compare --json` prints it,
    `summary` (by variant), each of `response` (against the reference of `compare`), `sizes`, `next`
    and `rehearsal` as the commands of these names do, `running` as stands under that name in
    `compare --running --json`, at the looks that the page draws. `limits` are all notes that limit
    the answer, findings of the checks among them. Weights are kilograms, whatever the page shows.
    """
    compared = season.result if season.compared is None else season.compared

    def machine(result: Any) -> dict[str, Any] | None:
        return None if result is None else result.to_dict()

    return {
        "schema": 1,
        "title": season.title,
        "compare": machine(compared),
        "limits": plain(season.result.notes),
        "summary": machine(season.summary),
        "response": [machine(one) for one in season.responses.responses],
        "sizes": machine(season.sizes),
        "running": machine(season.running),
        "next": machine(season.plan),
        "rehearsal": machine(season.rehearsal),
        "seasons": machine(season.by_season),
    }
