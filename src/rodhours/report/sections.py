"""The sections of the page: a finding, words, a picture, its numbers, what limits it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from rodhours.evidence.response.respond import SeveralResponses
from rodhours.evidence.response.result import ResponseResult
from rodhours.evidence.result import INFORMATION, Note
from rodhours.evidence.results import ComparisonResult, RateSummary
from rodhours.evidence.running_result import RunningResult
from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.evidence.sizes import SizesResult
from rodhours.planning.next_season import NextSeason
from rodhours.report.pictures import (
    Picture,
    catch_rates,
    evidence_growth,
    rate_ratios,
    season_calendar,
)
from rodhours.report.pictures.ratios import ratios_by_season, seasons_table
from rodhours.report.pictures.rehearsal import rehearsal_picture
from rodhours.report.pictures.response import response_picture
from rodhours.report.pictures.sizes import sizes_picture
from rodhours.report.pictures.variant_style import Styles
from rodhours.report.tables import as_shown, batches_table, csv_link, has_ratio, landed_table
from rodhours.report.tallies import (
    batches_fished,
    contributions,
    hours_by_place,
    largest_gap,
    logged,
)
from rodhours.simulate.rehearse import RehearsalResult
from rodhours.words import answer as answers
from rodhours.words import planning_next as next_words
from rodhours.words import rehearsal as rehearsal_words
from rodhours.words import report as words
from rodhours.words import response as response_words
from rodhours.words import running as running_words
from rodhours.words import season_by_season as season_words
from rodhours.words import sizes as size_words
from rodhours.words.notes import WEIGHTS, in_parts
from rodhours.words.parts import Parts, with_and_without_commands
from rodhours.words.summary import fished_text, rates_heading

MOST_TABLE_ROWS = 400
MOST_NOTES = 6
"""The worst so many stand open in their part; what is only worth knowing never does."""


@dataclass(frozen=True)
class Table:
    """Numbers to be shown, cut where they are very many, and all of them as a CSV file.

    `link` is an address that holds the file, `file` the name that it is saved under, `beneath` a
    sentence to be read with the numbers.
    """

    title: str
    columns: list[str]
    rows: list[list[str]]
    left_out: int
    link: str
    file: str
    beneath: str = ""


@dataclass(frozen=True)
class NoteShown:
    """A note: how much it weighs, what was found, all that it says, whether one click away."""

    severity: str
    found: str
    says: str
    is_folded: bool


@dataclass(frozen=True)
class Section:
    """A section of the page: a finding as heading, mostly with a picture and its numbers.

    `says` are paragraphs over the picture, `beneath` those under it; `folded` are sentences one
    click away, under `folded_title`, with the picture where `is_folded`; so is each of the
    `tables`. Empty sentences are passed over. `notes` limit what this section says and stand
    nowhere else on the page. `name` is what the list of parts calls it.
    """

    anchor: str
    heading: str
    picture: Picture | None = None
    numbers: Table | None = None
    says: Sequence[str] = ()
    beneath: Sequence[str] = ()
    notes: Sequence[NoteShown] = ()
    tables: Sequence[Table] = ()
    folded: Sequence[str] = ()
    folded_title: str = ""
    is_folded: bool = False
    named: str = ""

    @property
    def name(self) -> str:
        """What it is called beside its heading."""
        return self.named or words.NAMES[self.anchor]


class Told:
    """What stands on the page already: each note once, and commands in a place of their own.

    `commands` are for whoever has the program; a reader of the page may not.
    """

    def __init__(self) -> None:
        self._shown: set[Parts] = set()
        self.commands: list[str] = []

    def notes(self, notes: Sequence[Note]) -> tuple[NoteShown, ...]:
        """Those of the notes (worst first) that do not stand on the page yet."""
        new = [(weight, parts) for weight, parts in in_parts(notes) if parts not in self._shown]
        self._shown.update(parts for _, parts in new)
        return tuple(
            NoteShown(
                WEIGHTS[weight],
                parts.found,
                self.without_commands(parts.joined, parts.found),
                is_folded=weight == INFORMATION or place >= MOST_NOTES,
            )
            for place, (weight, parts) in enumerate(new)
        )

    def without_commands(self, text: str, about: str = "") -> str:
        """The sentences that name no command; the others are kept, after what they are about."""
        without, commands = with_and_without_commands(text)
        if commands:
            self.commands.append(f"{about} {commands}" if about in without else commands)
        return without

    def passed_on(self, section: Section) -> Section:
        """The section without sentences that name a command."""
        return replace(
            section,
            says=[self.without_commands(one) for one in section.says],
            beneath=[self.without_commands(one) for one in section.beneath],
            folded=[self.without_commands(one) for one in section.folded],
        )


def table(
    name: str,
    title: str,
    numbers: pd.DataFrame,
    beneath: str = "",
    saved: pd.DataFrame | None = None,
) -> Table:
    """A table of the page under a title; `name` is that of its file.

    `saved` is what the file holds, where that is more than is shown.
    """
    shown = numbers.head(MOST_TABLE_ROWS)
    rows = [[str(cell) for cell in row] for row in shown.itertuples(index=False, name=None)]
    columns = [str(column) for column in numbers.columns]
    left_out = len(numbers) - len(shown)
    link = csv_link(numbers if saved is None else saved)
    return Table(title, columns, rows, left_out, link, f"{name}.csv", beneath)


def drawn(anchor: str, heading: str, picture: Picture, **further: Any) -> Section:
    """A section with its picture and the numbers of it."""
    named = further.get("named") or words.NAMES[anchor]
    numbers = table(anchor, f"Numbers: {named[:1].lower()}{named[1:]}", picture.table)
    return Section(anchor, heading, picture, numbers, **further)


def rates_section(summary: RateSummary, stints: pd.DataFrame, styles: Styles) -> Section:
    """Catch rates, and who fished how much where more than one angler did."""
    who = contributions(stints)
    anglers = table("anglers", words.WHO, as_shown(who), words.ONE_ANGLERS_TRIPS)
    return drawn(
        "rates",
        rates_heading(summary.total),
        catch_rates(summary, styles, summary.confidence),
        says=[fished_text(summary.total, int(logged(stints, "venue").nunique()))],
        tables=[anglers] if len(who) > 1 else [],
        folded_title=words.RATES_FOLDED,
        is_folded=True,
    )


def ratios_section(result: ComparisonResult, styles: Styles) -> Section:
    """Rate ratios on both bases, and each answer in its own sentence."""
    sentences = [
        f"{answers.headline(one, result)} {answers.rests_on(one, result.reference)}"
        for one in result.comparisons
    ]
    heading, title = words.ratios_heading(result), words.BESIDE_ALL_TRIPS
    if not any(has_ratio(row) for one in result.comparisons for row in (one, one.all_trips)):
        return Section("ratios", heading, folded=sentences, folded_title=title)
    picture, adjusted = rate_ratios(result, styles), words.adjusted(result.adjusted_for)
    return drawn(
        "ratios",
        heading,
        picture,
        folded=[adjusted, *sentences],
        folded_title=title,
        is_folded=True,
    )


def growth_sections(running: RunningResult | None, styles: Styles) -> list[Section]:
    """How the evidence grew over the season, trip by trip, where it did."""
    picture = None if running is None else evidence_growth(running, styles)
    if running is None or picture is None:
        return []
    heading = running_words.growth_heading(running)
    return [drawn("growth", heading, picture, folded_title=words.GROWTH_FOLDED, is_folded=True)]


def hours_section(stints: pd.DataFrame, reference: str, styles: Styles) -> Section:
    """Where and when the hours went."""
    places = hours_by_place(stints, list(styles))
    known = places.has_dates or places.has_venues
    gap = largest_gap(places, reference)
    heading = words.hours_heading(gap, reference, len(styles), known)
    return drawn("hours", heading, season_calendar(stints, styles))


def ingredient_sections(
    several: SeveralResponses, result: ComparisonResult, styles: Styles, told: Told
) -> list[Section]:
    """One for each ingredient; the last names the numbers of the recipe that have none."""
    last = len(several.responses)
    return [
        _ingredient(
            f"ingredient-{i}",
            with_answers(one, result),
            several.further if i == last else (),
            styles,
            told,
        )
        for i, one in enumerate(several.responses, start=1)
    ]


def with_answers(one: ResponseResult, result: ComparisonResult) -> ResponseResult:
    """The baits with the answers that the rest of the page gives them, where both are against the
    same reference: a page has one interval for a ratio."""
    if one.reference_variant != result.reference:
        return one
    known: dict[str, dict[str, Any]] = {
        answer.variant: {
            "ratio": answer.rate_ratio,
            "conf_low": answer.conf_low,
            "conf_high": answer.conf_high,
        }
        for answer in result.comparisons
    }
    points = tuple(replace(point, **known.get(point.variant, {})) for point in one.points)
    return replace(one, points=points)


def _ingredient(
    anchor: str, one: ResponseResult, further: Sequence[str], styles: Styles, told: Told
) -> Section:
    name = response_words.part_name(one)
    heading, opening = response_words.heading(one), response_words.opening(one)
    if not one.has_interval:
        return Section(anchor, heading, says=[opening], notes=told.notes(one.notes), named=name)
    return drawn(
        anchor,
        heading,
        response_picture(one, styles, anchor),
        says=[opening],
        folded=[
            response_words.all_trips_beside(one),
            response_words.fit_of_line(one),
            response_words.further(further),
        ],
        folded_title=f"More: {name[:1].lower()}{name[1:]}",
        notes=told.notes(one.notes),
        named=name,
    )


def batches_sections(stints: pd.DataFrame) -> list[Section]:
    """What each batch did, where any is logged."""
    batches = batches_fished(stints)
    if batches.empty:
        return []
    numbers = table("batches", words.BATCHES, batches_table(batches))
    heading = f"Batches fished: {len(batches):,}, baits: {batches['variant'].nunique():,}"
    return [Section("batches", heading, tables=[numbers])]


def fish_sections(
    sizes: SizesResult | None,
    landed: tuple[pd.DataFrame, int] | None,
    styles: Styles,
    told: Told,
    units: str,
) -> list[Section]:
    """The fish themselves: weights where any was weighed, lost against landed where logged.

    `units` is lb or kg.
    """
    tables = []
    if landed is not None:
        counts, unknown = landed
        biggest = {} if sizes is None else {row.variant: row.biggest_kg for row in sizes.rows}
        numbers = landed_table(counts, biggest, units)
        says = size_words.landed_says(unknown)
        tables = [table("landed", size_words.LANDED_TITLE, numbers, says)]
        if sizes is None:
            lost = int(counts["lost"].sum())
            heading = size_words.landed_heading(lost, lost + int(counts["landed"].sum()))
            return [Section("fish", heading, tables=tables)]
    if sizes is None:
        return []
    return [
        drawn(
            "fish",
            size_words.heading(sizes, units),
            sizes_picture(sizes, styles, units),
            folded=[size_words.rests_on(sizes)],
            folded_title="More: the fish",
            notes=told.notes(sizes.notes),
            tables=tables,
        )
    ]


def rehearsal_section(result: RehearsalResult) -> Section:
    """What a season like this can tell, from invented ones."""
    return drawn(
        "rehearsal",
        rehearsal_words.heading(result),
        rehearsal_picture(result),
        says=[
            rehearsal_words.opening(result),
            rehearsal_words.honesty(result),
            rehearsal_words.width(result),
        ],
        beneath=rehearsal_words.beneath(result),
    )


def next_section(plan: NextSeason) -> Section:
    """What to fish next."""
    head, *rows = next_words.page_rows(plan)
    names, *whole = next_words.table_rows(plan)
    names[0] = "variant"
    numbers = table(
        "next",
        next_words.TABLE_TITLE,
        pd.DataFrame(rows, columns=head),
        next_words.page_note(plan),
        saved=pd.DataFrame(whole, columns=names),
    )
    return Section(
        "next",
        next_words.heading(plan),
        says=(next_words.page_step(plan),),
        tables=(numbers,),
        folded=(
            *next_words.trips_lines(plan),
            next_words.opening(plan),
            *(next_words.variant_says(one, plan) for one in plan.variants),
            next_words.rules(plan),
            *next_words.limits_lines(plan),
        ),
        folded_title=next_words.FOLDED_TITLE,
    )


def seasons_section(result: SeasonBySeason, styles: Styles) -> Section:
    """This season beside earlier ones."""
    heading, says = season_words.heading(result), [season_words.opening(result)]
    if not any(one.comparisons for one in result.seasons):
        numbers = table("seasons", heading, seasons_table(result))
        return Section("seasons", heading, says=says, tables=[numbers])
    beneath = season_words.beneath(result)
    return drawn("seasons", heading, ratios_by_season(result, styles), says=says, beneath=beneath)
