"""The sheet to take to the bank: a rotation as printed pages with boxes to fill in.

Scope: which rows go on which page and how high they are; the words come from the words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rodhours.planning.rotation import Rotation
from rodhours.report.templates import template
from rodhours.words import rotation as words

PORTRAIT_RODS = 3
"""With more rods the page is laid on its side."""
HEIGHT_MM = {"portrait": 222.0, "landscape": 140.0}
"""What is left for the rows of an A4 page beside heading and cautions."""
MOST_ROWS = {"portrait": 24, "landscape": 14}
TALLEST_ROW_MM = 15.0
SHORT, MIDDLING, LONGEST, LONGEST_LYING = 9, 18, 22, 16
"""Names up to so many letters are set large, middling and small; longer ones get a number."""
BAIT_WIDTH = {1: 20.0, 2: 13.0, 3: 8.4}
"""Width of the column of baits, % of the page; on its side the rods share LYING_WIDTH."""
LYING_WIDTH = 24.5


@dataclass(frozen=True)
class _Row:
    """One line to fill in: a part of a trip."""

    label: str
    part: int | None
    parts: int
    variants: tuple[str, ...]


def rotation_sheet(plan: Rotation) -> str:
    """The sheet as HTML that asks for nothing: A4, a page for up to 24 lines of three rods."""
    lying = plan.rods > PORTRAIT_RODS
    way = "landscape" if lying else "portrait"
    trips = [_rows(plan, number) for number in range(plan.trips)]
    a_page = max(MOST_ROWS[way] // plan.parts, 1)
    # Pages of the same length, not one full and one with a line or two.
    pages = -(-plan.trips // a_page)
    a_page = -(-plan.trips // pages)
    sheets = [
        [row for trip in trips[start : start + a_page] for row in trip]
        for start in range(0, plan.trips, a_page)
    ]
    shown, legend = _shown(plan.variants, LONGEST_LYING if lying else LONGEST)
    page: str = template("rotation_sheet.html.j2", {}, lettering=_lettering).render(
        title=words.title(plan),
        subs=[
            words.sheet_sub(plan.parts, plan.part_hours, number, len(sheets))
            for number in range(1, len(sheets) + 1)
        ],
        sheets=sheets,
        rods=range(1, plan.rods + 1),
        parts=plan.parts,
        way=way,
        bait_width=f"{BAIT_WIDTH.get(plan.rods, LYING_WIDTH / plan.rods):.1f}",
        shown=shown,
        legend=legend,
        row_mm=f"{min(HEIGHT_MM[way] / (a_page * plan.parts), TALLEST_ROW_MM):.2f}",
        fill_in=words.HOW_TO_FILL_IN,
        keep_to_it=words.KEEP_TO_IT,
        cautions=words.CAUTIONS,
        version=plan.version,
    )
    return page


def _rows(plan: Rotation, number: int) -> list[_Row]:
    label = words.trip_label(plan.name, number + 1)
    return [
        _Row(label, part if plan.parts > 1 else None, plan.parts, variants)
        for part, variants in enumerate(plan.turns[number], 1)
    ]


def _shown(variants: Sequence[str], longest: int) -> tuple[dict[str, str], list[str]]:
    """What stands in the boxes for each variant, and the legend of those too long for a box."""
    shown = {one: one for one in variants}
    legend = []
    for number, one in enumerate(variants, 1):
        if len(one) > longest:
            shown[one] = words.numbered_bait(number)
            legend.append(words.bait_legend(number, one))
    return shown, legend


def _lettering(name: str) -> str:
    """How large a name is set."""
    if len(name) <= SHORT:
        return "large"
    return "middling" if len(name) <= MIDDLING else "small"
