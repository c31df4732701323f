"""Catch rates by variant with their intervals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from rodhours.evidence.results import RateRow, RateSummary
from rodhours.report.figures.canvas import canvas, drawn, put
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.parts import bottom_axis, clear, fitting, head, interval, put_head
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import LINE, NUMBERS, SMALL, SOFT
from rodhours.report.tables import rates_table
from rodhours.wording import summary as words
from rodhours.wording.numbers import exists, rate, rate_limits


def catch_rates(
    summary: RateSummary, order: Sequence[str], reference: str, confidence: float
) -> Picture:
    """Catch rate of each variant with its interval, fish per 100 rod-hours, and what it rests on.

    Each row is labelled with its fish, rod-hours, trips and blanks.
    """
    by_name = {row.group: row for row in summary.rows}
    rows = [by_name[variant] for variant in order if variant in by_name]
    look = marks(order, reference)
    return drawn(
        "rates",
        words.rates_alt(rows),
        words.rates_caption(confidence),
        rates_table([*rows, summary.total] if len(rows) > 1 else rows),
        lambda width: _draw(rows, look, width),
    )


def _draw(rows: Sequence[RateRow], look: Mapping[str, Mark], width: float) -> Figure:
    top = _rate_axis_end(rows)
    layout = []
    for row in rows:
        said = words.rates_row(row)
        layout.append((row, said, *head(row.group, said, width)))
    height = 6 + sum((len(lines) + below) * LINE + 21 for _, _, lines, below in layout) + 34
    figure, axes = canvas(height, left=8, right=NUMBERS + 12, bottom=30, width=width)
    axes.set_xlim(0, top)
    y = 6.0
    for row, said, lines, below in layout:
        clear(axes, y - 1, y + (len(lines) + below) * LINE)
        y = put_head(figure, height, y, lines, said, below)
        mark = look[row.group]
        interval(
            axes,
            y + 7,
            row.per_100_rod_hours,
            row.conf_low,
            row.conf_high,
            mark,
            (0.0, top),
            zero_is_open=False,
        )
        if row.model_per_100_rod_hours is not None:
            axes.plot([row.model_per_100_rod_hours], [y + 7], "|", color=mark.colour, ms=11)
        numbers = f"{rate(row.per_100_rod_hours)} ({rate_limits(row.conf_low, row.conf_high)})"
        put(figure, height, width - NUMBERS, y + 10, numbers, fitting(numbers))
        y += 21
    axes.xaxis.set_major_locator(MaxNLocator(5, integer=top >= 5))
    bottom_axis(axes)
    put(figure, height, 8, height - 4, "fish per 100 rod-hours", size=SMALL, colour=SOFT)
    return figure


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
