"""Rate ratios season by season: a group of intervals for each variant, the oldest on top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from math import log
from typing import Any

import pandas as pd
from matplotlib.figure import Figure

from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.report.figures.canvas import canvas, drawn, put
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.parts import (
    bottom_axis,
    clear,
    fitting,
    interval,
    put_name,
    ratio_ticks,
)
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.ratios import ratio_ends
from rodhours.report.figures.style import INK, LINE, NUMBERS, SMALL, SOFT, TEXT, WIDE
from rodhours.report.lettering import shorten, wrap
from rodhours.wording import season_by_season as words
from rodhours.wording.numbers import hours, limits_short, rate, ratio_label
from rodhours.wording.numbers import ratio as ratio_text

ROW = 15.0
LEFT = 52.0


def ratios_by_season(result: SeasonBySeason, order: Sequence[str]) -> Picture:
    """Forest plot: each variant's ratio in each season that had it beside the reference."""
    rows = _rows(result, order)
    return drawn(
        "seasons",
        words.alt(result.reference, rows),
        words.caption(result.reference, result.confidence),
        seasons_table(result),
        lambda width: _draw(rows, result, marks(order, result.reference), width),
    )


def _draw(
    rows: Sequence[Mapping[str, Any]],
    result: SeasonBySeason,
    look: Mapping[str, Mark],
    width: float,
) -> Figure:
    layout = [
        (name, wrap(name, width - 20, TEXT), list(own))
        for name, own in groupby(rows, key=lambda row: str(row["variant"]))
    ]
    start, stop = ratio_ends(rows)
    # On a phone the season and the numbers stand over the line, which then has the whole width.
    over = width < WIDE
    tall = ROW + LINE if over else ROW
    top = 16.0
    left, right = (8.0, 8.0) if over else (LEFT, NUMBERS + 12)
    height = top + 46 + sum(len(lines) * LINE + 9 + tall * len(own) for _, lines, own in layout)
    figure, axes = canvas(height, left, right, 36, top, width=width)
    axes.set_xscale("log")
    axes.set_xlim(start, stop)
    axes.axvline(1, color=INK, lw=0.8, zorder=1)
    y = top
    last = result.seasons[-1].season
    for name, lines, own in layout:
        clear(axes, y - 2, y + 3 + len(lines) * LINE)
        y = put_name(figure, height, 4, y + 2, lines) + 1
        mark = look.get(name, Mark(SOFT, "s"))
        for row in own:
            now = row["season"] == last
            said = ratio_label(row["estimate"], row["conf_low"], row["conf_high"])
            if over:
                clear(axes, y, y + LINE)
                put(figure, height, width - 4, y + 8, said, fitting(said), align="right")
            else:
                put(figure, height, width - NUMBERS, y + 10, said, fitting(said))
            line = y + (8 if over else 10)
            put(figure, height, 4, line, row["season"], SMALL, INK if now else SOFT)
            interval(
                axes,
                y + (LINE + 6 if over else 7),
                row["estimate"],
                row["conf_low"],
                row["conf_high"],
                mark,
                (start, stop),
                zero_is_open=True,
                weight=2.6 if now else 1.3,
                size=6.5 if now else 5.0,
            )
            y += tall
        y += 6
    room = width - left - right
    ratio_ticks(axes, start, stop, room)
    bottom_axis(axes)
    at_one = left + room * log(1 / start) / log(stop / start)
    put(figure, height, at_one - 5, 9, "← slower", SMALL, SOFT, "right")
    put(figure, height, at_one + 5, 9, "faster →", SMALL, SOFT)
    axis = f"times as fast as {result.reference}"
    put(figure, height, left, height - 7, shorten(axis, width - left, SMALL), SMALL, SOFT)
    return figure


def _rows(result: SeasonBySeason, order: Sequence[str]) -> list[dict[str, Any]]:
    """The rows with an answer, by variant in the page's order, then by season."""
    rows = [
        {str(name): None if pd.isna(value) else value for name, value in row.items()}
        for row in result.frame.to_dict("records")
    ]
    place = {name: number for number, name in enumerate(order)}
    answered = [row for row in rows if row["basis"] is not None]
    return sorted(answered, key=lambda row: (place.get(row["variant"], len(place)), row["season"]))


def seasons_table(result: SeasonBySeason) -> pd.DataFrame:
    """Seasons and variants as a table to be shown, rates and ratios beside each other."""
    rows = [
        {str(name): None if pd.isna(value) else value for name, value in row.items()}
        for row in result.frame.to_dict("records")
    ]
    return pd.DataFrame(
        {
            "Season": [row["season"] for row in rows],
            "Variant": [row["variant"] for row in rows],
            "Trips": [f"{row['sessions']:,}" for row in rows],
            "Blanks": [f"{row['blanks']:,}" for row in rows],
            "Rod-hours": [hours(float(row["rod_hours"] or 0)).split()[0] for row in rows],
            "Fish": [f"{row['fish']:,}" for row in rows],
            "Per 100 rod-hours": [rate(row["per_100_rod_hours"]) for row in rows],
            "Basis": [row["basis"] or "" for row in rows],
            "Ratio": ["" if row["basis"] is None else ratio_text(row["estimate"]) for row in rows],
            "Limits": [
                "" if row["basis"] is None else limits_short(row["conf_low"], row["conf_high"])
                for row in rows
            ],
        }
    )
