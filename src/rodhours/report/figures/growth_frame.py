"""One frame of growing evidence: a ratio with two bands, its axes, and names at its right end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log
from typing import Any

import numpy as np
import seaborn
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from rodhours.report.figures.marks import Mark
from rodhours.report.figures.parts import TICKS_APART, ratio_steps
from rodhours.report.figures.style import INK, PAPER, RULE, SMALL, SOFT
from rodhours.report.lettering import shorten, width
from rodhours.wording import looks as words
from rodhours.wording.numbers import exists

WIDEST_RATIO = 32.0
"""The axis never goes further from 1; a band that does is cut."""
EARLY = 3
"""The first of so many parts of the looks does not stretch the axis: it is wide by nature."""
MARKS_ALONG = 6
_BETWEEN_LABELS = 9.5
_OUTER, _INNER = 0.16, 0.3
"""Opacity of the bands; where they overlap the inner one is darker, in grey too."""


@dataclass(frozen=True)
class Scale:
    """The ends of both axes, the same in all frames."""

    trips: int
    least: float
    most: float

    @classmethod
    def of(cls, comparisons: Sequence[Mapping[str, Any]], trips: int) -> Scale:
        """All ratios, and all limits but those of the early looks; 0.5 to 2 at least."""
        values: list[float] = []
        for one in comparisons:
            looks = [look for look in one["looks"] if look["cutoff"] is not None]
            late = looks[len(looks) // EARLY :]
            values += [look["rate_ratio"] for look in late]
            values += [
                look[key] for look in late for key in ("conf_low", "conf_high") if exists(look[key])
            ]
        least = max(1 / WIDEST_RATIO, min([0.5, *values]))
        most = min(WIDEST_RATIO, max([2.0, *values]))
        room = exp(0.04 * log(most / least))
        return cls(trips, least / room, most * room)

    def inside(self, ratio: float | None, side: int) -> float:
        """A limit within the frame: at its edge where it lies outside or does not exist."""
        if ratio is None:
            return self.most if side > 0 else self.least
        return min(self.most, max(self.least, ratio))


def bands(
    axes: Axes,
    looks: Sequence[Mapping[str, Any]],
    mark: Mark,
    scale: Scale,
    wide: float,
) -> None:
    """The running band, the fixed one inside it, the ratio as a line, and the line at 1.

    `wide` is the frame in points: where there is room before the first interval, that is said.
    """
    axes.set_yscale("log")
    axes.set_ylim(scale.least, scale.most)
    room = 0.5 if scale.trips == 1 else 0.0
    axes.set_xlim(1 - room, max(scale.trips, 1) + room)
    axes.axhline(1, color=INK, lw=0.8, zorder=1.5)
    trips = np.array([look["trip"] for look in looks], dtype=float)
    has = np.array([look["cutoff"] is not None for look in looks])
    edges = {
        (name, side): np.array(
            [
                scale.inside(look[f"{name}_{'high' if side > 0 else 'low'}"], side)
                if look["cutoff"] is not None
                else np.nan
                for look in looks
            ]
        )
        for name in ("conf", "fixed")
        for side in (-1, 1)
    }
    for name, opacity, dashes in (("conf", _OUTER, "-"), ("fixed", _INNER, (0, (3, 1.5)))):
        low, high = edges[name, -1], edges[name, 1]
        if has.sum() == 1:
            # A band needs two looks; one is a line, as everywhere else.
            axes.vlines(trips[has], low[has], high[has], color=mark.colour, lw=1 + 9 * opacity)
            continue
        axes.fill_between(trips, low, high, where=has, color=mark.colour, alpha=opacity, lw=0)
        for edge in (low, high):
            at_edge = (edge <= scale.least) | (edge >= scale.most)
            shown = np.where(at_edge, np.nan, edge)
            axes.plot(trips, shown, color=mark.colour, lw=0.6, ls=dashes, zorder=2)
    ratios = np.array([np.nan if not one else scale.inside(one, 0) for one in _ratios(looks)])
    axes.plot(trips, ratios, color=mark.colour, lw=1.6, zorder=3)
    along = np.flatnonzero(has)
    inside = along[np.linspace(0, len(along) - 1, MARKS_ALONG).round().astype(int)[1:-1]]
    axes.plot(trips[inside], ratios[inside], mark.marker, color=mark.colour, ms=3.2, zorder=4)
    head: dict[str, Any] = {"color": mark.colour, "ms": 5, "mec": PAPER, "mew": 0.5}
    axes.plot(trips[along[-1:]], ratios[along[-1:]], mark.marker, clip_on=False, zorder=5, **head)

    first = int(trips[along[0]])
    room = wide * (first - 1) / max(1, scale.trips - 1) - 8
    for lines in words.no_interval_until(first):
        if max(width(line, SMALL) for line in lines) < room:
            axes.annotate(
                "\n".join(lines),
                (3 / wide, 1),
                (0, 4),
                xycoords=("axes fraction", "data"),
                textcoords="offset points",
                fontsize=SMALL,
                color=SOFT,
            )
            break


def _ratios(looks: Sequence[Mapping[str, Any]]) -> list[float | None]:
    return [look["rate_ratio"] for look in looks]


def ratio_axis(axes: Axes, scale: Scale, tall: float) -> None:
    """The steps of the ratios, as many as `tall` points have room for, and the trips."""
    steps = ratio_steps(scale.least, scale.most, tall, lambda _: TICKS_APART)
    axes.set_yticks(list(steps), list(steps.values()))
    axes.minorticks_off()
    axes.xaxis.set_major_locator(MaxNLocator(6, integer=True, steps=[1, 2, 5, 10], min_n_ticks=1))
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
    axes.grid(axis="y", color=RULE, lw=0.5)
    axes.set_axisbelow(True)
    seaborn.despine(ax=axes)


def end_labels(
    axes: Axes,
    looks: Sequence[Mapping[str, Any]],
    mark: Mark,
    scale: Scale,
    size: tuple[float, float],
    room: float,
    margin: float,
) -> None:
    """What each line is and where it ended, at the right of the frame, moved apart.

    `size` of the frame and `room` to its right in points.
    """
    wide, tall = size
    last = [look for look in looks if look["cutoff"] is not None][-1]
    doubling = log(scale.most / scale.least)

    def height_of(ratio: float) -> float:
        return tall * log(ratio / scale.least) / doubling

    ends = words.end_labels(last, margin)
    heights = [height_of(scale.inside(value, side)) for _, side, value, _ in ends]
    for (name, _, _, text), y, at in zip(ends, heights, _apart(heights, tall), strict=True):
        axes.plot(
            [1 + 2 / wide, 1 + 7 / wide],
            [y / tall, at / tall],
            transform=axes.transAxes,
            color=mark.colour,
            lw=0.7,
            clip_on=False,
        )
        axes.annotate(
            shorten(text, room - 12, SMALL),
            (1 + 9 / wide, at / tall),
            xycoords="axes fraction",
            va="center",
            fontsize=SMALL,
            weight="bold" if name == "ratio" else "normal",
            annotation_clip=False,
        )


def _apart(heights: Sequence[float], tall: float) -> list[float]:
    """Places for labels at falling heights, none nearer to the next than a label is high."""
    placed: list[float] = []
    for height in heights:
        placed.append(min(height, placed[-1] - _BETWEEN_LABELS) if placed else min(height, tall))
    floor = 2.0
    for i in reversed(range(len(placed))):
        placed[i] = max(placed[i], floor)
        floor = placed[i] + _BETWEEN_LABELS
    return placed
