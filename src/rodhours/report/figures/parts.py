"""Parts that several pictures share: a name over its row, an interval, the axis at the foot.

Intervals are drawn from limits that are given: no plotting library is asked to estimate any.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import seaborn
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rodhours.report.figures.canvas import put
from rodhours.report.figures.marks import Mark
from rodhours.report.figures.style import LINE, NUMBERS_LEFT, PAPER, RULE, TEXT, WIDTH
from rodhours.report.lettering import width
from rodhours.wording.numbers import exists


def put_name(
    figure: Figure,
    height: float,
    x: float,
    y: float,
    lines: Sequence[str],
    marker: Mark | None = None,
    axes: Axes | None = None,
) -> float:
    """A variant's name over its row, with its marker where asked; returns the y below it."""
    if marker is not None and axes is not None:
        axes.plot([x + 3], [y + 5], marker.marker, color=marker.colour, ms=4.5)
        x += 10
    for line in lines:
        put(figure, height, x, y + 8, line, weight="bold")
        y += LINE
    return y


def fitting(numbers: str) -> float:
    """The size at which numbers fit their column: smaller for the very long."""
    return min(TEXT, TEXT * (WIDTH - NUMBERS_LEFT) / width(numbers, TEXT))


def clear(axes: Axes, top: float, foot: float) -> None:
    """Keep the lines of the grid away from a name: a strip in the colour of the paper."""
    axes.axhspan(top, foot, color=PAPER, lw=0, zorder=1.5)


def interval(
    axes: Axes,
    y: float,
    estimate: float | None,
    low: float | None,
    high: float | None,
    mark: Mark,
    ends: tuple[float, float],
    *,
    zero_is_open: bool,
    weight: float = 1.8,
    size: float = 5.5,
    dashes: bool = False,
) -> None:
    """A line from limit to limit with its mark; an arrow where it goes on past the axis."""
    start, stop = ends
    no_low = not exists(low) or (zero_is_open and low == 0)
    no_high = not exists(high)
    if (no_low and no_high) and not exists(estimate):
        return
    left = start if no_low or low is None else max(start, low)
    right = stop if no_high or high is None else min(stop, high)
    style = (0, (2.5, 1.5)) if dashes else "solid"
    axes.plot([left, right], [y, y], color=mark.colour, lw=weight, ls=style, solid_capstyle="butt")
    head: dict[str, Any] = {"color": mark.colour, "ms": size, "clip_on": False, "zorder": 3}
    if no_low or (low is not None and low < start):
        axes.plot([start], [y], "<", **head)
    if no_high or (high is not None and high > stop):
        axes.plot([stop], [y], ">", **head)
    if exists(estimate) and estimate is not None and start <= estimate <= stop:
        axes.plot(
            [estimate],
            [y],
            mark.marker,
            color=mark.colour,
            ms=size,
            zorder=5,
            clip_on=False,
            mec=PAPER,
            mew=0.6,
        )


def bottom_axis(axes: Axes) -> None:
    seaborn.despine(ax=axes, left=True)
    axes.yaxis.set_visible(False)
    axes.grid(axis="x", color=RULE, lw=0.5)
    axes.set_axisbelow(True)
