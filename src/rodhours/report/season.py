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
from rodhours.report.figures import (
    catch_rates,
    cumulative_fish,
    headline_ratios,
    rate_ratios,
    where_hours_went,
)
from rodhours.report.parts import (
    Part,
    Told,
    ingredient_parts,
    part,
    rehearsal_part,
    sizes_part,
)
from rodhours.report.tallies import (
    best_trip,
    contributions,
    cumulative,
    date_span,
    hours_by_place,
    largest_gap,
    trips,
    variant_order,
)
from rodhours.report.unbroken import LONGEST, pieces
from rodhours.wording import answer as answers
from rodhours.wording import report as words
from rodhours.wording.gathering import gathered
from rodhours.wording.numbers import MISSING, confidence_level, count, hours, margin_text, number
from rodhours.wording.wanted import counted_here

MOST_WATERS_NAMED = 6


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
) -> str:
    """The whole page as HTML.

    `stints` is the stint frame that `result` and `summary` (by variant, at the confidence of
    `result`) were made from; what limits the answer are the notes of `result`. `responses` are
    the ingredients of its recipes, `sizes` the weights of its fish, where any was weighed, and
    `rehearsal` what a season like it can tell. Raises ValueError where `stints` is empty.
    """
    if stints.empty:
        raise ValueError("a season page needs at least one stint")
    variants = {str(name) for name in stints["variant"].unique()} | {result.reference}
    page: str = _template(variants).render(
        title=title,
        logbook_sha256=logbook_sha256,
        version=version,
        **_content(stints, result, summary, responses or SeveralResponses(), sizes, rehearsal),
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
    return re.sub(r"(?<=\d) (?=%|(?:ml|mm|kg|g|lb|oz|s)\b|°C)", "\u00a0", text)


def _content(
    stints: pd.DataFrame,
    result: ComparisonResult,
    summary: RateSummary,
    responses: SeveralResponses,
    sizes: SizesResult | None,
    rehearsal: RehearsalResult | None,
) -> dict[str, Any]:
    order = variant_order(stints, result)
    machine = result.to_dict()
    compared = machine["comparisons"]
    family = len(compared)
    told = Told()
    notes = told.new(machine["notes"])
    has_ratio = bool(compared)
    return {
        "tally": answers.tally(compared, result.reference) if family > 1 else None,
        "answers": [
            {
                "says": answers.headline(one, result.reference, result.confidence, result.margin),
                "rests_on": answers.rests_on(one, result.reference),
            }
            for one in compared
        ],
        "nothing_to_compare": words.nothing_to_compare(order),
        "answer_picture": headline_ratios(result, order) if has_ratio else None,
        "together": words.together(result.confidence, family),
        "adjusted": words.adjusted(result.adjusted_for),
        "worst": notes[0] if notes and compared else None,
        "fished": _fished(stints, summary),
        "one_anglers_trips": words.ONE_ANGLERS_TRIPS,
        "counted": counted_here(result.filters),
        "parts": [
            *_parts(stints, result, summary, order),
            *ingredient_parts(responses, told),
            *([] if sizes is None else [sizes_part(sizes, told)]),
            *([] if rehearsal is None else [rehearsal_part(rehearsal)]),
        ],
        "limits_heading": words.limits_heading(
            [severity for severity, _ in gathered(machine["notes"])]
        ),
        "notes": notes,
        "nothing_limits": words.NOTHING_LIMITS,
        "method": words.method(result.confidence, result.margin),
        "models": _models(result),
        "provenance": _provenance(stints, result),
        "glossary": words.GLOSSARY,
        "cautions": words.CAUTIONS,
    }


def _fished(stints: pd.DataFrame, summary: RateSummary) -> dict[str, Any]:
    total = summary.total
    venues = stints["venue"].dropna().astype(str) if "venue" in stints else pd.Series(dtype=str)
    names = list(venues.value_counts(sort=True).index)
    waters = ", ".join(names[:MOST_WATERS_NAMED])
    if len(names) > MOST_WATERS_NAMED:
        waters += f" and {count(len(names) - MOST_WATERS_NAMED, 'water')} more"
    first, last = date_span(stints)
    facts = [
        ("Trips", f"{total.sessions:,}, {count(total.blanks, 'blank')}"),
        ("Stints", f"{total.stints:,}"),
        ("Rod-hours", hours(total.rod_hours).split()[0]),
        ("Fish", f"{total.fish:,}"),
        ("Variants", ", ".join(sorted(stints["variant"].astype(str).unique()))),
        ("Waters", waters or "not logged"),
        ("Dates", f"{first} to {last}" if first else "not logged"),
    ]
    return {
        "heading": words.fished_heading(total.sessions, total.blanks, total.rod_hours, total.fish),
        "says": words.fished_text(
            total.sessions, total.sessions - total.blanks, total.per_100_rod_hours, len(names)
        ),
        "facts": facts,
        "anglers": _contributions(stints),
    }


def _contributions(stints: pd.DataFrame) -> list[tuple[str, ...]]:
    """Who fished how much and caught what; empty where no more than one angler did."""
    table = contributions(stints)
    if len(table) < 2:
        return []
    return [
        (str(angler), f"{trip_count:,}", hours(float(rod_hours)).split()[0], f"{fish:,}")
        for angler, trip_count, rod_hours, fish in table.to_numpy(dtype=object)
    ]


def _parts(
    stints: pd.DataFrame,
    result: ComparisonResult,
    summary: RateSummary,
    order: list[str],
) -> list[Part]:
    reference = result.reference
    places = hours_by_place(stints, order)
    effects = {
        note.variant: "flatters"
        if note.numbers["all_trips_ratio"] > note.numbers["same_trips_ratio"]
        else "hides"
        for note in result.notes
        if note.code == "favourite_conditions" and note.variant is not None
    }
    parts = [
        part(
            "rates",
            words.rates_heading([vars(row) for row in summary.rows]),
            catch_rates(summary, order, reference, result.confidence),
        )
    ]
    if result.comparisons:
        parts.append(
            part(
                "ratios",
                words.ratios_heading(result.to_dict()["comparisons"], effects),
                rate_ratios(result, order),
            )
        )
    known = places.has_dates or places.has_venues
    parts.append(
        part(
            "hours",
            words.hours_heading(largest_gap(places, reference), len(order), known),
            where_hours_went(stints, order, reference),
        )
    )
    jump = best_trip(cumulative(stints, order))
    parts.append(
        part(
            "cumulative",
            words.cumulative_heading(jump),
            cumulative_fish(stints, order, reference),
        )
    )
    return parts


def _models(result: ComparisonResult) -> list[dict[str, str]]:
    return [
        {
            "basis": model.basis,
            "sessions": f"{model.sessions:,}",
            "cells": f"{model.cells:,}",
            "df": f"{model.df:,}",
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
    return [
        ("Rows", f"{count(len(stints), 'stint')} on {count(trip_count, 'trip')}"),
        ("Chosen", words.filter_words(result.filters)),
        ("Reference", result.reference),
        ("Confidence", confidence_level(result.confidence)),
        ("Margin", f"{margin_text(result.margin)} times either way"),
        ("Adjusted for", ", ".join(result.adjusted_for) or "nothing"),
    ]
