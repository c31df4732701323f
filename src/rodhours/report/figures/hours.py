"""Bars of each variant's rod-hours by water and time: what its trips had that others' had not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np
import pandas as pd
import seaborn
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rodhours.report.figures.canvas import add_axes, canvas, finished, put
from rodhours.report.figures.marks import marks
from rodhours.report.figures.parts import put_name
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import LINE, RULE, SMALL, SOFT, TEXT, WIDTH, drawing
from rodhours.report.lettering import shorten, wrap
from rodhours.report.tables import hours_table
from rodhours.report.tallies import HoursByPlace, hours_by_place
from rodhours.wording import report as words
from rodhours.wording.numbers import hours

LEFT, RIGHT, GAP = 26.0, 4.0, 10.0
"""Room in points for the scale, at the right edge, and about as much between two waters."""
WIDEST_STEP = 22.0


@dataclass(frozen=True)
class Slots:
    """Where bars can stand, the same for all variants.

    `hours` is the frame of HoursByPlace with the column `slot`, which counts from 0 to `number`;
    `firsts` are the slots at which a water begins, `times` the slots of a water, `step` the width
    of a slot in points.
    """

    hours: pd.DataFrame
    number: int
    firsts: list[int]
    times: int
    step: float


def where_hours_went(stints: pd.DataFrame, order: Sequence[str], reference: str) -> Picture:
    """Small bars of each variant's rod-hours by water and time, all on one scale."""
    places = hours_by_place(stints, order)
    look = marks(order, reference)
    slots = _slots(places)
    scale_top = _round_up(float(places.frame["rod_hours"].max()))
    totals = places.frame.groupby("variant", sort=False)["rod_hours"].sum()
    layout = [(name, wrap(name, WIDTH - 100, TEXT)) for name in order if name in totals.index]
    bar = 34.0 if len(layout) <= 6 else 22.0
    top = 16.0 if places.has_venues else 4.0
    height = top + sum(len(lines) * LINE + bar + 9 for _, lines in layout) + 26
    starts = [LEFT + first * slots.step for first in slots.firsts]
    with drawing():
        figure, axes = canvas(height, left=0, right=0, bottom=0)
        axes.set_xlim(0, WIDTH)
        axes.set_axis_off()
        if places.has_venues:
            for start, venue in zip(starts, places.venues, strict=True):
                said = shorten(venue, len(places.bins) * slots.step, SMALL)
                put(figure, height, start, 10, said, size=SMALL, colour=SOFT)
        y = top
        for name, lines in layout:
            said = hours(totals[name])
            put(figure, height, WIDTH - 4, y + 8, said, size=SMALL, colour=SOFT, align="right")
            y = put_name(figure, height, LEFT, y, lines, marker=look[name], axes=axes) + 2
            row = add_axes(figure, height, LEFT, y, slots.number * slots.step, bar)
            own = slots.hours[slots.hours["variant"] == name]
            _bars(row, own, slots, look[name].colour, scale_top)
            y += bar + 7
        for start in starts:
            _time_labels(figure, height, start, slots.step, y, places.bins)
        return finished(
            figure,
            "hours",
            words.hours_alt(_top_places(places.frame)),
            words.hours_caption(places.bin_name, places.has_dates, places.has_venues),
            hours_table(places),
        )


def _slots(places: HoursByPlace) -> Slots:
    """The places of bars: the times of the first water, a gap, the times of the next."""
    venues, times = len(places.venues), len(places.bins)
    room = WIDTH - LEFT - RIGHT
    gap = max(1, round(GAP * venues * times / room))
    number = venues * times + (venues - 1) * gap
    firsts = [i * (times + gap) for i in range(venues)]
    hours_at = places.frame.assign(
        slot=places.frame["venue"].map(dict(zip(places.venues, firsts, strict=True)))
        + places.frame["when"].map({when: i for i, when in enumerate(places.bins)})
    )
    return Slots(hours_at, number, firsts, times, min(room / number, WIDEST_STEP))


def _bars(axes: Axes, own: pd.DataFrame, slots: Slots, colour: str, scale_top: float) -> None:
    """One variant's bars over a line for each water; the scale stands at their left."""
    seaborn.barplot(
        data=own,
        x="slot",
        y="rod_hours",
        order=range(slots.number),
        orient="v",
        estimator="sum",
        errorbar=None,
        color=colour,
        saturation=1,
        width=0.76,
        linewidth=0,
        ax=axes,
    )
    lefts = np.array(slots.firsts) - 0.5
    feet = np.zeros(len(lefts))
    axes.hlines(feet, lefts, lefts + slots.times, color=RULE, lw=0.6, clip_on=False, zorder=0)
    top_label = f"{scale_top:,.0f}" if scale_top >= 1 else f"{scale_top:g}"
    axes.set(
        xlim=(-0.5, slots.number - 0.5),
        ylim=(0, scale_top),
        xlabel="",
        ylabel="",
        xticks=[],
        yticks=[0, scale_top],
        yticklabels=["0 h", top_label],
    )
    axes.tick_params(axis="y", length=0, labelsize=7, pad=2)
    bottom, top = axes.get_yticklabels()
    bottom.set_verticalalignment("baseline")
    top.set_verticalalignment("top")
    seaborn.despine(ax=axes, bottom=True, offset={"left": 3})


def _time_labels(
    figure: Figure, height: float, start: float, step: float, y: float, bins: Sequence[str]
) -> None:
    """Under the bars: first letters of months (or quarters), the year where it begins."""
    every = max(1, ceil(8.5 / step))
    last_year, last_x = "", -100.0
    for i, name in enumerate(bins):
        x = start + (i + 0.5) * step
        parts = name.split()
        month = len(parts) == 2 and len(parts[0]) == 3
        year = parts[1] if month else parts[0]
        dated = year.isdigit()
        if not dated:
            put(figure, height, x, y + 6, "?", 7, SOFT, "center")
            continue
        if month and i % every == 0:
            put(figure, height, x, y + 6, parts[0][0], 7, SOFT, "center")
        if year != last_year and x - last_x > 22:
            put(figure, height, x - 2.5, y + 16, year, 7, SOFT)
            last_year, last_x = year, x


def _round_up(value: float) -> float:
    """The next round number: an easy multiple of a power of ten."""
    if value <= 0:
        return 1.0
    power = 10.0 ** np.floor(np.log10(value))
    return float(
        next(
            m * power
            for m in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)
            if m * power >= value * (1 - 1e-9)
        )
    )


def _top_places(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """For each variant the water and time with most of its hours."""
    rows = []
    for variant, own in frame.groupby("variant", sort=False):
        best = own.iloc[int(own["rod_hours"].to_numpy().argmax())]
        rows.append(
            {
                "variant": variant,
                "rod_hours": float(own["rod_hours"].sum()),
                "top": f"on {best['venue']}, {best['when']}",
                "share": float(best["share"]),
            }
        )
    return rows
