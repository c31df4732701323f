"""The parts of the page that hold a picture each: a finding as heading, words, numbers, limits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rodhours.evidence.ingredients.results import ResponseResult
from rodhours.evidence.ingredients.several import SeveralResponses
from rodhours.evidence.rehearsal import RehearsalResult
from rodhours.evidence.sizes import SizesResult
from rodhours.report.figures import Picture
from rodhours.report.figures.rehearsal import rehearsal_picture
from rodhours.report.figures.response import response_picture
from rodhours.report.figures.sizes import sizes_picture
from rodhours.wording import rehearsal as rehearsal_words
from rodhours.wording import report as words
from rodhours.wording import response as response_words
from rodhours.wording import sizes as size_words
from rodhours.wording.gathering import gathered

MOST_TABLE_ROWS = 400


@dataclass(frozen=True)
class Part:
    """A part of the page with its picture: a finding as heading.

    `says` are paragraphs over the picture, `beneath` those under it; `notes` (severity, says)
    limit what this part says and stand nowhere else on the page.
    """

    anchor: str
    heading: str
    picture: Picture
    columns: list[str]
    rows: list[list[str]]
    left_out: int
    says: tuple[str, ...] = ()
    beneath: tuple[str, ...] = ()
    notes: tuple[Mapping[str, str], ...] = ()


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


def part(
    anchor: str,
    heading: str,
    picture: Picture,
    says: Sequence[str] = (),
    beneath: Sequence[str] = (),
    notes: Sequence[Mapping[str, str]] = (),
) -> Part:
    """A part, its numbers cut where there are very many."""
    shown = picture.table.head(MOST_TABLE_ROWS)
    rows = [[str(cell) for cell in row] for row in shown.itertuples(index=False, name=None)]
    columns = [str(column) for column in picture.table.columns]
    left_out = len(picture.table) - len(shown)
    given = tuple(one for one in beneath if one)
    return Part(anchor, heading, picture, columns, rows, left_out, tuple(says), given, tuple(notes))


def ingredient_parts(several: SeveralResponses, told: Told) -> list[Part]:
    """A part for each ingredient; the last names the numbers of the recipe that have none."""
    parts = []
    for i, one in enumerate(several.responses, start=1):
        last = i == len(several.responses)
        parts.append(_ingredient(f"ingredient-{i}", one, several.further if last else (), told))
    return parts


def _ingredient(anchor: str, one: ResponseResult, further: Sequence[str], told: Told) -> Part:
    machine = one.to_dict()
    return part(
        anchor,
        response_words.heading(machine),
        response_picture(one, anchor),
        [response_words.opening(machine)],
        [
            response_words.all_trips_beside(machine),
            response_words.fit_of_line(machine),
            response_words.further(further),
        ],
        told.new(machine["notes"]),
    )


def sizes_part(result: SizesResult, told: Told) -> Part:
    """Sizes of the fish that were weighed."""
    machine = result.to_dict()
    return part(
        "sizes",
        size_words.heading(machine["rows"], "lb", machine["comparisons"], result.reference),
        sizes_picture(result),
        beneath=[size_words.rests_on(machine["model"], machine["comparisons"])],
        notes=told.new(machine["notes"]),
    )


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
