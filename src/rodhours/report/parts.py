"""The parts of the page: a finding as heading, words, a picture, its numbers, what limits it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from rodhours.evidence.rehearsal import RehearsalResult
from rodhours.evidence.response.respond import SeveralResponses
from rodhours.evidence.response.result import ResponseResult
from rodhours.evidence.result import Note
from rodhours.evidence.running_result import RunningResult
from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.evidence.sizes import SizesResult
from rodhours.report.downloads import csv_link
from rodhours.report.figures import Picture
from rodhours.report.figures.ratios import ratios_by_season, seasons_table
from rodhours.report.figures.rehearsal import rehearsal_picture
from rodhours.report.figures.response import response_picture
from rodhours.report.figures.sizes import sizes_picture
from rodhours.report.tables import landed_table
from rodhours.report.tallies import Landed
from rodhours.wording import landed as landed_words
from rodhours.wording import planning_next as next_words
from rodhours.wording import rehearsal as rehearsal_words
from rodhours.wording import report as words
from rodhours.wording import response as response_words
from rodhours.wording import running as running_words
from rodhours.wording import season_by_season as season_words
from rodhours.wording import sizes as size_words
from rodhours.wording.notes import WEIGHTS, gathered

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

    def new(self, notes: Sequence[Note]) -> tuple[dict[str, str], ...]:
        """Those of the notes (worst first) that were not told yet."""
        found = []
        for severity, text in gathered(notes):
            if text not in self._texts:
                self._texts.add(text)
                found.append({"severity": WEIGHTS[severity], "says": text})
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
    notes = told.new(one.notes)
    heading, opening = response_words.heading(one), response_words.opening(one)
    if not one.has_interval:
        return Part(anchor, heading, says=(opening,), notes=notes)
    return part(
        anchor,
        heading,
        response_picture(one, anchor),
        [opening],
        [
            response_words.all_trips_beside(one),
            response_words.fit_of_line(one),
            response_words.further(further),
        ],
        notes,
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
    return [
        part(
            "fish",
            size_words.heading(sizes, units),
            sizes_picture(sizes, units),
            beneath=[size_words.rests_on(sizes)],
            notes=told.new(sizes.notes),
            tables=tables,
        )
    ]


def rehearsal_part(result: RehearsalResult) -> Part:
    """What a season like this can tell, from invented ones."""
    machine = result.to_dict()
    return part(
        "rehearsal",
        rehearsal_words.heading(machine),
        rehearsal_picture(result),
        [
            rehearsal_words.opening(machine),
            rehearsal_words.honesty(machine),
            rehearsal_words.width(machine),
        ],
        rehearsal_words.beneath(machine),
    )


def growth_part(running: RunningResult, picture: Picture) -> Part:
    """How the evidence grew over the season, trip by trip."""
    return part("growth", running_words.growth_heading(running), picture)


def next_part(plan: Mapping[str, Any]) -> Part:
    """What to fish next; `plan` in its machine form."""
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
            *(one["says"] for one in plan["variants"]),
            next_words.rules(plan),
            *next_words.limits_lines(plan),
        ),
        folded_title=next_words.FOLDED_TITLE,
    )


def seasons_part(result: SeasonBySeason, order: Sequence[str]) -> Part:
    """This season beside earlier ones."""
    heading, says = season_words.heading(result), [season_words.opening(result)]
    if not any(one.comparisons for one in result.seasons):
        numbers = table("seasons", heading, seasons_table(result))
        return Part("seasons", heading, says=tuple(says), tables=(numbers,))
    picture = ratios_by_season(result, order)
    return part("seasons", heading, picture, says, season_words.beneath(result))
