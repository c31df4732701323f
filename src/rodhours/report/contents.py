"""What one season's report says, in order, whatever form it is given: page, text or paper.

Sentences come from wording, pictures from figures; this file decides their order alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pandas as pd

from rodhours.evidence.ingredients.several import SeveralResponses
from rodhours.evidence.looks.results import RunningResult
from rodhours.evidence.results import ComparisonResult, RateSummary
from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.evidence.sizes import SizesResult
from rodhours.planning.next_season import NextSeason
from rodhours.report.figures import (
    catch_rates,
    cumulative_fish,
    evidence_growth,
    rate_ratios,
    season_calendar,
)
from rodhours.report.first_screen import any_ratio, first_screen
from rodhours.report.parts import (
    Part,
    Table,
    Told,
    fish_parts,
    growth_part,
    ingredient_parts,
    next_part,
    part,
    rehearsal_part,
    seasons_part,
    table,
)
from rodhours.report.tables import anglers_table
from rodhours.report.tallies import (
    Landed,
    best_trip,
    contributions,
    cumulative,
    date_span,
    hours_by_place,
    landed_and_lost,
    largest_gap,
    logged,
    trips,
    variant_order,
)
from rodhours.simulate.rehearse import RehearsalResult
from rodhours.wording import answer as answers
from rodhours.wording import report as words
from rodhours.wording.gathering import gathered
from rodhours.wording.numbers import MISSING, confidence_level, count, margin_text, number
from rodhours.wording.wanted import counted_here, wanted_fish

MOST_WATERS_NAMED = 6
MOST_SENTENCES = 4
"""More answers than these stand one click away; the picture has them all."""


@dataclass(frozen=True)
class Season:
    """All results that one season's report is made from.

    `stints` is the stint frame that `result` and `summary` (by variant, at the confidence of
    `result`) were made from; what limits the answer are the notes of `result`. `responses` are
    the ingredients of its recipes, `sizes` the weights of its fish, where any was weighed,
    `running` the looks after its trips, `plan` what to fish next, `by_season` earlier seasons
    beside this one, and `rehearsal` what a season like it can tell; each is left out where it is
    None. Weights are shown in `units` (lb or kg). `compared` is `result` before the checks of the
    log added their findings to its notes, where that is known.
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
    compared: ComparisonResult | None = None

    @property
    def title(self) -> str:
        """What the report is called: the stretch of dates."""
        return words.page_title(*date_span(self.stints))


def season_content(season: Season) -> dict[str, Any]:
    """Everything that the report says, part by part.

    Raises ValueError where there is no stint.
    """
    stints, result = season.stints, season.result
    if stints.empty:
        raise ValueError("a season's report needs at least one stint")
    order = variant_order(stints, result)
    machine = result.to_dict()
    told = Told()
    notes = told.new(machine["notes"])
    plan = None if season.plan is None else season.plan.to_dict()
    landed = _landed(stints, result, order)
    parts = _parts(season, order)
    next_season = season.plan
    further = [next_part(next_season)] if next_season and next_season.variants else []
    return {
        "title": season.title,
        **first_screen(result, order, plan),
        "worst": notes[0] if notes and result.comparisons else None,
        "counted": counted_here(result.filters),
        "parts": [
            *parts,
            *ingredient_parts(season.responses, told),
            *fish_parts(season.sizes, landed, told, season.units),
            *([] if season.by_season is None else [seasons_part(season.by_season, order)]),
            *([] if season.rehearsal is None else [rehearsal_part(season.rehearsal)]),
        ],
        "limits_heading": words.limits_heading(
            [severity for severity, _ in gathered(machine["notes"])]
        ),
        "notes": notes,
        "nothing_limits": words.NOTHING_LIMITS,
        "further": further,
        "method": words.method(
            result.confidence,
            result.margin,
            growth=any(one.anchor == "growth" for one in parts),
            planned=bool(further),
        ),
        "models": _models(result),
        "provenance": _provenance(stints, result),
        "logbook_sha256": result.logbook_sha256 or "",
        "version": result.version,
        "fixed": words.FIXED,
        "glossary": words.GLOSSARY,
        "cautions": words.CAUTIONS,
    }


def _landed(stints: pd.DataFrame, result: ComparisonResult, order: list[str]) -> Landed | None:
    """Lost against landed, where the fish of the page are all fish landed."""
    return None if wanted_fish(result.filters) else landed_and_lost(stints, order)


def _anglers(stints: pd.DataFrame) -> list[Table]:
    """Who fished how much and caught what; empty where no more than one angler did."""
    who = contributions(stints)
    if len(who) < 2:
        return []
    return [table("anglers", words.WHO, anglers_table(who), words.ONE_ANGLERS_TRIPS)]


def _parts(season: Season, order: list[str]) -> list[Part]:
    """The parts about catch rates and about where and when the hours went."""
    stints, result, summary = season.stints, season.result, season.summary
    reference = result.reference
    total = summary.total
    parts = [
        part(
            "rates",
            words.rates_heading([vars(row) for row in summary.rows]),
            catch_rates(summary, order, reference, result.confidence),
            [
                words.fished_text(
                    total.sessions,
                    total.blanks,
                    total.rod_hours,
                    total.fish,
                    total.per_100_rod_hours,
                    int(logged(stints, "venue").nunique()),
                )
            ],
            tables=_anglers(stints),
        )
    ]
    if result.comparisons:
        parts.append(_ratios(result, order))
    growth = None if season.running is None else evidence_growth(season.running, order)
    best = best_trip(cumulative(stints, order))
    if season.running is not None and growth is not None:
        parts.append(growth_part(season.running, growth))
    elif best is not None:
        parts.append(
            part(
                "cumulative",
                words.cumulative_heading(best),
                cumulative_fish(stints, order, reference),
            )
        )
    places = hours_by_place(stints, order)
    known = places.has_dates or places.has_venues
    parts.append(
        part(
            "hours",
            words.hours_heading(largest_gap(places, reference), len(order), known),
            season_calendar(stints, order, reference),
        )
    )
    return parts


def _ratios(result: ComparisonResult, order: list[str]) -> Part:
    """Rate ratios on all bases; where they are several, each answer in its own sentence."""
    machine = result.to_dict()["comparisons"]
    effects = {
        note.variant: "flatters"
        if note.numbers["all_trips_ratio"] > note.numbers["same_trips_ratio"]
        else "hides"
        for note in result.notes
        if note.code == "favourite_conditions" and note.variant is not None
    }
    sentences = [
        f"{headline} {answers.rests_on(one, result.reference)}"
        for headline, one in zip(result.headlines, machine, strict=True)
    ]
    # The first screen has the sentence where it is the only one.
    few = 1 < len(machine) <= MOST_SENTENCES
    heading = words.ratios_heading(machine, effects)
    folded = sentences if len(machine) > MOST_SENTENCES else []
    if not any_ratio(result):
        return Part("ratios", heading, says=tuple(sentences if few else []), folded=tuple(folded))
    return part(
        "ratios",
        heading,
        rate_ratios(result, order),
        beneath=[words.adjusted(result.adjusted_for), *(sentences if few else [])],
        folded=folded,
    )


def _models(result: ComparisonResult) -> list[dict[str, str]]:
    return [
        {
            "basis": model.basis,
            "sessions": f"{model.sessions:,}",
            "cells": MISSING if model.cells is None else f"{model.cells:,}",
            "df": MISSING if model.df is None else f"{model.df:,}",
            "session_sd": _figure(model.session_sd, 2),
            "clumping": _figure(model.clumping, 2),
            "log_likelihood": _figure(model.log_likelihood, 2),
            "says": words.model_words(model.session_sd, model.clumping),
        }
        for model in result.models
    ]


def _figure(value: float | None, decimals: int) -> str:
    return MISSING if value is None else number(value, decimals)


def _provenance(stints: pd.DataFrame, result: ComparisonResult) -> list[tuple[str, str]]:
    trip_count = int(trips(stints).nunique())
    first, last = date_span(stints)
    return [
        ("Rows", f"{count(len(stints), 'stint')} on {count(trip_count, 'trip')}"),
        ("Dates", f"{first} to {last}" if first else "not logged"),
        ("Waters", _waters(stints)),
        ("Chosen", words.filter_words(result.filters)),
        ("Reference", result.reference),
        ("Confidence", confidence_level(result.confidence)),
        ("Margin", f"{margin_text(result.margin)} times either way"),
        ("Adjusted for", ", ".join(result.adjusted_for) or "nothing"),
    ]


def _waters(stints: pd.DataFrame) -> str:
    """The waters with most stints by name, the rest as a number."""
    names = list(logged(stints, "venue").dropna().astype(str).value_counts().index)
    waters = ", ".join(names[:MOST_WATERS_NAMED])
    if len(names) > MOST_WATERS_NAMED:
        waters += f" and {count(len(names) - MOST_WATERS_NAMED, 'water')} more"
    return waters or "not logged"
