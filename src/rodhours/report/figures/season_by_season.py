"""Rate ratios season by season: a group of intervals for each variant, the oldest on top."""

from __future__ import annotations

from collections.abc import Sequence
from math import log
from typing import Any

import pandas as pd

from rodhours.evidence.season_by_season import SeasonBySeason
from rodhours.report.figures.canvas import canvas, finished, put
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.parts import bottom_axis, clear, fitting, interval, put_name
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.ratios import ratio_ends
from rodhours.report.figures.style import (
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
from rodhours.wording import season_by_season as words
from rodhours.wording.numbers import hours, limits_short, rate, ratio_label
from rodhours.wording.numbers import ratio as ratio_text

ROW = 15.0
LEFT = 52.0


def ratios_by_season(result: SeasonBySeason, order: Sequence[str]) -> Picture:
    """Forest plot: each variant's ratio in each season that had it beside the reference."""
    rows = _rows(result, order)
    look = marks(order, result.reference)
    groups = [name for name in order if any(row["variant"] == name for row in rows)]
    layout = [
        (name, wrap(name, WIDTH - 20, TEXT), [row for row in rows if row["variant"] == name])
        for name in groups
    ]
    start, stop = ratio_ends(rows)
    top = 14.0
    height = top + 46 + sum(len(lines) * LINE + 7 + ROW * len(own) for _, lines, own in layout)
    with drawing():
        figure, axes = canvas(height, LEFT, WIDTH - NUMBERS_LEFT + 12, 36, top)
        axes.set_xscale("log")
        axes.set_xlim(start, stop)
        axes.axvline(1, color=INK, lw=0.8, zorder=1)
        y = top
        last = result.seasons[-1].season
        for name, lines, own in layout:
            clear(axes, y, y + 2 + len(lines) * LINE)
            y = put_name(figure, height, 4, y + 2, lines)
            mark = look.get(name, Mark(SOFT, "s"))
            for row in own:
                now = row["season"] == last
                put(figure, height, 4, y + 10, row["season"], SMALL, INK if now else SOFT)
                interval(
                    axes,
                    y + 7,
                    row["estimate"],
                    row["conf_low"],
                    row["conf_high"],
                    mark,
                    (start, stop),
                    zero_is_open=True,
                    weight=2.6 if now else 1.3,
                    size=6.5 if now else 5.0,
                )
                said = ratio_label(row["estimate"], row["conf_low"], row["conf_high"])
                put(figure, height, NUMBERS_LEFT, y + 10, said, fitting(said))
                y += ROW
            y += 5
        ticks = [t for t in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16) if start < t < stop]
        axes.set_xticks(ticks, [f"{tick:.3g}" for tick in ticks])
        axes.minorticks_off()
        bottom_axis(axes)
        at_one = LEFT + (NUMBERS_LEFT - 12 - LEFT) * log(1 / start) / log(stop / start)
        put(figure, height, at_one - 5, 9, "← slower", SMALL, SOFT, "right")
        put(figure, height, at_one + 5, 9, "faster →", SMALL, SOFT)
        name = f"times as fast as {result.reference}"
        put(figure, height, LEFT, height - 7, shorten(name, WIDTH - LEFT, SMALL), SMALL, SOFT)
        return finished(
            figure,
            "seasons",
            words.alt(result.reference, rows),
            words.caption(result.reference, result.confidence),
            _table(result),
        )


def _rows(result: SeasonBySeason, order: Sequence[str]) -> list[dict[str, Any]]:
    """The rows with an answer, by variant in the page's order, then by season."""
    rows = [
        {str(name): None if pd.isna(value) else value for name, value in row.items()}
        for row in result.frame.to_dict("records")
    ]
    place = {name: number for number, name in enumerate(order)}
    answered = [row for row in rows if row["basis"] is not None]
    return sorted(answered, key=lambda row: (place.get(row["variant"], len(place)), row["season"]))


def _table(result: SeasonBySeason) -> pd.DataFrame:
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
