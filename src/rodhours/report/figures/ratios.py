"""Rate ratios against the reference as a forest plot, whole or the headline answers alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import exp, log
from typing import Any

from matplotlib.figure import Figure

from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, ComparisonResult
from rodhours.report.figures.canvas import canvas, finished, put
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.parts import bottom_axis, clear, fitting, interval, put_name
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import (
    BAND,
    INK,
    LINE,
    NUMBERS_LEFT,
    SMALL,
    SOFT,
    TEXT,
    WIDTH,
    drawing,
)
from rodhours.report.lettering import shorten, wrap
from rodhours.report.tables import ratio_rows, ratios_table
from rodhours.wording import report as words
from rodhours.wording.numbers import exists, ratio_label

WIDEST_RATIO = 32.0
"""The axis of ratios never goes further from 1; what does is an arrow."""


def rate_ratios(result: ComparisonResult, order: Sequence[str]) -> Picture:
    """Forest plot: the same-trip ratio beside the all-trips one, and fish by themselves."""
    rows = ratio_rows(result)
    return _forest(
        "ratios",
        rows,
        result,
        order,
        words.ratios_caption(
            result.reference, result.confidence, len(result.comparisons), result.margin
        ),
    )


def headline_ratios(result: ComparisonResult, order: Sequence[str]) -> Picture:
    """The interval of each headline answer alone, for the top of the page."""
    rows = [
        row for row, first in zip(ratio_rows(result), _is_headline(result), strict=True) if first
    ]
    caption = words.answer_caption(result.reference, result.confidence, result.margin)
    return _forest("answer", rows, result, order, caption, show_basis=False)


def _forest(
    name: str,
    rows: Sequence[Mapping[str, Any]],
    result: ComparisonResult,
    order: Sequence[str],
    caption: str,
    show_basis: bool = True,
) -> Picture:
    """Rate ratios on a log axis, grouped by variant."""
    look = marks(order, result.reference)
    left = 76.0 if show_basis else 8.0
    start, stop = ratio_ends(rows)
    groups: list[tuple[str, list[Mapping[str, Any]]]] = []
    for row in rows:
        if not groups or groups[-1][0] != row["variant"]:
            groups.append((row["variant"], []))
        groups[-1][1].append(row)
    layout = [(variant, wrap(variant, WIDTH - 20, TEXT), own) for variant, own in groups]
    row_height, pale_height = 14.0, 20.0
    top = 14.0
    height = top + 46
    for _, lines, own in layout:
        height += len(lines) * LINE + 7
        height += sum(row_height if _strength(r)[0] > 1 else pale_height for r in own)
    with drawing():
        figure, axes = canvas(height, left, WIDTH - NUMBERS_LEFT + 12, 36, top)
        axes.set_xscale("log")
        axes.set_xlim(start, stop)
        low, high = max(start, 1 / result.margin), min(stop, result.margin)
        axes.axvspan(low, high, color=BAND, lw=0, zorder=0)
        axes.axvline(1, color=INK, lw=0.8, zorder=1)
        y = top
        for variant, lines, own in layout:
            clear(axes, y, y + 2 + len(lines) * LINE)
            y = put_name(figure, height, 4, y + 2, lines)
            for row in own:
                weight, size, colour, dashes = _strength(row)
                mark = look.get(variant, Mark(SOFT, "s"))
                tall = row_height if weight > 1 else pale_height
                if show_basis:
                    _basis(figure, height, y, row["basis"], colour)
                interval(
                    axes,
                    y + 7,
                    row["estimate"],
                    row["conf_low"],
                    row["conf_high"],
                    Mark(mark.colour if weight > 1 else SOFT, mark.marker),
                    (start, stop),
                    zero_is_open=True,
                    weight=weight,
                    size=size,
                    dashes=dashes,
                )
                numbers = ratio_label(
                    row["estimate"], row["conf_low"], row["conf_high"], result.margin
                )
                put(figure, height, NUMBERS_LEFT, y + 10, numbers, fitting(numbers), colour)
                y += tall
            y += 5
        ticks = [t for t in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16) if start < t < stop]
        axes.set_xticks(ticks, [f"{tick:.3g}" for tick in ticks])
        axes.minorticks_off()
        bottom_axis(axes)
        span = log(stop / start)
        at_one = left + (NUMBERS_LEFT - 12 - left) * log(1 / start) / span
        put(figure, height, at_one - 5, 9, "← slower", SMALL, SOFT, "right")
        put(figure, height, at_one + 5, 9, "faster →", SMALL, SOFT)
        axis_name = f"times as fast as {result.reference}"
        put(figure, height, left, height - 7, shorten(axis_name, 350, SMALL), SMALL, SOFT)
        return finished(
            figure,
            name,
            words.ratios_alt(result.reference, rows, result.margin),
            caption,
            ratios_table(rows, result.margin, result.confidence),
        )


def _basis(figure: Figure, height: float, y: float, basis: str, colour: str) -> None:
    if basis == words.EVERY_FISH_BY_ITSELF:
        put(figure, height, 4, y + 8, "as if every fish", 7, SOFT)
        put(figure, height, 4, y + 16, "came by itself", 7, SOFT)
        return
    put(figure, height, 4, y + 10, basis, SMALL, colour)


def _strength(row: Mapping[str, Any]) -> tuple[float, float, str, bool]:
    """Line weight, mark size, text colour and dashes: the same trips strongest."""
    if row["basis"] == SAME_TRIPS or row["verdict"] is not None:
        return 2.6, 6.5, INK, False
    if row["basis"] == ALL_TRIPS:
        return 1.3, 5.0, INK, False
    return 0.8, 3.5, SOFT, True


def _is_headline(result: ComparisonResult) -> list[bool]:
    return [row["verdict"] is not None for row in ratio_rows(result)]


def ratio_ends(rows: Sequence[Mapping[str, Any]]) -> tuple[float, float]:
    """Where a log axis begins and ends: all finite limits, within bounds, and 0.5 to 2 at least."""
    values = [
        float(row[key])
        for row in rows
        for key in ("estimate", "conf_low", "conf_high")
        if exists(row[key]) and row[key] > 0
    ]
    # A line that is open on one side gets some length before its arrow.
    for row in rows:
        low, high = row["conf_low"], row["conf_high"]
        if exists(high) and not low:
            values.append(float(high) / 3)
        if exists(low) and low > 0 and not exists(high):
            values.append(float(low) * 3)
    least = max(1 / WIDEST_RATIO, min([0.5, *values]))
    most = min(WIDEST_RATIO, max([2.0, *values]))
    room = exp(0.06 * log(most / least))
    return least / room, most * room
