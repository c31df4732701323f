"""What one season's page says, section by section, as a frozen value: free of any layout.

Sentences come from the words, pictures from `pictures`; this file decides their order alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from rodhours.evidence.results import ComparisonResult, FittedModel
from rodhours.planning.next_season import NextSeason
from rodhours.report.pictures import Picture, headline_ratios
from rodhours.report.pictures.variant_style import Styles, variant_styles
from rodhours.report.season import Season
from rodhours.report.sections import (
    NoteShown,
    Section,
    Table,
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
from rodhours.words import answer as answers
from rodhours.words import report as words
from rodhours.words.fish_counted import counted_here, wanted_fish
from rodhours.words.notes import gathered
from rodhours.words.numbers import MISSING, confidence_level, count, margin_text, number
from rodhours.words.planning_next import settles

MOST_WATERS_NAMED = 6
_NUMBERS = words.numbers_of("The answer")


@dataclass(frozen=True)
class ModelShown:
    """A fitted model: its basis, what it says, and its figures under `words.MODEL_COLUMNS`."""

    basis: str
    says: str
    figures: tuple[str, ...]


@dataclass(frozen=True)
class FirstScreen:
    """What stands before the first section: `settles` is what would settle the answer."""

    question: str
    lead: str
    rests_on: str
    picture: Picture | None
    numbers: Table | None
    adjusted: str
    settles: str


@dataclass(frozen=True)
class Outline:
    """Everything that the page says, in its order.

    `worst` is the note that limits the answer most, `notes` are all of them; `further` is what
    follows from the answer. `contents` are the parts by anchor and name, `commands` what the
    program is asked to see more.
    """

    title: str
    first: FirstScreen
    counted: str | None
    worst: NoteShown | None
    limits_heading: str
    notes: tuple[NoteShown, ...]
    further: tuple[Section, ...]
    sections: tuple[Section, ...]
    contents: tuple[tuple[str, str], ...]
    method: tuple[str, ...]
    models: tuple[ModelShown, ...]
    provenance: tuple[tuple[str, str], ...]
    commands: tuple[str, ...]
    cited: str
    logbook_sha256: str
    version: str


def season_outline(season: Season) -> Outline:
    """The outline of a season's page. Raises ValueError where there is no stint."""
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
    return Outline(
        title=season.title,
        first=first_screen(result, styles, plan),
        counted=counted_here(result.filters),
        worst=notes[0] if notes and result.comparisons else None,
        limits_heading=words.limits_heading([severity for severity, _ in gathered(result.notes)]),
        notes=notes,
        further=tuple(further),
        sections=tuple(sections),
        contents=tuple(contents),
        method=words.method(
            result.confidence,
            result.margin,
            growth=any(one.anchor == "growth" for one in sections),
            planned=bool(further),
        ),
        models=tuple(map(_model, result.models)),
        provenance=tuple(_provenance(stints, result)),
        commands=(words.command_of(result), *dict.fromkeys(told.commands)),
        cited=words.cited(season.title, result.version, season.made, result.logbook_sha256 or ""),
        logbook_sha256=result.logbook_sha256 or "",
        version=result.version,
    )


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


def _model(model: FittedModel) -> ModelShown:
    counts = (model.sessions, model.cells, model.df)
    figures = (model.session_sd, model.clumping, model.log_likelihood)
    return ModelShown(
        model.basis,
        words.model_words(model),
        (
            *(MISSING if value is None else f"{value:,}" for value in counts),
            *(MISSING if value is None else number(value, 2) for value in figures),
        ),
    )


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
) -> FirstScreen:
    """The first screen of a comparison; `styles` are those of all pictures.

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
    return FirstScreen(
        question=answers.question(result),
        lead=lead,
        rests_on=rests,
        picture=picture,
        numbers=None if picture is None else table("answer", _NUMBERS, picture.table),
        adjusted=words.adjusted(result.adjusted_for) if result.adjusted_for else "",
        settles=settles(plan) if plan else "",
    )
