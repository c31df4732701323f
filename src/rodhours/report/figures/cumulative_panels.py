"""Cumulative fish of many variants: a small frame each, all on one scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil

import pandas as pd
from matplotlib.figure import Figure

from rodhours.report.figures.canvas import canvas, put
from rodhours.report.figures.marks import Mark
from rodhours.report.figures.steps import stairs
from rodhours.report.figures.style import INK, LINE, RULE, SMALL, SOFT, WIDE
from rodhours.report.lettering import shorten, wrap


def cumulative_panels(
    steps: pd.DataFrame,
    names: Sequence[str],
    look: Mapping[str, Mark],
    reference: str,
    width: float,
) -> Figure:
    """One small frame a variant, all on one scale, the reference beside each in pale."""
    columns, gap, left, right, foot = 3 if width >= WIDE else 2, 14.0, 20.0, 6.0, 42.0
    wide = (width - left - right - gap * (columns - 1)) / columns
    tall, head = 62.0, 2 * LINE + 11
    rows = ceil(len(names) / columns)
    height = rows * (tall + head) + foot
    x_end = float(steps["rod_hours_so_far"].max())
    y_end = max(1.0, float(steps["fish_so_far"].max()))
    lines = {name: stairs(steps[steps["variant"] == name]) for name in names}
    figure, axes = canvas(height, left=0, right=0, bottom=0, width=width)
    axes.set_xlim(0, width)
    axes.set_axis_off()
    for i, name in enumerate(names):
        start = left + (i % columns) * (wide + gap)
        base = (i // columns + 1) * (tall + head)
        for j, line in enumerate(reversed(wrap(name, wide, SMALL, most=2))):
            put(figure, height, start, base - tall - 5 - j * 9.5, line, SMALL)
        axes.plot([start, start, start + wide], [base - tall, base, base], color=RULE, lw=0.6)
        for shown, colour, weight in ((reference, SOFT, 0.7), (name, look[name].colour, 1.5)):
            if shown not in lines:
                continue
            xs = start + wide * lines[shown][0] / x_end
            ys = base - tall * lines[shown][1] / y_end
            axes.plot(xs, ys, color=INK if shown == name else colour, lw=weight)
        axes.plot([xs[-1]], [ys[-1]], look[name].marker, color=INK, ms=3.5)
        if i % columns == 0:
            put(figure, height, start - 3, base - tall + 6, f"{y_end:,.0f}", SMALL, SOFT, "right")
            put(figure, height, start - 3, base, "0", SMALL, SOFT, "right")
        if i + columns >= len(names):
            put(figure, height, start, base + 9, "0", SMALL, SOFT)
            put(figure, height, start + wide, base + 9, f"{x_end:,.0f}", SMALL, SOFT, "right")
    said = f"fish so far (upwards) against rod-hours so far; pale: {reference}"
    put(figure, height, left, height - 8, shorten(said, width - left, SMALL), SMALL, SOFT)
    return figure
