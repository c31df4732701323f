"""Words on the cumulative picture: names at the lines' ends, and the tallest step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from rodhours.report.figures.marks import Mark
from rodhours.report.figures.style import RULE, SMALL, TEXT
from rodhours.report.lettering import shorten, width

MOST_CROSSED = 1
"""Lines that may run through the words at the tallest step; with more they cannot be read."""


def end_labels(
    axes: Axes,
    ends: Sequence[tuple[float, float, str]],
    look: Mapping[str, Mark],
    tops: tuple[float, float],
    height: float,
    room: float,
    wide: float,
) -> None:
    """Names at the right of the lines, moved apart, each with its marker, threaded to its line.

    `height`, `room` for the names and `wide` are of the picture, in points.
    """
    x_end, y_end = tops
    axes_height = height - 34 - 10
    spacing = y_end * 10.5 / axes_height
    placed = y_end * 1.02
    spots: list[list[Any]] = []
    for x, y, name in sorted(ends, key=lambda end: -end[1]):
        placed = min(y, placed - spacing) if spots else min(y, placed)
        spots.append([x, y, placed, name])
    # Pushed below the axis: move the lot up again from the bottom.
    floor = 0.0
    for spot in reversed(spots):
        spot[2] = max(spot[2], floor)
        floor = spot[2] + spacing
    per_point = x_end / (wide - 28 - room)
    for x, y, at, name in spots:
        colour = look[name].colour
        axes.plot(
            [x, x_end + 4 * per_point, x_end + 9 * per_point],
            [y, at, at],
            color=RULE if x < x_end else colour,
            lw=0.5,
            clip_on=False,
            zorder=1,
        )
        axes.plot(
            [x_end + 13 * per_point], [at], look[name].marker, color=colour, ms=4.5, clip_on=False
        )
        axes.annotate(
            shorten(name, room - 22, TEXT),
            (x_end + 19 * per_point, at),
            va="center",
            annotation_clip=False,
        )


def name_step(
    axes: Axes,
    tallest: Mapping[str, Any],
    lines: Sequence[tuple[np.ndarray, np.ndarray]],
) -> None:
    """Beside the tallest step, where fewest lines run: how many fish, and which trip."""
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    box = axes.get_window_extent()  # pixels, of which a figure has `dpi` to the inch
    point = axes.figure.dpi / 72
    across, up = (right - left) * point / box.width, (high - low) * point / box.height
    said = shorten(f"{tallest['fish']} fish on {tallest['session']}", 120, SMALL)
    wide, tall = width(said, SMALL) * across, SMALL * up
    x, foot = tallest["rod_hours_so_far"], tallest["before"]
    spots = []
    for share in (0.9, 0.7, 0.5, 0.3, 0.1):
        for side in (-1, 1):
            start = x + 5 * across if side > 0 else x - 5 * across - wide
            y = foot + share * tallest["fish"]
            if start < left or start + wide > right:
                continue
            crossed = sum(_passes(line, start, start + wide, y - tall, y + tall) for line in lines)
            spots.append((crossed, abs(share - 0.5), side, y))
    if not spots:
        return
    crossed, _, side, y = min(spots)
    if crossed > MOST_CROSSED:
        return  # The heading of the part says it, and the table has it.
    axes.text(
        x + side * 5 * across,
        y,
        said,
        ha="left" if side > 0 else "right",
        va="center",
        fontsize=SMALL,
    )


def _passes(
    line: tuple[np.ndarray, np.ndarray], left: float, right: float, low: float, high: float
) -> bool:
    """Whether a line of level and upright pieces runs through a box."""
    xs, ys = line
    beside = (np.maximum(xs[:-1], xs[1:]) < left) | (np.minimum(xs[:-1], xs[1:]) > right)
    above = (np.maximum(ys[:-1], ys[1:]) < low) | (np.minimum(ys[:-1], ys[1:]) > high)
    return bool((~beside & ~above).any())
