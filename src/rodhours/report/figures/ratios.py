"""Rate ratios against the reference as a forest plot, whole or the headline answers alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from math import exp, log
from typing import Any

from matplotlib.figure import Figure

from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, ComparisonResult
from rodhours.report.figures.canvas import canvas, drawn, put
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.parts import (
    bottom_axis,
    clear,
    fitting,
    head,
    interval,
    put_head,
    ratio_ticks,
)
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import BAND, INK, LINE, NUMBERS, SMALL, SOFT, WIDE
from rodhours.report.lettering import shorten
from rodhours.report.tables import ratio_rows, ratios_table
from rodhours.wording import report as words
from rodhours.wording.answer import verdict_words
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
        words.ratios_caption(result),
    )


def headline_ratios(result: ComparisonResult, order: Sequence[str]) -> Picture:
    """The interval of each headline answer alone, for the top of the page."""
    rows = [
        row for row, first in zip(ratio_rows(result), _is_headline(result), strict=True) if first
    ]
    caption = words.answer_caption(result)
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
    return drawn(
        name,
        words.ratios_alt(result.reference, rows, result.margin),
        caption,
        ratios_table(rows, result.margin, result.confidence),
        lambda width: _draw(rows, result, marks(order, result.reference), width, show_basis),
    )


def _draw(
    rows: Sequence[Mapping[str, Any]],
    result: ComparisonResult,
    look: Mapping[str, Mark],
    width: float,
    show_basis: bool,
) -> Figure:
    # On a phone the basis and the numbers stand over the line, which then has the whole width.
    over = show_basis and width < WIDE
    left = 76.0 if show_basis and not over else 8.0
    right = 8.0 if over else NUMBERS + 12
    room = width - left - right
    start, stop = ratio_ends(rows)
    layout = []
    for variant, own in groupby(rows, key=lambda row: str(row["variant"])):
        group = list(own)
        verdict = "" if show_basis else verdict_words(group[0]["verdict"])
        layout.append((variant, group, verdict, *head(variant, verdict, width)))
    top = 16.0
    height = top + 46
    for _, group, _, lines, below in layout:
        height += (len(lines) + below) * LINE + 9
        height += sum(_tall(row, over) for row in group)
    figure, axes = canvas(height, left, right, 36, top, width=width)
    axes.set_xscale("log")
    axes.set_xlim(start, stop)
    low, high = max(start, 1 / result.margin), min(stop, result.margin)
    axes.axvspan(low, high, color=BAND, lw=0, zorder=0)
    axes.axvline(1, color=INK, lw=0.8, zorder=1)
    y = top
    for variant, group, verdict, lines, below in layout:
        clear(axes, y - 2, y + 3 + (len(lines) + below) * LINE)
        y = put_head(figure, height, y + 2, lines, verdict, below) + 1
        for row in group:
            weight, size, colour, dashes = _strength(row)
            mark = look.get(variant, Mark(SOFT, "s"))
            numbers = ratio_label(row["estimate"], row["conf_low"], row["conf_high"], result.margin)
            if over:
                clear(axes, y, y + LINE)
                put(figure, height, 4, y + 8, row["basis"], SMALL, colour)
                put(figure, height, width - 4, y + 8, numbers, fitting(numbers), colour, "right")
            else:
                put(figure, height, width - NUMBERS, y + 10, numbers, fitting(numbers), colour)
                if show_basis:
                    _basis(figure, height, y, row["basis"], colour)
            interval(
                axes,
                y + (LINE + 6 if over else 7),
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
            y += _tall(row, over)
        y += 6
    ratio_ticks(axes, start, stop, room)
    bottom_axis(axes)
    at_one = left + room * log(1 / start) / log(stop / start)
    put(figure, height, at_one - 5, 9, "← slower", SMALL, SOFT, "right")
    put(figure, height, at_one + 5, 9, "faster →", SMALL, SOFT)
    axis_name = f"times as fast as {result.reference}"
    put(figure, height, left, height - 7, shorten(axis_name, width - left - 8, SMALL), SMALL, SOFT)
    return figure


def _tall(row: Mapping[str, Any], over: bool) -> float:
    """The height of a row in points."""
    if over:
        return LINE + 15.0
    return 15.0 if _strength(row)[0] > 1 else 20.0


def _basis(figure: Figure, height: float, y: float, basis: str, colour: str) -> None:
    if basis == words.EVERY_FISH_BY_ITSELF:
        put(figure, height, 4, y + 8, "as if every fish", SMALL, SOFT)
        put(figure, height, 4, y + 17, "came by itself", SMALL, SOFT)
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
