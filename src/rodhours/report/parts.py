"""The parts of the page: a finding as heading, words, a picture, its numbers, what limits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from rodhours.evidence.ingredients.results import ResponseResult
from rodhours.evidence.ingredients.several import SeveralResponses
from rodhours.evidence.looks.results import RunningResult
from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.evidence.sizes import SizesResult
from rodhours.planning.next_season import NextSeason
from rodhours.report.downloads import csv_link
from rodhours.report.figures import Picture
from rodhours.report.figures.rehearsal import rehearsal_picture
from rodhours.report.figures.response import anything_to_draw, response_picture
from rodhours.report.figures.season_by_season import ratios_by_season, seasons_table
from rodhours.report.figures.sizes import sizes_picture
from rodhours.report.tables import landed_table
from rodhours.report.tallies import Landed
from rodhours.simulate.rehearse import RehearsalResult
from rodhours.wording import landed as landed_words
from rodhours.wording import looks as looks_words
from rodhours.wording import planning_next as next_words
from rodhours.wording import rehearsal as rehearsal_words
from rodhours.wording import report as words
from rodhours.wording import response as response_words
from rodhours.wording import season_by_season as season_words
from rodhours.wording import sizes as size_words
from rodhours.wording.gathering import gathered

MOST_TABLE_ROWS = 400


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
class Part:
    """A part of the page: a finding as heading, mostly with a picture and its numbers.

    `says` are paragraphs over the picture, `beneath` those under it; `tables` stand open on the
    page; `folded` are sentences one click away, under `folded_title`; `notes` (severity, says)
    limit what this part says and stand nowhere else on the page.
    """

    anchor: str
    heading: str
    picture: Picture | None = None
    numbers: Table | None = None
    says: tuple[str, ...] = ()
    beneath: tuple[str, ...] = ()
    notes: tuple[Mapping[str, str], ...] = ()
    tables: tuple[Table, ...] = ()
    folded: tuple[str, ...] = ()
    folded_title: str = words.EACH_ANSWER


class Told:
    """Which notes the page has told already: each is told once."""

    def __init__(self) -> None:
        self._texts: set[str] = set()

    def new(self, notes: Sequence[Mapping[str, Any]]) -> tuple[dict[str, str], ...]:
        """Those of the notes (machine form, worst first) that were not told yet."""
        found = []
        for severity, text in gathered(notes):
            if text not in self._texts:
                self._texts.add(text)
                found.append({"severity": words.SEVERITIES[severity], "says": text})
        return tuple(found)


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


def part(
    anchor: str,
    heading: str,
    picture: Picture,
    says: Sequence[str] = (),
    beneath: Sequence[str] = (),
    notes: Sequence[Mapping[str, str]] = (),
    tables: Sequence[Table] = (),
    folded: Sequence[str] = (),
) -> Part:
    """A part with its picture and the numbers of it."""
    return Part(
        anchor,
        heading,
        picture,
        table(anchor, heading, picture.table),
        tuple(one for one in says if one),
        tuple(one for one in beneath if one),
        tuple(notes),
        tuple(tables),
        tuple(folded),
    )


def ingredient_parts(several: SeveralResponses, told: Told) -> list[Part]:
    """A part for each ingredient; the last names the numbers of the recipe that have none."""
    parts = []
    for i, one in enumerate(several.responses, start=1):
        last = i == len(several.responses)
        parts.append(_ingredient(f"ingredient-{i}", one, several.further if last else (), told))
    return parts


def _ingredient(anchor: str, one: ResponseResult, further: Sequence[str], told: Told) -> Part:
    machine = one.to_dict()
    heading, opening = response_words.heading(machine), response_words.opening(machine)
    if not anything_to_draw(machine):
        return Part(anchor, heading, says=(opening,), notes=told.new(machine["notes"]))
    return part(
        anchor,
        heading,
        response_picture(one, anchor),
        [opening],
        [
            response_words.all_trips_beside(machine),
            response_words.fit_of_line(machine),
            response_words.further(further),
        ],
        told.new(machine["notes"]),
    )


def fish_parts(
    sizes: SizesResult | None, landed: Landed | None, told: Told, units: str
) -> list[Part]:
    """The fish themselves: weights where any was weighed, lost against landed where logged.

    `units` is lb or kg.
    """
    biggest = {} if sizes is None else {row.variant: row.biggest_kg for row in sizes.rows}
    tables = []
    if landed is not None:
        said = landed_words.says(landed.unknown_stints)
        tables = [table("landed", landed_words.TITLE, landed_table(landed, biggest, units), said)]
    if sizes is None and landed is None:
        return []
    if sizes is None:
        assert landed is not None
        heading = landed_words.heading(landed.rows)
        return [Part("fish", heading, tables=tuple(tables))]
    machine = sizes.to_dict()
    return [
        part(
            "fish",
            size_words.heading(machine["rows"], units, machine["comparisons"], sizes.reference),
            sizes_picture(sizes, units),
            beneath=[size_words.rests_on(machine["model"], machine["comparisons"])],
            notes=told.new(machine["notes"]),
            tables=tables,
        )
    ]


def rehearsal_part(result: RehearsalResult) -> Part:
    """What a season like this can tell, from invented ones."""
    return part(
        "rehearsal",
        rehearsal_words.heading(result),
        rehearsal_picture(result),
        [
            rehearsal_words.opening(result),
            rehearsal_words.honesty(result),
            rehearsal_words.width(result),
        ],
        rehearsal_words.beneath(result),
    )


def growth_part(running: RunningResult, picture: Picture) -> Part:
    """How the evidence grew over the season, trip by trip."""
    machine = running.to_dict()
    return part(
        "growth",
        looks_words.growth_heading(machine),
        picture,
    )


def next_part(plan: NextSeason) -> Part:
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
    return Part(
        "next",
        next_words.heading(plan),
        says=(next_words.page_step(plan), *next_words.trips_lines(plan)),
        tables=(numbers,),
        folded=(
            next_words.opening(plan),
            *(next_words.variant_says(one, plan) for one in plan.variants),
            next_words.rules(plan),
            *next_words.limits_lines(plan),
        ),
        folded_title=next_words.FOLDED_TITLE,
    )


def seasons_part(result: SeasonBySeason, order: Sequence[str]) -> Part:
    """This season beside earlier ones."""
    machine = result.to_dict()
    changes = machine["changes"]
    heading = season_words.heading(changes, machine["seasons"][-1]["season"])
    says = [season_words.opening(machine["seasons"], result.undated_sessions)]
    beneath = [season_words.change(one, result.reference) for one in changes]
    if not changes:
        beneath = [season_words.NO_CHANGE_TO_ASK]
    beneath.append(season_words.HOW_TO_READ)
    if not any(one.comparisons for one in result.seasons):
        numbers = table("seasons", heading, seasons_table(result))
        return Part("seasons", heading, says=tuple(says), tables=(numbers,))
    return part("seasons", heading, ratios_by_season(result, order), says, beneath)
