"""The season's report as one HTML page that asks for nothing: the same bytes for the same input.

Sentences come from the words, pictures from `pictures`; this file decides their order alone.
"""

from __future__ import annotations

from typing import Any

import pandas as pd

from rodhours.evidence.results import ComparisonResult, FittedModel
from rodhours.planning.next_season import NextSeason
from rodhours.report.pictures import headline_ratios
from rodhours.report.pictures.variant_style import Styles, variant_styles
from rodhours.report.season import Season
from rodhours.report.sections import (
    Section,
    Told,
    batches_sections,
    fish_sections,
    growth_sections,
    hours_section,
    ingredient_sections,
    next_section,
    rates_section,
    ratios_section,
    rehearsal_section,
    seasons_section,
    table,
)
from rodhours.report.tables import has_ratio
from rodhours.report.tallies import date_span, landed_and_lost, logged, trips, variant_order
from rodhours.report.templates import LONGEST, template
from rodhours.words import answer as answers
from rodhours.words import report as words
from rodhours.words.fish_counted import counted_here, wanted_fish
from rodhours.words.notes import WHAT_LIMITS, gathered
from rodhours.words.numbers import MISSING, confidence_level, count, margin_text, number
from rodhours.words.planning_next import WHAT_SETTLES, settles

MOST_WATERS_NAMED = 6
_KNOWN = {
    "longest": LONGEST,
    "names": words.NAMES,
    "glossary": words.GLOSSARY,
    "cautions": words.CAUTIONS,
    "nothing_limits": words.NOTHING_LIMITS,
    "what_limits": WHAT_LIMITS,
    "what_settles": WHAT_SETTLES,
    "model_columns": words.MODEL_COLUMNS,
    "rows_left_out": words.ROWS_LEFT_OUT.format,
    "saved_as": words.SAVED_AS.format,
}
"""What the template says in the same words, whatever the season."""


def season_page(season: Season) -> str:
    """The whole page. Raises ValueError where the season has no stint."""
    variants = {str(name) for name in season.stints["variant"].unique()}
    names = variants | {season.result.reference}
    page: str = template("page.html.j2", _KNOWN, names).render(_outline(season))
    return page


def _outline(season: Season) -> dict[str, Any]:
    """Everything that the page says, as the template asks for it by name.

    `worst` is the note that limits the answer most, `notes` are all of them; `further` is what
    follows from the answer. `contents` are the parts by anchor and name, `commands` what the
    program is asked to see more.
    """
    stints, result = season.stints, season.result
    if stints.empty:
        raise ValueError("a season's report needs at least one stint")
    styles = variant_styles(variant_order(stints, result), result.reference, result.settled)
    told = Told()
    notes = told.notes(result.notes)
    plan = season.plan
    further = [told.passed_on(next_section(plan))] if plan and plan.variants else []
    sections = [told.passed_on(one) for one in _sections(season, styles, told)]
    names = words.NAMES
    contents = [("limits", names["limits"]), *((one.anchor, one.name) for one in further)]
    contents += [(one.anchor, one.name) for one in sections]
    contents += [(name, names[name]) for name in ("method", "provenance", "glossary")]
    return {
        "title": season.title,
        "first": first_screen(result, styles, plan),
        "counted": counted_here(result.filters),
        "worst": notes[0] if notes and result.comparisons else None,
        "limits_heading": words.limits_heading(
            [severity for severity, _ in gathered(result.notes)]
        ),
        "notes": notes,
        "further": further,
        "sections": sections,
        "contents": contents,
        "method": words.method(
            result.confidence,
            result.margin,
            growth=any(one.anchor == "growth" for one in sections),
            planned=bool(further),
        ),
        "models": [_model(one) for one in result.models],
        "provenance": _provenance(stints, result),
        "commands": (words.command_of(result), *dict.fromkeys(told.commands)),
        "cited": words.cited(
            season.title, result.version, season.made, result.logbook_sha256 or ""
        ),
        "logbook_sha256": result.logbook_sha256 or "",
        "version": result.version,
    }


def _sections(season: Season, styles: Styles, told: Told) -> list[Section]:
    """What lies behind the answer, part by part."""
    stints, result = season.stints, season.result
    # Lost against landed only where the fish of the page are all fish landed.
    landed = None if wanted_fish(result.filters) else landed_and_lost(stints, list(styles))
    return [
        *([ratios_section(result, styles)] if result.comparisons else []),
        *growth_sections(season.running, styles),
        hours_section(stints, result.reference, styles),
        *ingredient_sections(season.responses, result, styles, told),
        *fish_sections(season.sizes, landed, styles, told, season.units),
        *([] if season.by_season is None else [seasons_section(season.by_season, styles)]),
        *([] if season.rehearsal is None else [rehearsal_section(season.rehearsal)]),
        rates_section(season.summary, stints, styles),
        *batches_sections(stints),
    ]


def _model(model: FittedModel) -> dict[str, Any]:
    """A fitted model: its basis, what it says, and its figures under `words.MODEL_COLUMNS`."""
    counts = (model.sessions, model.cells, model.df)
    figures = (model.session_sd, model.clumping, model.log_likelihood)
    shown = [MISSING if value is None else f"{value:,}" for value in counts]
    shown += [MISSING if value is None else number(value, 2) for value in figures]
    return {"basis": model.basis, "says": words.model_words(model), "figures": shown}


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
    more = len(names) - MOST_WATERS_NAMED
    rest = f" and {count(more, 'water')} more" if more > 0 else ""
    return f"{', '.join(names[:MOST_WATERS_NAMED])}{rest}" or "not logged"


def first_screen(
    result: ComparisonResult, styles: Styles, plan: NextSeason | None = None
) -> dict[str, Any]:
    """What stands before the first section; `styles` are those of all pictures.

    `plan` is what to fish next: how much would settle it.
    """
    answered = result.comparisons
    if not answered:
        lead, rests = answers.nothing_to_compare(list(styles)), ""
    elif len(answered) == 1:
        lead = answers.headline(answered[0], result)
        rests = answers.rests_on(answered[0], result.reference)
    else:
        lead, rests = answers.tally(result, numbers=False), answers.rest_on(result)
    drawn = any(has_ratio(one) for one in answered)
    picture = headline_ratios(result, styles) if drawn else None
    return {
        "question": answers.question(result),
        "lead": lead,
        "rests_on": rests,
        "picture": picture,
        "numbers": None
        if picture is None
        else table("answer", "Numbers: the answer", picture.table),
        "adjusted": words.adjusted(result.adjusted_for) if result.adjusted_for else "",
        "settles": settles(plan) if plan else "",
    }
