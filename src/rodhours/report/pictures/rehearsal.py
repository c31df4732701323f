"""A rehearsal: how often the interval held the truth, and what such a season settles."""

from __future__ import annotations

import pandas as pd
from matplotlib.axes import Axes

from rodhours.report.pictures.picture import Picture, drawn
from rodhours.report.pictures.rows import Group, Row, rows_figure
from rodhours.report.pictures.style import INK, PAPER, SOFT
from rodhours.simulate.rehearse import ArmResult, RehearsalResult
from rodhours.words import rehearsal as words
from rodhours.words.numbers import MISSING

_AIM = 95.0


def rehearsal_picture(result: RehearsalResult) -> Picture:
    """Shares of rehearsed seasons, of 100, each with the limits that its own number gives.

    Above, one row for the model's own seasons and for each broken assumption: the interval's
    share that held the truth (filled) and that of counting every fish by itself (open). Below,
    the share of seasons that settle each true ratio.
    """
    held = [
        Group(words.arm_name(arm.arm, result.variant), [_row(arm, held=True)])
        for arm in (result.own, *result.arms)
    ]
    settled = [
        Group(words.times_as_good(arm.ratio), [_row(arm, held=False)]) for arm in result.ladder
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
        words.picture_alt(result),
        words.picture_caption(result),
        _table(result),
        lambda: rows_figure(groups, words.AXIS, scale),
    )


def _row(arm: ArmResult, *, held: bool) -> Row:
    share = arm.coverage if held else arm.settled

    def draw(axes: Axes, y: float) -> None:
        if held:
            axes.plot([_AIM, _AIM], [y - 6, y + 6], color=INK, lw=0.8, zorder=1.6)
            _share(axes, y, arm.poisson_coverage, arm.seasons, filled=False)
        _share(axes, y, share, arm.seasons, filled=True)

    return Row(_numbers(share, arm.poisson_coverage if held else None), draw)


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
