"""Parts that several pictures share: a name over its row, an interval, the axis at the foot.

Intervals are drawn from limits that are given: no plotting library is asked to estimate any.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import log
from typing import Any

import seaborn
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rodhours.report.figures.canvas import put, width_of
from rodhours.report.figures.marks import Mark
from rodhours.report.figures.style import LINE, NUMBERS, PAPER, RULE, SMALL, SOFT, TEXT
from rodhours.report.lettering import width, wrap
from rodhours.wording.numbers import exists

EDGE = 8.0
"""Points from the edge of a picture to where its axis of ratios begins, at least."""
BOLD = 1.08
"""How much wider bold letters are."""
TICKS_APART = 13.0
"""Points between the steps of an upright axis, at least."""
_LADDERS = ((1, 2, 5), (1, 3), (1,))


def put_name(figure: Figure, height: float, x: float, y: float, lines: Sequence[str]) -> float:
    """A variant's name over its row; returns the y below it."""
    for line in lines:
        put(figure, height, x, y + 8, line, weight="bold")
        y += LINE
    return y


def fitting(numbers: str) -> float:
    """The size at which numbers fit their column: smaller for the very long."""
    return min(TEXT, TEXT * NUMBERS / width(numbers, TEXT))


def put_head(
    figure: Figure, height: float, y: float, lines: Sequence[str], beside: str, below: bool
) -> float:
    """A variant's name over its row and what is said beside it; returns the y below both."""
    right = width_of(figure) - 4
    if not below:
        put(figure, height, right, y + 8, beside, SMALL, SOFT, "right")
    y = put_name(figure, height, 4, y, lines)
    if below:
        put(figure, height, 4, y + 7, beside, SMALL, SOFT)
        y += LINE
    return y


def head(name: str, beside: str, room: float) -> tuple[list[str], bool]:
    """A name in lines, and whether what is said beside it needs a line of its own."""
    rest = room - 8 - width(beside, SMALL) - 10
    if width(name, TEXT) * BOLD <= rest:
        return [name], False
    return wrap(name, (room - 12) / BOLD, TEXT), beside != ""


def ratio_steps(
    start: float, stop: float, room: float, size_of: Callable[[str], float]
) -> dict[float, str]:
    """Where an axis of ratios is marked, and the names: 0.2, 0.5, 1, 2, 5 and so on.

    Fewer where two names would meet: 0.3, 1, 3, 10, then 0.1, 1, 10. The axis is `room` points
    long; `size_of` says how many of them a name takes along it. The steps below 1 mirror those
    above, and all pictures have the same.
    """
    span = log(stop / start)
    steps: dict[float, str] = {}
    for ladder in _LADDERS:
        ticks = [float(f"{step}e{power}") for power in range(-3, 4) for step in ladder]
        steps = {tick: f"{tick:g}" for tick in ticks if start < tick < stop}
        nearest = (
            room * log(then / tick) / span - (size_of(steps[tick]) + size_of(steps[then])) / 2
            for tick, then in pairwise(steps)
        )
        if min(nearest, default=0.0) >= 0:
            break
    return steps


def ratio_ticks(axes: Axes, start: float, stop: float, room: float) -> None:
    """The steps of a level axis of ratios."""
    steps = ratio_steps(start, stop, room, lambda name: width(name, SMALL) + 3)
    # A name at the very edge would be cut off by it.
    kept = {
        tick: name
        for tick, name in steps.items()
        if EDGE + room * log(tick / start) / log(stop / start) >= width(name, SMALL) / 2
    }
    axes.set_xticks(list(kept), list(kept.values()))
    axes.minorticks_off()


def clear(axes: Axes, top: float, foot: float) -> None:
    """Keep the lines of the grid away from a name: a strip in the colour of the paper."""
    axes.axhspan(top, foot, color=PAPER, lw=0, zorder=1.5, clip_on=False)


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
