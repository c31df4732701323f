"""Weights of fish by variant: every fish a dot, the middle half and the median, the comparison."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from rodhours.evidence.result import INFORMATION
from rodhours.evidence.sizes import SizeComparison, SizesResult
from rodhours.report.figures.canvas import canvas, drawn, put
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.parts import bottom_axis, clear, fitting, head, put_head
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import LINE, NUMBERS, PAPER, SMALL, SOFT
from rodhours.wording import sizes as words
from rodhours.wording.numbers import MISSING, count, limits_short, ratio
from rodhours.wording.weights import KG_PER_LB, weight

BAND = 20.0
"""Height in points of the band in which a variant's dots lie."""
DOT = 3.0
"""Diameter of a dot in points."""
MANY_DOTS = 150
"""More dots in one row than these are paler, so that the line on them can be seen."""


def sizes_picture(result: SizesResult, units: str = "lb") -> Picture:
    """Every weighed fish by variant, with the median, the middle half and the ratio's limits.

    `units` is lb or kg. Variants without a weighed fish have a row of their own without a dot.
    """
    names = [row.variant for row in result.rows]
    look = marks(names, result.reference)
    machine = result.to_dict()
    compared = [one for one in machine["comparisons"] if one["weight_ratio"] is not None]
    caption = words.caption(result.reference, result.confidence, len(compared))
    limited = [note.says for note in result.notes if note.severity != INFORMATION]
    return drawn(
        "sizes",
        words.alt(machine["rows"], machine["comparisons"], units),
        " ".join([caption, *limited]),
        sizes_table(result, units),
        lambda width: _draw(result, look, units, width),
    )


def _draw(result: SizesResult, look: Mapping[str, Mark], units: str, width: float) -> Figure:
    ratios = {one.variant: one for one in result.comparisons}
    in_units = 1.0 if units == "kg" else 1.0 / KG_PER_LB
    layout = []
    for row in result.rows:
        said = count(row.weighed, "fish")
        layout.append((row, said, *head(row.variant, said, width)))
    height = 6 + sum((len(lines) + below) * LINE + BAND + 6 for _, _, lines, below in layout) + 34
    heaviest = float(result.fish["weight_kg"].max()) * in_units
    figure, axes = canvas(height, left=8, right=NUMBERS + 12, bottom=30, width=width)
    axes.set_xlim(0, 1.04 * heaviest)
    a_point = 1.04 * heaviest / (width - NUMBERS - 20)
    y = 6.0
    for row, said, lines, below in layout:
        clear(axes, y - 1, y + (len(lines) + below) * LINE)
        y = put_head(figure, height, y, lines, said, below)
        middle = y + BAND / 2
        own = result.fish.loc[result.fish["variant"] == row.variant, "weight_kg"].to_numpy()
        own = np.sort(own)
        heights = middle + side_by_side(own * in_units / a_point, DOT, BAND / 2 - DOT / 2)
        mark = look[row.variant]
        alpha = 0.6 if len(own) <= MANY_DOTS else 0.3
        axes.plot(own * in_units, heights, "o", ms=DOT, color=mark.colour, alpha=alpha, mew=0)
        quartiles = (row.lower_quartile_kg, row.upper_quartile_kg)
        if row.median_kg is not None and None not in quartiles:
            ends = [in_units * one for one in quartiles if one is not None]
            axes.plot(ends, [middle] * 2, color=mark.colour, lw=1.8, solid_capstyle="butt")
            axes.plot(
                [row.median_kg * in_units],
                [middle],
                mark.marker,
                color=mark.colour,
                ms=5.5,
                mec=PAPER,
                mew=0.6,
                zorder=5,
            )
        if numbers := _numbers(ratios.get(row.variant)):
            put(figure, height, width - NUMBERS, middle + 3, numbers, fitting(numbers))
        y += BAND + 6
    axes.xaxis.set_major_locator(MaxNLocator(5, integer=heaviest >= 5))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    bottom_axis(axes)
    put(figure, height, 8, height - 4, f"weight, {units}", size=SMALL, colour=SOFT)
    return figure


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


def sizes_table(result: SizesResult, units: str) -> pd.DataFrame:
    """Sizes by variant as a table to be shown."""
    ratios = {one.variant: one for one in result.comparisons}
    return pd.DataFrame(
        {
            "Variant": [row.variant for row in result.rows],
            "Weighed": [f"{row.weighed:,}" for row in result.rows],
            "Not weighed": [f"{row.unweighed:,}" for row in result.rows],
            "Median": [weight(row.median_kg, units) for row in result.rows],
            "Lower quarter": [weight(row.lower_quartile_kg, units) for row in result.rows],
            "Upper quarter": [weight(row.upper_quartile_kg, units) for row in result.rows],
            "Biggest": [weight(row.biggest_kg, units) for row in result.rows],
            "Typical weight ratio": [
                _numbers(ratios.get(row.variant)) or MISSING for row in result.rows
            ],
        }
    )


def _numbers(one: SizeComparison | None) -> str:
    if one is None or one.weight_ratio is None:
        return ""
    return f"{ratio(one.weight_ratio)} ({limits_short(one.conf_low, one.conf_high)})"
