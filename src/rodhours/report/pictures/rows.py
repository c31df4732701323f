"""Rows of a picture: names over their rows, intervals, numbers beside them, the axis at the foot.

Intervals are drawn from limits that are given: no plotting library is asked to estimate any.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log
from typing import Any

import seaborn
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rodhours.report.pictures.picture import canvas, put
from rodhours.report.pictures.style import BAND, INK, LINE, PAPER, RULE, SMALL, SOFT, TEXT, WIDTH
from rodhours.report.pictures.variant_style import VariantStyle
from rodhours.report.text_width import shorten, width, wrap
from rodhours.words.numbers import exists

EDGE, NUMBERS = 8.0, 94.0
"""Points from the edge of a picture to its axis, and for a column of numbers at the right."""
WIDEST_RATIO = 32.0
"""An axis of ratios never goes further from 1; what does is an arrow."""
TICKS_APART = 13.0
"""Points between the steps of an upright axis, at least."""
_BOLD = 1.08
"""How much wider bold letters are."""
_FOOT = 34.0
_LADDERS = ((1, 2, 5), (1, 3), (1,))
Limited = tuple[float | None, float | None, float | None]
"""An estimate with its lower and its upper limit; None where one does not exist."""


@dataclass(frozen=True)
class Row:
    """One row: `draw` is given the axes and the height at which the row's line lies.

    With a `label`, label and numbers stand over the line; else the numbers stand beside it.
    """

    numbers: str
    draw: Callable[[Axes, float], None]
    label: str = ""
    colour: str = INK
    tall: float = 15.0


@dataclass(frozen=True)
class Group:
    """Rows under a name, with words `beside` it; a `quiet` name is a small heading."""

    name: str
    rows: Sequence[Row]
    beside: str = ""
    quiet: bool = False


def rows_figure(
    groups: Sequence[Group],
    axis: str,
    scale: Callable[[Axes], None],
    top: float = 6.0,
    head: str = "",
) -> Figure:
    """A figure of all rows; `scale` sets the level axis, `axis` says what it is.

    `head` stands over the column of numbers.
    """
    over = any(row.label for group in groups for row in group.rows)
    heads = [_head(group) for group in groups]
    height = top + _FOOT + sum(map(_tall, groups, heads))
    figure, axes = canvas(height, EDGE, EDGE if over else NUMBERS + 12, _FOOT - 4, top)
    scale(axes)
    if head:
        put(figure, WIDTH - NUMBERS, top - 4, shorten(head, NUMBERS, SMALL), SMALL, SOFT)
    y = top
    for group, (lines, below) in zip(groups, heads, strict=True):
        foot = y + (len(lines) + below) * LINE
        # The lines of the grid are kept away from a name.
        axes.axhspan(y, foot + 2, color=PAPER, lw=0, zorder=1.5, clip_on=False)
        _put_head(figure, y, group, lines, below)
        y = foot + 1
        for row in group.rows:
            size = max(SMALL, min(TEXT, TEXT * NUMBERS / max(1.0, width(row.numbers, TEXT))))
            if row.label:
                axes.axhspan(y, y + LINE, color=PAPER, lw=0, zorder=1.5, clip_on=False)
                room = WIDTH - 8 - width(row.numbers, SMALL) - 10
                put(figure, 4, y + 8, shorten(row.label, room, SMALL), SMALL, row.colour)
                put(figure, WIDTH - 4, y + 8, row.numbers, size, row.colour, "right")
                row.draw(axes, y + LINE + 6)
            else:
                x = WIDTH - max(NUMBERS, width(row.numbers, size))
                put(figure, x, y + row.tall / 2 + 3, row.numbers, size, row.colour)
                row.draw(axes, y + row.tall / 2)
            y += row.tall
        y += 6
    seaborn.despine(ax=axes, left=True)
    axes.yaxis.set_visible(False)
    axes.grid(axis="x", color=RULE, lw=0.5)
    axes.set_axisbelow(True)
    put(figure, EDGE, height - 4, shorten(axis, WIDTH - 2 * EDGE, SMALL), SMALL, SOFT)
    return figure


def _head(group: Group) -> tuple[list[str], bool]:
    """A name in lines, and whether what is said beside it needs a line of its own."""
    if group.quiet:
        return wrap(group.name, WIDTH - 12, SMALL), False
    rest = WIDTH - 8 - width(group.beside, SMALL) - 10
    if width(group.name, TEXT) * _BOLD <= rest:
        return [group.name], False
    return wrap(group.name, (WIDTH - 12) / _BOLD, TEXT), group.beside != ""


def _tall(group: Group, head: tuple[list[str], bool]) -> float:
    lines, below = head
    return (len(lines) + below) * LINE + 7 + sum(row.tall for row in group.rows)


def _put_head(figure: Figure, y: float, group: Group, lines: Sequence[str], below: bool) -> None:
    size, colour, weight = (SMALL, SOFT, "normal") if group.quiet else (TEXT, INK, "bold")
    for i, line in enumerate(lines):
        put(figure, 4, y + 8 + i * LINE, line, size, colour, weight=weight)
    if below:
        put(figure, 4, y + 7 + len(lines) * LINE, group.beside, SMALL, SOFT)
    elif group.beside:
        put(figure, WIDTH - 4, y + 8, group.beside, SMALL, SOFT, "right")


def interval(axes: Axes, y: float, shown: Limited, style: VariantStyle) -> None:
    """A line from limit to limit with its mark; an arrow where it goes on past the axis.

    On a log axis a lower limit of 0 is none.
    """
    start, stop = axes.get_xlim()
    is_log = axes.get_xscale() == "log"

    def plot(values: Sequence[float], **how: Any) -> None:
        axes.plot(values, [y] * len(values), color=style.colour, **how)

    estimate, low, high = (value if exists(value) else None for value in shown)
    if is_log and low == 0:
        low = None
    if low is None and high is None and estimate is None:
        return
    left = start if low is None else max(start, low)
    right = stop if high is None else min(stop, high)
    plot([left, right], lw=style.weight, solid_capstyle="butt", zorder=2)
    if low is None or low < start:
        plot([start], marker="<", ms=style.size, clip_on=False, zorder=3)
    if high is None or high > stop:
        plot([stop], marker=">", ms=style.size, clip_on=False, zorder=3)
    if estimate is not None and start <= estimate <= stop:
        mark(axes, estimate, y, style)


def mark(axes: Axes, x: float, y: float, style: VariantStyle) -> None:
    """The mark of a variant, over all lines."""
    edge: dict[str, Any] = {"mec": PAPER, "mew": 0.6, "clip_on": False, "zorder": 5}
    axes.plot([x], [y], style.marker, color=style.colour, ms=style.size, **edge)


def times_as_fast(reference: str) -> str:
    """What an axis of rate ratios is."""
    return f"times as fast as {reference}"


def ratio_ends(values: Iterable[float | None], room: float = 0.05) -> tuple[float, float]:
    """Where a log axis begins and ends: all values within bounds, and 0.5 to 2 at least."""
    known = [value for value in values if value is not None and exists(value) and value > 0]
    least = max(1 / WIDEST_RATIO, min([0.5, *known]))
    most = min(WIDEST_RATIO, max([2.0, *known]))
    edge = exp(room * log(most / least))
    return least / edge, most * edge


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


def level_ratios(axes: Axes, ends: tuple[float, float]) -> None:
    """A level log axis of ratios, the line at 1, and which side of it is which."""
    start, stop = ends
    room = float(axes.get_position().width) * WIDTH
    axes.set_xscale("log")
    axes.set_xlim(start, stop)
    axes.axvline(1, color=INK, lw=0.8, zorder=1)
    steps = ratio_steps(start, stop, room, lambda name: width(name, SMALL) + 3)
    # A name at the very edge would be cut off by it.
    kept = {
        tick: name
        for tick, name in steps.items()
        if EDGE + room * log(tick / start) / log(stop / start) >= width(name, SMALL) / 2
    }
    axes.set_xticks(list(kept), list(kept.values()))
    axes.minorticks_off()
    for words, side, align in (("← slower", -5, "right"), ("faster →", 5, "left")):
        axes.annotate(
            words,
            (1, 1),
            (side, 7),
            xycoords=("data", "axes fraction"),
            textcoords="offset points",
            ha=align,
            fontsize=SMALL,
            color=SOFT,
        )


def shaded(axes: Axes, ends: tuple[float, float], margin: float) -> None:
    """The band of what counts as level, within the ends of the axis, and its edges."""
    low, high = max(ends[0], 1 / margin), min(ends[1], margin)
    band(axes, (low, high), (axes.get_ylim()[1], axes.get_ylim()[0]))


def band(axes: Axes, ends: tuple[float, float], heights: tuple[float, float]) -> None:
    """A shaded stretch, its edges dotted: the shade alone is too faint to be told from paper."""
    low, high = ends
    top, foot = heights
    axes.fill([low, high, high, low], [top, top, foot, foot], color=BAND, lw=0, zorder=0)
    for edge in ends:
        axes.plot([edge, edge], heights, color=SOFT, lw=0.5, ls=(0, (1, 2)), zorder=0.5)


def upright_ratios(axes: Axes, tall: float) -> None:
    """The steps of an upright log axis of ratios of `tall` points, and its lines."""
    steps = ratio_steps(*axes.get_ylim(), tall, lambda _: TICKS_APART)
    axes.set_yticks(list(steps), list(steps.values()))
    axes.minorticks_off()
    axes.grid(axis="y", color=RULE, lw=0.5)
    axes.set_axisbelow(True)
    seaborn.despine(ax=axes)
