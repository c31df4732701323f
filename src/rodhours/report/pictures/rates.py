"""Catch rates by variant with their intervals."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from rodhours.evidence.results import RateRow, RateSummary
from rodhours.report.pictures.picture import Picture, drawn
from rodhours.report.pictures.rows import Group, Row, interval, rows_figure
from rodhours.report.pictures.variant_style import Styles, VariantStyle
from rodhours.report.tables import rates_table
from rodhours.words import summary as words
from rodhours.words.numbers import rate, rate_limits


def catch_rates(summary: RateSummary, styles: Styles, confidence: float) -> Picture:
    """Catch rate of each variant with its interval, fish per 100 rod-hours, and what it rests on.

    Each row is labelled with its fish, rod-hours, trips and blanks.
    """
    by_name = {row.group: row for row in summary.rows}
    rows = [by_name[variant] for variant in styles if variant in by_name]
    end = _axis_end(rows)
    groups = [
        Group(
            row.group,
            [
                Row(
                    f"{rate(row.per_100_rod_hours)} ({rate_limits(row.conf_low, row.conf_high)})",
                    _line(row, styles[row.group]),
                )
            ],
            words.rates_row(row),
        )
        for row in rows
    ]

    def scale(axes: Axes) -> None:
        axes.set_xlim(0, end)
        axes.xaxis.set_major_locator(MaxNLocator(5, integer=end >= 5))
        axes.xaxis.set_major_formatter("{x:g}")

    return drawn(
        "rates",
        words.rates_alt(rows),
        words.rates_caption(confidence),
        rates_table([*rows, summary.total] if len(rows) > 1 else rows),
        lambda: rows_figure(groups, "fish per 100 rod-hours", scale),
    )


def _line(row: RateRow, style: VariantStyle) -> Callable[[Axes, float], None]:
    def draw(axes: Axes, y: float) -> None:
        interval(axes, y, (row.per_100_rod_hours, row.conf_low, row.conf_high), style)
        if row.model_per_100_rod_hours is not None:
            axes.plot([row.model_per_100_rod_hours], [y], "|", color=style.colour, ms=11)

    return draw


def _axis_end(rows: Sequence[RateRow]) -> float:
    """Where the axis of rates ends: the widest limit, but not past four times the best rate."""
    best = max((row.per_100_rod_hours or 0.0 for row in rows), default=0.0)
    widest = [row.conf_high for row in rows if row.conf_high is not None]
    end = max([*widest, best, *(row.conf_low or 0.0 for row in rows)])
    if best > 0:
        end = min(end, 4 * best)
        if len(widest) < len(rows):
            end = max(end, 1.6 * best)
    return 1.04 * end if end > 0 else 1.0
