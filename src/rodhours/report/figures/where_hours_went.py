"""Bars of each variant's rod-hours by water and time: what its trips had that others' had not."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from rodhours.report.figures.canvas import canvas, finished, put
from rodhours.report.figures.marks import marks
from rodhours.report.figures.parts import put_name
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import LINE, RULE, SMALL, SOFT, TEXT, WIDTH, drawing
from rodhours.report.lettering import shorten, wrap
from rodhours.report.tables import hours_table
from rodhours.report.tallies import hours_by_place
from rodhours.wording import report as words
from rodhours.wording.numbers import hours


def where_hours_went(stints: pd.DataFrame, order: Sequence[str], reference: str) -> Picture:
    """Small bars of each variant's rod-hours by water and time, all on one scale."""
    places = hours_by_place(stints, order)
    look = marks(order, reference)
    venues, bins = places.venues, places.bins
    gap, left, right = 10.0, 26.0, 4.0
    column = (WIDTH - left - right - gap * (len(venues) - 1)) / len(venues)
    step = min(column / len(bins), 22.0)
    most = float(places.frame["rod_hours"].max())
    scale_top = _round_up(most)
    totals = places.frame.groupby("variant", sort=False)["rod_hours"].sum()
    layout = [(name, wrap(name, WIDTH - 100, TEXT)) for name in order if name in totals.index]
    bar = 34.0 if len(layout) <= 6 else 22.0
    show_venues = places.has_venues
    top = 16.0 if show_venues else 4.0
    height = top + sum(len(lines) * LINE + bar + 9 for _, lines in layout) + 26
    hour_of = {
        (str(v), str(p), str(w)): float(h)
        for v, p, w, h in zip(
            places.frame["variant"],
            places.frame["venue"],
            places.frame["when"],
            places.frame["rod_hours"],
            strict=True,
        )
    }
    with drawing():
        figure, axes = canvas(height, left=0, right=0, bottom=0)
        axes.set_xlim(0, WIDTH)
        axes.set_axis_off()
        starts = [left + i * (column + gap) for i in range(len(venues))]
        if show_venues:
            for start, venue in zip(starts, venues, strict=True):
                said = shorten(venue, column, SMALL)
                put(figure, height, start, 10, said, size=SMALL, colour=SOFT)
        y = top
        for name, lines in layout:
            said = hours(totals[name])
            put(figure, height, WIDTH - 4, y + 8, said, size=SMALL, colour=SOFT, align="right")
            y = put_name(figure, height, left, y, lines, marker=look[name], axes=axes)
            foot = y + bar + 2
            for start, venue in zip(starts, venues, strict=True):
                axes.plot([start, start + step * len(bins)], [foot, foot], color=RULE, lw=0.6)
                patches = [
                    Rectangle((start + i * step + step * 0.12, foot), step * 0.76, -tall)
                    for i, when in enumerate(bins)
                    if (tall := bar * hour_of.get((name, venue, when), 0.0) / scale_top) > 0
                ]
                axes.add_collection(PatchCollection(patches, facecolor=look[name].colour, lw=0))
            axes.plot([left - 3, left - 3], [foot, foot - bar], color=SOFT, lw=0.6)
            top_label = f"{scale_top:,.0f}" if scale_top >= 1 else f"{scale_top:g}"
            put(figure, height, left - 5, foot - bar + 6, top_label, 7, SOFT, "right")
            put(figure, height, left - 5, foot, "0 h", 7, SOFT, "right")
            y = foot + 7
        for start in starts:
            _time_labels(figure, height, start, step, y, bins)
        return finished(
            figure,
            "hours",
            words.hours_alt(_top_places(places.frame)),
            words.hours_caption(places.bin_name, places.has_dates, places.has_venues),
            hours_table(places),
        )


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
