"""How the evidence grew over the season: after each trip the ratio with its two intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from rodhours.evidence.running_result import Look, RunningComparison, RunningResult
from rodhours.report.pictures.picture import Picture, add_axes, canvas, drawn, put
from rodhours.report.pictures.rows import ratio_ends, times_as_fast, upright_ratios
from rodhours.report.pictures.style import INK, LINE, PAPER, SMALL, SOFT, TEXT, WIDTH
from rodhours.report.pictures.variant_style import Styles, VariantStyle
from rodhours.report.text_width import shorten, wrap
from rodhours.words import running as words

MOST_FRAMES = 4
"""Frames under each other, in the order of the page; further variants stand in the table alone."""
MOST_LOOKS, FEWEST_LOOKS = 20, 12
EARLY = 3
"""The first of so many parts of the looks does not stretch the axis: it is wide by nature."""
MARKS_ALONG = 6
_LEFT, _LABELS, _HEAD, _FOOT, _GAP = 34.0, 99.0, 17.0, 36.0, 12.0
_TALL, _TALL_OF_SEVERAL = 190.0, 112.0
_BETWEEN_LABELS = 9.5
_OUTER, _INNER = 0.1, 0.16
"""Opacity of the bands; where they overlap the inner one is darker, in grey too, and lines of the
same hue still reach 3:1 on both."""


@dataclass(frozen=True)
class Scale:
    """The ends of both axes, the same in all frames."""

    trips: int
    least: float
    most: float

    @classmethod
    def of(cls, comparisons: Sequence[RunningComparison], trips: int) -> Scale:
        """All ratios, and all limits but those of the early looks; 0.5 to 2 at least."""
        late = [look for one in comparisons for look in one.shown[len(one.shown) // EARLY :]]
        values = [(look.rate_ratio, look.conf_low, look.conf_high) for look in late]
        return cls(trips, *ratio_ends([value for three in values for value in three], 0.04))

    def inside(self, ratio: float | None, side: int) -> float:
        """A limit within the frame: at its edge where it lies outside or does not exist."""
        if ratio is None:
            return self.most if side > 0 else self.least
        return min(self.most, max(self.least, ratio))


def evidence_growth(running: RunningResult, styles: Styles) -> Picture | None:
    """A frame for each variant that has an interval: the line, the fixed and the running band.

    `styles` are those of the page. None where no variant has an interval yet.
    """
    place = list(styles)
    known = sorted(
        (one for one in running.comparisons if one.shown), key=lambda one: place.index(one.variant)
    )
    if not known:
        return None
    framed = known[:MOST_FRAMES]
    return drawn(
        "growth",
        words.growth_alt(framed, running),
        words.growth_caption(running, len(known) - len(framed)),
        growth_table(running),
        lambda: _draw(framed, running, styles),
    )


def looks_to_draw(variants: int) -> int:
    """How many looks to take at the most for so many variants: each look fits and profiles all."""
    if variants <= MOST_FRAMES:
        return MOST_LOOKS
    return max(FEWEST_LOOKS, MOST_LOOKS * MOST_FRAMES // variants)


def growth_table(running: RunningResult) -> pd.DataFrame:
    """The numbers drawn, one row a variant and look; cells are text."""
    rows = [
        [one.variant, *words.table_row(look, running.margin)]
        for one in running.comparisons
        for look in one.looks
    ]
    heads = ("variant", *words.TABLE_HEADING)
    return pd.DataFrame(rows, columns=[head.capitalize() for head in heads])


def _draw(framed: Sequence[RunningComparison], running: RunningResult, styles: Styles) -> Figure:
    """Frames under each other, with the values named at the right end."""
    scale = Scale.of(framed, running.trips)
    tall = _TALL if len(framed) == 1 else _TALL_OF_SEVERAL
    names = [wrap(one.variant, WIDTH - 2 * _LEFT, TEXT, most=2) for one in framed]
    heads = [len(lines) * LINE + 4 for lines in names]
    height = _HEAD + sum(heads) + len(framed) * (tall + _GAP) - _GAP + _FOOT
    wide = WIDTH - _LEFT - _LABELS
    figure, blank = canvas(height)
    blank.set_axis_off()
    axis = shorten(times_as_fast(running.reference), WIDTH - 8, SMALL)
    put(figure, 4, 10, axis, SMALL, SOFT)
    top = _HEAD
    for one, lines, head in zip(framed, names, heads, strict=True):
        for i, line in enumerate(lines):
            put(figure, _LEFT, top + 9 + i * LINE, line, weight="bold")
        axes = add_axes(figure, _LEFT, top + head, wide, tall)
        style = styles[one.variant]
        _set_scale(axes, scale, tall)
        _bands(axes, one.looks, style, scale)
        _end_labels(axes, one.shown[-1], style, scale, (wide, tall), running.margin)
        axes.tick_params(labelbottom=one is framed[-1])
        top += head + tall + _GAP
    dates = words.trips_between(framed[0].looks[0].date, framed[0].looks[-1].date)
    put(figure, _LEFT, height - 6, dates, SMALL, SOFT)
    return figure


def _set_scale(axes: Axes, scale: Scale, tall: float) -> None:
    """The steps of the ratios, as many as `tall` points have room for, and the trips."""
    axes.set_yscale("log")
    axes.set_ylim(scale.least, scale.most)
    room = 0.5 if scale.trips == 1 else 0.0
    axes.set_xlim(1 - room, max(scale.trips, 1) + room)
    axes.axhline(1, color=INK, lw=0.8, zorder=1.5)
    upright_ratios(axes, tall)
    axes.xaxis.set_major_locator(MaxNLocator(6, integer=True, steps=[1, 2, 5, 10], min_n_ticks=1))
    axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")


def _bands(axes: Axes, looks: Sequence[Look], style: VariantStyle, scale: Scale) -> None:
    """The running band, the fixed one inside it, and the ratio as a line."""
    trips = np.array([look.trip for look in looks], dtype=float)
    has = np.array([look.has_interval for look in looks])

    def edge(name: str, side: int) -> np.ndarray:
        inside = [scale.inside(getattr(look, name), side) for look in looks]
        return np.where(has, inside, np.nan)

    for name, opacity, dashes in (("conf", _OUTER, "-"), ("fixed", _INNER, (0, (3, 1.5)))):
        low, high = edge(f"{name}_low", -1), edge(f"{name}_high", 1)
        if has.sum() == 1:
            # A band needs two looks; one is a line, as everywhere else.
            axes.vlines(trips[has], low[has], high[has], color=style.colour, lw=1 + 9 * opacity)
            continue
        axes.fill_between(trips, low, high, where=has, color=style.colour, alpha=opacity, lw=0)
        for line in (low, high):
            at_edge = (line <= scale.least) | (line >= scale.most)
            shown = np.where(at_edge, np.nan, line)
            axes.plot(trips, shown, color=style.colour, lw=0.6, ls=dashes, zorder=2)
    ratios = edge("rate_ratio", 0)
    axes.plot(trips, ratios, color=style.colour, lw=1.6, zorder=3)
    along = np.flatnonzero(has)
    inside = along[np.linspace(0, len(along) - 1, MARKS_ALONG).round().astype(int)[1:-1]]
    axes.plot(trips[inside], ratios[inside], style.marker, color=style.colour, ms=3.2, zorder=4)
    mark: dict[str, Any] = {"color": style.colour, "ms": 5, "mec": PAPER, "mew": 0.5}
    axes.plot(trips[along[-1:]], ratios[along[-1:]], style.marker, clip_on=False, zorder=5, **mark)


def _end_labels(
    axes: Axes,
    last: Look,
    style: VariantStyle,
    scale: Scale,
    size: tuple[float, float],
    margin: float,
) -> None:
    """What each line is and where it ended, at the right of the frame, moved apart.

    `size` of the frame in points.
    """
    wide, tall = size
    ends = words.end_labels(last, margin)
    doubling = log(scale.most / scale.least)
    heights = [
        tall * log(scale.inside(value, side) / scale.least) / doubling for side, value, _ in ends
    ]
    for (side, _, text), y, at in zip(ends, heights, _apart(heights, tall), strict=True):
        axes.plot(
            [1 + 2 / wide, 1 + 7 / wide],
            [y / tall, at / tall],
            transform=axes.transAxes,
            color=style.colour,
            lw=0.7,
            clip_on=False,
        )
        axes.annotate(
            shorten(text, _LABELS - 10, SMALL),
            (1 + 9 / wide, at / tall),
            xycoords="axes fraction",
            va="center",
            fontsize=SMALL,
            weight="normal" if side else "bold",
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
