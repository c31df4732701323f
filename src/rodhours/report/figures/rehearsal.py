"""A rehearsal: how often the interval held the truth, and what such a season settles."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
from matplotlib.axes import Axes

from rodhours.evidence.rehearsal import RehearsalResult
from rodhours.report.figures.picture import Picture, drawn
from rodhours.report.figures.rows import Group, Row, rows_figure
from rodhours.report.figures.style import INK, PAPER, SOFT
from rodhours.wording import rehearsal as words
from rodhours.wording.numbers import MISSING

_AIM = 95.0


def rehearsal_picture(result: RehearsalResult) -> Picture:
    """Shares of rehearsed seasons, of 100, each with the limits that its own number gives.

    Above, one row for the model's own seasons and for each broken assumption: the interval's
    share that held the truth (filled) and that of counting every fish by itself (open). Below,
    the share of seasons that settle each true ratio.
    """
    machine = result.to_dict()
    held = [
        Group(words.arm_name(row["arm"], result.variant), [_row(row, held=True)])
        for row in words.rows_of(machine)
    ]
    settled = [
        Group(
            words.times_as_good(one.ratio),
            [_row({"coverage": one.settled, "seasons": one.seasons}, held=False)],
        )
        for one in result.ladder
    ]
    groups = [
        Group(words.HELD_HEADING, (), quiet=True),
        *held,
        Group(words.SETTLED_HEADING, (), quiet=True),
        *settled,
    ]

    def scale(axes: Axes) -> None:
        axes.set_xlim(0, 100)
        axes.set_xticks([0, 25, 50, 75, 100])

    return drawn(
        "rehearsal",
        words.picture_alt(machine),
        words.picture_caption(machine),
        _table(result),
        lambda: rows_figure(groups, words.AXIS, scale),
    )


def _row(row: Mapping[str, Any], *, held: bool) -> Row:
    def draw(axes: Axes, y: float) -> None:
        if held:
            axes.plot([_AIM, _AIM], [y - 6, y + 6], color=INK, lw=0.8, zorder=1.6)
            _share(axes, y, row["poisson_coverage"], row["seasons"], filled=False)
        _share(axes, y, row["coverage"], row["seasons"], filled=True)

    return Row(_numbers(row), draw)


def _share(axes: Axes, y: float, share: float | None, seasons: int, *, filled: bool) -> None:
    """A share with the limits that its number of seasons gives."""
    if share is None:
        return
    low, high = words.share_limits(share, seasons)
    colour = INK if filled else SOFT
    axes.plot([100 * low, 100 * high], [y, y], color=colour, lw=1.3 if filled else 0.8, zorder=2)
    axes.plot(
        [100 * share],
        [y],
        "o",
        color=colour,
        mfc=INK if filled else PAPER,
        ms=5.5,
        zorder=4 if filled else 3,
        clip_on=False,
    )


def _numbers(row: Mapping[str, Any]) -> str:
    if row["coverage"] is None:
        return "none yet"
    said = words.of_100(row["coverage"])
    if "poisson_coverage" in row:
        return f"{said} (by itself {words.of_100(row['poisson_coverage'])})"
    return said


def _table(result: RehearsalResult) -> pd.DataFrame:
    """The numbers drawn, each share with its give or take."""
    machine = result.to_dict()
    rows = [
        {
            "Seasons": words.arm_name(row["arm"], result.variant),
            "Rehearsed": f"{row['seasons']:,}",
            "Interval held the truth": words.share_said(row["coverage"], row["seasons"]),
            "Every fish by itself": words.share_said(row["poisson_coverage"], row["seasons"]),
            "Upper over lower limit": words.width_said(row["median_width"]),
            "Settled": words.share_said(result.own.settled, row["seasons"])
            if row["arm"] == "own"
            else MISSING,
        }
        for row in words.rows_of(machine)
    ]
    rows += [
        {
            "Seasons": f"a bait {words.times_as_good(one.ratio)}",
            "Rehearsed": f"{one.seasons:,}",
            "Interval held the truth": words.share_said(one.coverage, one.seasons),
            "Every fish by itself": words.share_said(one.poisson_coverage, one.seasons),
            "Upper over lower limit": words.width_said(one.median_width),
            "Settled": words.share_said(one.settled, one.seasons),
        }
        for one in result.ladder
    ]
    return pd.DataFrame(rows)
