"""The sheet to take to the bank: a rotation as printed pages with boxes to fill in.

Scope: which rows go on which page, how high they are and how large a name is; the words come from
the words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from rodhours.planning.rotation import Rotation
from rodhours.report.templates import template
from rodhours.report.text_width import width
from rodhours.words import rotation as words

PORTRAIT_RODS = 3
"""With more rods the page is laid on its side."""
HEIGHT_MM = {"portrait": 214.0, "landscape": 130.0}
"""What is left for the rows of an A4 page beside heading and cautions."""
WIDTH_MM = {"portrait": 191.0, "landscape": 278.0}
MOST_ROWS = {"portrait": 14, "landscape": 8}
TALLEST_ROW_MM = 20.0
TRIP_MM, SAID_MM = 19.0, 40.0
"""Width of the columns at both sides: label and date; water, swim and notes."""
NAME_POINTS = (8.0, 11.0)
"""Names of baits are set as large as fits, within these; a longer one gets a number."""
BOLD = 1.2
"""Bold letters of a wide face, against the estimate for a plain one."""
MM_PER_POINT = 25.4 / 72


@dataclass(frozen=True)
class _Row:
    """One line to fill in: a part of a trip."""

    label: str
    part: int
    variants: tuple[str, ...]


def rotation_sheet(plan: Rotation) -> str:
    """The sheet as HTML that asks for nothing: A4, a page for up to 14 lines of three rods."""
    way = "landscape" if plan.rods > PORTRAIT_RODS else "portrait"
    trips = [_rows(plan, number) for number in range(plan.trips)]
    a_page = max(MOST_ROWS[way] // plan.parts, 1)
    # Pages of the same length, give or take a trip, not one full and one with a line or two.
    pages = -(-plan.trips // a_page)
    a_page = -(-plan.trips // pages)
    starts = [number * plan.trips // pages for number in range(pages + 1)]
    sheets = [[row for trip in trips[start:end] for row in trip] for start, end in pairwise(starts)]
    rod_mm = (WIDTH_MM[way] - TRIP_MM - SAID_MM) / plan.rods
    points, shown, legend = _names(plan.variants, (rod_mm - 2) / MM_PER_POINT)
    page: str = template("rotation_sheet.html.j2", {}).render(
        title=words.title(plan),
        subs=[words.sheet_sub(plan, number, len(sheets)) for number in range(1, len(sheets) + 1)],
        sheets=sheets,
        rods=range(1, plan.rods + 1),
        parts=plan.parts,
        way=way,
        sides=[f"{100 * mm / WIDTH_MM[way]:.1f}" for mm in (TRIP_MM, SAID_MM)],
        rod_widths=[f"{share * 100 * rod_mm / WIDTH_MM[way]:.2f}" for share in (0.23, 0.125)],
        points=f"{points:.1f}",
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
    return [_Row(label, part, variants) for part, variants in enumerate(plan.turns[number], 1)]


def _names(variants: Sequence[str], room: float) -> tuple[float, dict[str, str], list[str]]:
    """The size of the names, what stands for each variant, and the legend of those too long."""
    least, most = NAME_POINTS
    shown = {one: one for one in variants}
    legend = []
    for number, one in enumerate(variants, 1):
        if least * _ems(one) > room:
            shown[one] = words.NUMBERED_BAIT.format(number)
            legend.append(words.BAIT_LEGEND.format(number, one))
    widest = max(map(_ems, shown.values()))
    return min(room / widest, most), shown, legend


def _ems(name: str) -> float:
    """About how wide a bold name is, in its own size; on the wide side."""
    wide = sum(letter in "MWmw@%" for letter in name)
    capitals = sum(letter.isupper() for letter in name)
    return BOLD * width(name, 1) + 0.42 * wide + 0.12 * capitals
