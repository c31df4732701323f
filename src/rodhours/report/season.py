"""One season's page: gathers the answer, the pictures and their tables, and fills the template.

Sentences come from wording, pictures from figures; this file decides their order alone.
The page is one HTML file that asks for nothing, and the same bytes for the same input.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from importlib.resources import files
from typing import Any

import pandas as pd
from jinja2 import Environment, StrictUndefined, Template

from rodhours.evidence.ingredients.several import SeveralResponses
from rodhours.evidence.rehearsal import RehearsalResult
from rodhours.evidence.results import ComparisonResult, RateSummary
from rodhours.evidence.sizes import SizesResult
from rodhours.report.figures import catch_rates, cumulative_fish, rate_ratios, season_calendar
from rodhours.report.first_screen import any_ratio, first_screen
from rodhours.report.parts import (
    Part,
    Table,
    Told,
    fish_parts,
    ingredient_parts,
    part,
    rehearsal_part,
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
from rodhours.report.unbroken import LONGEST, pieces
from rodhours.wording import answer as answers
from rodhours.wording import report as words
from rodhours.wording.gathering import gathered
from rodhours.wording.numbers import MISSING, confidence_level, count, margin_text, number
from rodhours.wording.wanted import counted_here, wanted_fish

MOST_WATERS_NAMED = 6
MOST_SENTENCES = 4
"""More answers than these stand one click away; the picture has them all."""


def season_page(
    stints: pd.DataFrame,
    result: ComparisonResult,
    summary: RateSummary,
    *,
    title: str,
    logbook_sha256: str,
    version: str,
    responses: SeveralResponses | None = None,
    sizes: SizesResult | None = None,
    rehearsal: RehearsalResult | None = None,
    more_rod_hours: float | None = None,
) -> str:
    """The whole page as HTML.

    `stints` is the stint frame that `result` and `summary` (by variant, at the confidence of
    `result`) were made from; what limits the answer are the notes of `result`. `responses` are
    the ingredients of its recipes, `sizes` the weights of its fish, where any was weighed, and
    `rehearsal` what a season like it can tell. `more_rod_hours` are those with the leading variant
    (`leading_variant`) and the reference on the same trips that would settle it. Raises
    ValueError where `stints` is empty.
    """
    if stints.empty:
        raise ValueError("a season page needs at least one stint")
    variants = {str(name) for name in stints["variant"].unique()} | {result.reference}
    page: str = _template(variants).render(
        title=title,
        logbook_sha256=logbook_sha256,
        version=version,
        **_content(
            stints,
            result,
            summary,
            responses or SeveralResponses(),
            sizes,
            rehearsal,
            more_rod_hours,
        ),
    )
    return page


def _template(variants: Collection[str]) -> Template:
    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals["longest"] = LONGEST
    environment.filters["pieces"] = lambda text: [
        (piece if whole else _tied(piece), whole) for piece, whole in pieces(str(text), variants)
    ]
    source = files("rodhours.report").joinpath("season.html.j2").read_text(encoding="utf-8")
    return environment.from_string(source)


def _tied(text: str) -> str:
    """A sentence whose numbers do not part from their unit at the end of a line."""
    text = re.sub(r"(?<=\d) (?=%|(?:ml|mm|kg|g|lb|oz|s)\b|°C)", "\u00a0", text)
    return re.sub(r"\bp ([=<]) (?=\d)", "p\u00a0\\1\u00a0", text)


def _content(
    stints: pd.DataFrame,
    result: ComparisonResult,
    summary: RateSummary,
    responses: SeveralResponses,
    sizes: SizesResult | None,
    rehearsal: RehearsalResult | None,
    more_rod_hours: float | None,
) -> dict[str, Any]:
    order = variant_order(stints, result)
    machine = result.to_dict()
    told = Told()
    notes = told.new(machine["notes"])
    return {
        **first_screen(result, order, more_rod_hours),
        "worst": notes[0] if notes and result.comparisons else None,
        "counted": counted_here(result.filters),
        "parts": [
            *_parts(stints, result, summary, order),
            *ingredient_parts(responses, told),
            *fish_parts(sizes, _landed(stints, result, order), told),
            *([] if rehearsal is None else [rehearsal_part(rehearsal)]),
        ],
        "limits_heading": words.limits_heading(
            [severity for severity, _ in gathered(machine["notes"])]
        ),
        "notes": notes,
        "nothing_limits": words.NOTHING_LIMITS,
        "further": _further(),
        "method": words.method(result.confidence, result.margin),
        "models": _models(result),
        "provenance": _provenance(stints, result),
        "glossary": words.GLOSSARY,
        "cautions": words.CAUTIONS,
    }


def _further() -> list[Part]:
    """Parts that stand after the checks: what to fish next belongs here."""
    return []


def _landed(stints: pd.DataFrame, result: ComparisonResult, order: list[str]) -> Landed | None:
    """Lost against landed, where the fish of the page are all fish landed."""
    return None if wanted_fish(result.filters) else landed_and_lost(stints, order)


def _anglers(stints: pd.DataFrame) -> list[Table]:
    """Who fished how much and caught what; empty where no more than one angler did."""
    who = contributions(stints)
    if len(who) < 2:
        return []
    return [table("anglers", words.WHO, anglers_table(who), words.ONE_ANGLERS_TRIPS)]


def _parts(
    stints: pd.DataFrame,
    result: ComparisonResult,
    summary: RateSummary,
    order: list[str],
) -> list[Part]:
    """The parts about catch rates and about where and when the hours went."""
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
    # How the evidence grew over the season belongs here, and then the cumulative fish may go.
    best = best_trip(cumulative(stints, order))
    if best is not None:
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
    together = words.together(result.confidence, len(machine))
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
        beneath=[f"{together} {words.adjusted(result.adjusted_for)}", *(sentences if few else [])],
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
