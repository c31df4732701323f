"""Cumulative fish against rod-hours, all variants in one frame while they are few."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
import seaborn
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from rodhours.report.figures.canvas import canvas, drawn, put
from rodhours.report.figures.cumulative_labels import end_labels, name_step
from rodhours.report.figures.cumulative_panels import cumulative_panels
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.steps import stairs, totals
from rodhours.report.figures.style import SMALL, SOFT, TEXT, WIDE
from rodhours.report.lettering import width as text_width
from rodhours.report.tables import cumulative_table
from rodhours.report.tallies import best_trip, cumulative
from rodhours.wording import report as words

MOST_LINES = 6
"""Cumulative lines in one frame; more variants get a small frame each."""
MARKS_ALONG = 6


def cumulative_fish(stints: pd.DataFrame, order: Sequence[str], reference: str) -> Picture:
    """Fish so far against rod-hours so far, in steps; the tallest step is named."""
    steps = cumulative(stints, order)
    look = marks(order, reference)
    names = [name for name in order if name in set(steps["variant"])]

    def draw(width: float) -> Figure:
        if len(names) > MOST_LINES:
            return cumulative_panels(steps, names, look, reference, width)
        return _one_frame(steps, names, look, reference, width)

    return drawn(
        "cumulative",
        words.cumulative_alt(totals(steps)),
        words.cumulative_caption(),
        cumulative_table(steps),
        draw,
    )


def _one_frame(
    steps: pd.DataFrame,
    names: Sequence[str],
    look: Mapping[str, Mark],
    reference: str,
    width: float,
) -> Figure:
    tallest = best_trip(steps)
    x_end = float(steps["rod_hours_so_far"].max())
    y_end = max(1.0, float(steps["fish_so_far"].max()))
    height = max(230.0, 60 + len(names) * 11.0)
    label_room = min(24 + max(text_width(name, TEXT) for name in names), 0.36 * width)
    figure, axes = canvas(
        height, left=28, right=label_room, bottom=34, top=10, down=False, width=width
    )
    axes.set_xlim(0, x_end)
    axes.set_ylim(0, y_end * 1.04)
    ends, lines = [], []
    for name in names:
        own = steps[steps["variant"] == name]
        xs, ys = stairs(own)
        lines.append((xs, ys))
        mark = look[name]
        axes.plot(xs, ys, color=mark.colour, lw=1.8 if name == reference else 1.4)
        # In grey, lines that cross are told apart by their marks along the way.
        along = np.searchsorted(xs, np.arange(1, MARKS_ALONG) * x_end / MARKS_ALONG)
        along = along[along < len(xs) - 1]
        axes.plot(xs[along], ys[along], mark.marker, color=mark.colour, ms=3.2, zorder=4)
        axes.plot(
            [xs[-1]], [ys[-1]], mark.marker, color=mark.colour, ms=4.5, clip_on=False, zorder=4
        )
        ends.append((float(xs[-1]), float(ys[-1]), name))
    end_labels(axes, ends, look, (x_end, y_end * 1.04), height, label_room, width)
    if tallest is not None and tallest["fish"] >= 3:
        name_step(axes, tallest, lines)
    seaborn.despine(ax=axes)
    axes.xaxis.set_major_locator(MaxNLocator(4 if width >= WIDE else 3))
    axes.yaxis.set_major_locator(MaxNLocator(5, integer=True))
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.10g}")
    put(figure, height, 28, height - 7, "rod-hours so far", size=SMALL, colour=SOFT)
    put(figure, height, 30, 9, "fish so far", size=SMALL, colour=SOFT)
    return figure
