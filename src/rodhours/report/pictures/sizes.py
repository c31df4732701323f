"""Weights of fish by variant: every fish a dot, the middle half and the median, the comparison."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, MaxNLocator

from rodhours.evidence.result import INFORMATION
from rodhours.evidence.sizes import SizeRow, SizesResult
from rodhours.report.pictures.picture import Picture, drawn
from rodhours.report.pictures.rows import EDGE, NUMBERS, Group, Row, mark, rows_figure
from rodhours.report.pictures.style import WIDTH
from rodhours.report.pictures.variant_style import Styles, VariantStyle
from rodhours.report.tables import sizes_table
from rodhours.words import sizes as words
from rodhours.words.notes import says
from rodhours.words.numbers import count
from rodhours.words.weights import KG_PER_LB

BAND, DOT = 20.0, 3.0
"""Height in points of the band in which a variant's dots lie, and their diameter. They are rings,
so that each stands out from its ground and the line on them can be seen."""


def sizes_picture(result: SizesResult, styles: Styles, units: str = "lb") -> Picture:
    """Every weighed fish by variant, with the median, the middle half and the ratio's limits.

    `units` is lb or kg, `styles` are those of the page. Variants without a weighed fish have a row
    of their own without a dot.
    """
    limited = [says(note) for note in result.notes if note.severity != INFORMATION]
    in_units = 1.0 if units == "kg" else 1.0 / KG_PER_LB
    heaviest = float(result.fish["weight_kg"].max()) * in_units
    a_point = 1.04 * heaviest / (WIDTH - NUMBERS - 12 - EDGE)
    against = {one.variant: words.ratio_cell(one) for one in result.compared}
    groups = []
    place = list(styles)
    for row in sorted(result.rows, key=lambda row: place.index(row.variant)):
        own = result.fish.loc[result.fish["variant"] == row.variant, "weight_kg"]
        draw = _band(row, own.to_numpy() * in_units, a_point, styles[row.variant], in_units)
        rows = [Row(against.get(row.variant, ""), draw, tall=BAND)]
        groups.append(Group(row.variant, rows, count(row.weighed, "fish")))

    def scale(axes: Axes) -> None:
        axes.set_xlim(0, 1.04 * heaviest)
        axes.xaxis.set_major_locator(MaxNLocator(5, integer=heaviest >= 5))
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))

    return drawn(
        "sizes",
        words.alt(result, units),
        " ".join([words.caption(result), *limited]),
        sizes_table(result, units),
        lambda: rows_figure(groups, f"weight, {units}", scale, 16, words.HEAD if against else ""),
    )


def _band(
    row: SizeRow, weights: np.ndarray, a_point: float, style: VariantStyle, in_units: float
) -> Callable[[Axes, float], None]:
    """The dots of a variant, the line from quarter to quarter, and the median on it."""
    along = np.sort(weights)

    def draw(axes: Axes, middle: float) -> None:
        heights = middle + side_by_side(along / a_point, DOT, BAND / 2 - DOT / 2)
        axes.plot(along, heights, "o", ms=DOT, color=style.colour, mfc="none", mew=0.5)
        quarters, median = (row.lower_quartile_kg, row.upper_quartile_kg), row.median_kg
        if median is None:
            return
        ends = [in_units * one for one in quarters if one is not None]
        axes.plot(ends, [middle] * 2, color=style.colour, lw=1.8, solid_capstyle="butt")
        mark(axes, median * in_units, middle, style)

    return draw


def side_by_side(along: np.ndarray, apart: float, most: float) -> np.ndarray:
    """How far from the middle line each dot lies, so that near neighbours do not hide each other.

    `along` are positions in points; dots that follow each other at less than `apart` go up and
    down in turn, at most `most` from the line. The same input gives the same places.
    """
    if not len(along):
        return np.zeros(0)
    new = np.concatenate([[True], np.diff(along) >= apart])
    start = np.flatnonzero(new)
    within = np.arange(len(along)) - start[np.cumsum(new) - 1]
    # Where a run is longer than the band is high, its places are used again.
    within %= 2 * int(most // apart) + 1
    return np.asarray((within + 1) // 2 * np.where(within % 2, 1.0, -1.0) * apart)
