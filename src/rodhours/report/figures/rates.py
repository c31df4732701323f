"""Catch rates by variant with their intervals."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.ticker import MaxNLocator

from rodhours.evidence.results import RateSummary
from rodhours.report.figures.canvas import canvas, finished, put
from rodhours.report.figures.marks import marks
from rodhours.report.figures.parts import bottom_axis, clear, fitting, interval, put_name
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import LINE, NUMBERS_LEFT, SMALL, SOFT, TEXT, WIDTH, drawing
from rodhours.report.lettering import wrap
from rodhours.report.tables import rates_table
from rodhours.wording import report as words
from rodhours.wording.numbers import count, exists, hours, rate, rate_limits


def catch_rates(
    summary: RateSummary, order: Sequence[str], reference: str, confidence: float
) -> Picture:
    """Catch rate of each variant with its interval, fish per 100 rod-hours."""
    by_name = {row.group: row for row in summary.rows}
    names = [variant for variant in order if variant in by_name]
    rows = [by_name[variant] for variant in names]
    look = marks(order, reference)
    top = _rate_axis_end(rows)
    layout = [(name, wrap(name, WIDTH - 130, TEXT)) for name in names]
    height = 6 + sum(len(lines) * LINE + 19 for _, lines in layout) + 34
    with drawing():
        figure, axes = canvas(height, left=8, right=WIDTH - NUMBERS_LEFT + 12, bottom=30)
        axes.set_xlim(0, top)
        y = 6.0
        for (name, lines), row in zip(layout, rows, strict=True):
            said = f"{count(row.fish, 'fish')}, {hours(row.rod_hours)}"
            put(figure, height, WIDTH - 4, y + 8, said, size=SMALL, colour=SOFT, align="right")
            clear(axes, y - 1, y + len(lines) * LINE)
            y = put_name(figure, height, 4, y, lines)
            interval(
                axes,
                y + 7,
                row.per_100_rod_hours,
                row.conf_low,
                row.conf_high,
                look[name],
                (0.0, top),
                zero_is_open=False,
            )
            if row.model_per_100_rod_hours is not None:
                axes.plot(
                    [row.model_per_100_rod_hours], [y + 7], "|", color=look[name].colour, ms=11
                )
            numbers = f"{rate(row.per_100_rod_hours)} ({rate_limits(row.conf_low, row.conf_high)})"
            put(figure, height, NUMBERS_LEFT, y + 10, numbers, fitting(numbers))
            y += 19
        axes.xaxis.set_major_locator(MaxNLocator(5, integer=top >= 5))
        bottom_axis(axes)
        put(figure, height, 8, height - 4, "fish per 100 rod-hours", size=SMALL, colour=SOFT)
        dicts = [vars(row) for row in rows]
        return finished(
            figure,
            "rates",
            words.rates_alt(dicts),
            words.rates_caption(confidence),
            rates_table([*rows, summary.total] if len(rows) > 1 else rows),
        )


def _rate_axis_end(rows: Sequence[Any]) -> float:
    """Where the axis of rates ends: the widest limit, but not past four times the best rate."""
    best = max([r.per_100_rod_hours for r in rows if exists(r.per_100_rod_hours)], default=0.0)
    widest = [r.conf_high for r in rows if exists(r.conf_high)]
    lows = [r.conf_low for r in rows if exists(r.conf_low)]
    end = max([*widest, best, *lows], default=0.0)
    if best > 0:
        end = min(end, 4 * best)
        if len(widest) < len(rows):
            end = max(end, 1.6 * best)
    return 1.04 * end if end > 0 else 1.0
