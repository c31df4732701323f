"""Catch rate against an ingredient: the baits by dose, and what the line gives at each dose."""

from __future__ import annotations

from itertools import groupby

import pandas as pd
from matplotlib.axes import Axes

from rodhours.evidence.response.result import CurvePoint, ResponseResult, VariantPoint
from rodhours.report.pictures.picture import Picture, drawn
from rodhours.report.pictures.ratios import forest_ends
from rodhours.report.pictures.rows import (
    Group,
    Row,
    band,
    interval,
    level_ratios,
    mark,
    rows_figure,
    times_as_fast,
)
from rodhours.report.pictures.style import INK, LINE
from rodhours.report.pictures.variant_style import Styles, VariantStyle
from rodhours.words import response as words
from rodhours.words.numbers import ratio_label
from rodhours.words.response import value_of

_HALF = 6.0
"""Half the height in points of the band of the line."""


def response_picture(result: ResponseResult, styles: Styles, name: str = "response") -> Picture:
    """Doses under each other, the baits of one dose together, the line at that dose behind them.

    `styles` are those of the page; `name` goes before the ids inside, and is another for each
    picture of a page.
    """
    heading, *rows = words.points_table(result)
    line = {one.value: one for one in result.curve}
    groups = []
    place = list(styles)
    points = sorted(result.points, key=lambda one: (one.value, place.index(one.variant)))
    for value, baits in groupby(points, key=lambda one: one.value):
        here = line.get(value)
        own = [_row(one, here, styles[one.variant], result.reference_variant) for one in baits]
        groups.append(Group(value_of(result.column, value), own, words.line_at(here)))
    shown: list[VariantPoint | CurvePoint] = [*result.points]
    shown += [line[one.value] for one in result.points if one.value in line]
    ends = forest_ends((one.ratio, one.conf_low, one.conf_high) for one in shown)
    return drawn(
        name,
        words.alt(result),
        words.caption(result),
        pd.DataFrame(rows, columns=heading),
        lambda: rows_figure(
            groups,
            times_as_fast(result.reference_variant),
            lambda axes: level_ratios(axes, ends),
            16,
        ),
    )


def _row(point: VariantPoint, line: CurvePoint | None, style: VariantStyle, reference: str) -> Row:
    """A bait under its name, over the band of the line."""
    limited = point.ratio, point.conf_low, point.conf_high

    def draw(axes: Axes, y: float) -> None:
        if line is not None:
            start, stop = axes.get_xlim()
            band(axes, (line.conf_low or start, line.conf_high or stop), (y - _HALF, y + _HALF))
            axes.plot([line.ratio] * 2, [y - _HALF, y + _HALF], color=INK, lw=1.2, zorder=1.2)
        if point.conf_low or point.conf_high:
            interval(axes, y, limited, style)
        elif point.ratio:
            mark(axes, point.ratio, y, style)

    numbers = "reference" if point.variant == reference else ratio_label(*limited)
    return Row(numbers, draw, point.variant, INK, LINE + 15.0)
