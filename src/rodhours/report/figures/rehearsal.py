"""A rehearsal: how often the interval held the truth, and what such a season settles."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rodhours.report.figures.canvas import canvas, drawn, put
from rodhours.report.figures.parts import BOLD, bottom_axis, clear, fitting, put_name
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import INK, LINE, NUMBERS, PAPER, SMALL, SOFT, TEXT
from rodhours.report.lettering import wrap
from rodhours.simulate.rehearse import ArmResult, RehearsalResult
from rodhours.wording import rehearsal as words
from rodhours.wording.numbers import MISSING

_LEFT, _TOP, _FOOT, _ROW, _HEADING = 8.0, 4.0, 34.0, 19.0, 18.0
_AIM = 95.0
_Rows = list[tuple[str, ArmResult]]


def rehearsal_picture(result: RehearsalResult) -> Picture:
    """Shares of rehearsed seasons, of 100, each with the limits that its own number gives.

    Above, one row for the model's own seasons and for each broken assumption: the interval's
    share that held the truth (filled) and that of counting every fish by itself (open). Below,
    the share of seasons that settle each true ratio.
    """
    arms = (result.own, *result.arms)
    held: _Rows = [(words.arm_name(arm.arm, result.variant), arm) for arm in arms]
    settled: _Rows = [(words.times_as_good(arm.ratio), arm) for arm in result.ladder]
    parts = [(words.HELD_HEADING, held), (words.SETTLED_HEADING, settled)]
    return drawn(
        "rehearsal",
        words.picture_alt(result),
        words.picture_caption(result),
        _table(result),
        lambda width: _draw(parts, width),
    )


def _draw(parts: Sequence[tuple[str, _Rows]], width: float) -> Figure:
    layout = [
        (
            wrap(heading, width - 12, SMALL),
            [(wrap(name, (width - 20) / BOLD, TEXT), row) for name, row in rows],
        )
        for heading, rows in parts
    ]
    height = _TOP + _FOOT
    for headings, rows in layout:
        height += _HEADING + (len(headings) - 1) * LINE
        height += sum(len(lines) * LINE + _ROW for lines, _ in rows)
    figure, axes = canvas(height, _LEFT, NUMBERS + 12, _FOOT, _TOP, width=width)
    axes.set_xlim(0, 100)
    y = _TOP
    for part, (headings, rows) in enumerate(layout):
        tall = _HEADING + (len(headings) - 1) * LINE
        clear(axes, y, y + tall)
        for i, heading in enumerate(headings):
            put(figure, height, _LEFT - 4, y + 10 + i * LINE, heading, SMALL, SOFT)
        y += tall
        for lines, row in rows:
            clear(axes, y - 1, y + len(lines) * LINE)
            y = put_name(figure, height, _LEFT - 4, y, lines)
            if part == 0:
                axes.plot([_AIM, _AIM], [y + 1, y + 13], color=INK, lw=0.8, zorder=1.6)
                _share(axes, y + 7, row.poisson_coverage, row.seasons, filled=False)
            share = row.coverage if part == 0 else row.settled
            _share(axes, y + 7, share, row.seasons, filled=True)
            numbers = _numbers(share, row.poisson_coverage if part == 0 else None)
            put(figure, height, width - NUMBERS, y + 10, numbers, fitting(numbers))
            y += _ROW
    axes.set_xticks([0, 25, 50, 75, 100])
    bottom_axis(axes)
    put(figure, height, _LEFT, height - 5, words.AXIS, SMALL, SOFT)
    return figure


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


def _numbers(share: float | None, by_itself: float | None) -> str:
    if share is None:
        return "none yet"
    if by_itself is None:
        return words.of_100(share)
    return f"{words.of_100(share)} (by itself {words.of_100(by_itself)})"


def _table(result: RehearsalResult) -> pd.DataFrame:
    """The numbers drawn, each share with its give or take."""
    names = [words.arm_name(arm.arm, result.variant) for arm in (result.own, *result.arms)]
    names += [f"a bait {words.times_as_good(arm.ratio)}" for arm in result.ladder]
    rows = [
        {
            "Seasons": name,
            "Rehearsed": f"{arm.seasons:,}",
            "Interval held the truth": words.share_said(arm.coverage, arm.seasons),
            "Every fish by itself": words.share_said(arm.poisson_coverage, arm.seasons),
            "Upper over lower limit": words.width_said(arm.median_width),
            "Settled": MISSING
            if arm in result.arms
            else words.share_said(arm.settled, arm.seasons),
        }
        for name, arm in zip(names, (result.own, *result.arms, *result.ladder), strict=True)
    ]
    return pd.DataFrame(rows)
