"""Catch rate against an ingredient: the line with its band, and each bait by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import log

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from rodhours.evidence.response.result import CurvePoint, ResponseResult, VariantPoint
from rodhours.report.pictures.picture import Picture, canvas, drawn, put
from rodhours.report.pictures.rows import interval, mark, ratio_ends, upright_ratios
from rodhours.report.pictures.style import BAND, INK, SMALL, SOFT, WIDTH
from rodhours.report.pictures.variant_style import VariantStyle, variant_styles
from rodhours.report.text_width import shorten, width
from rodhours.words import ingredients
from rodhours.words import response as words

_HEIGHT, _LEFT, _RIGHT, _TOP, _FOOT = 250.0, 38.0, 8.0, 22.0, 36.0
_ACROSS, _TALL = WIDTH - _LEFT - _RIGHT, _HEIGHT - _TOP - _FOOT
_APART = 9.0
"""Points between baits of one value."""
_GAP = 4.0
_PIECES = 4
_BETWEEN_TICKS = 26.0


@dataclass(frozen=True)
class _Box:
    """A rectangle in points, y downwards."""

    left: float
    top: float
    right: float
    foot: float

    def overlap(self, other: _Box) -> float:
        """The area that two have in common."""
        wide = min(self.right, other.right) - max(self.left, other.left)
        tall = min(self.foot, other.foot) - max(self.top, other.top)
        return max(0.0, wide) * max(0.0, tall)


@dataclass(frozen=True)
class _Scale:
    """From values and ratios to points from the top left corner; the ends of both axes."""

    first: float
    last: float
    least: float
    most: float

    @classmethod
    def of(cls, result: ResponseResult) -> _Scale:
        """The range of the values, and of all finite ratios within bounds; 0.5 to 2 at least."""
        shown: list[CurvePoint | VariantPoint] = [*result.curve, *result.points]
        ratios = [value for one in shown for value in (one.ratio, one.conf_low, one.conf_high)]
        room = 0.08 * (max(result.values) - min(result.values))
        return cls(min(result.values) - room, max(result.values) + room, *ratio_ends(ratios))

    def x(self, value: float) -> float:
        """The place of a value."""
        return _LEFT + _ACROSS * (value - self.first) / (self.last - self.first)

    def value(self, x: float) -> float:
        """The value whose place is x."""
        return self.first + (x - _LEFT) / _ACROSS * (self.last - self.first)

    def y(self, ratio: float) -> float:
        """The place of a ratio, at the edge where it lies outside."""
        inside = min(self.most, max(self.least, ratio))
        return _TOP + _TALL * log(self.most / inside) / log(self.most / self.least)


def response_picture(result: ResponseResult, name: str = "response") -> Picture:
    """The line with its band over the baits' own ratios, on a log scale.

    `name` goes before the ids inside, and is another for each picture of a page.
    """
    styles = variant_styles([one.variant for one in result.points], result.reference_variant)
    heading, *rows = words.points_table(result)
    return drawn(
        name,
        words.alt(result),
        words.caption(result),
        pd.DataFrame(rows, columns=heading),
        lambda: _draw(result, styles),
    )


def _draw(result: ResponseResult, styles: Mapping[str, VariantStyle]) -> Figure:
    scale = _Scale.of(result)
    figure, axes = canvas(_HEIGHT, _LEFT, _RIGHT, _FOOT, _TOP)
    axes.set_yscale("log")
    axes.set_xlim(scale.first, scale.last)
    axes.set_ylim(scale.least, scale.most)
    _line(axes, result.curve, scale)
    axes.axhline(1, color=INK, lw=0.6, zorder=1)
    boxes = _along(result.curve, scale)
    placed = _places(result.points, scale)
    for point, x in placed:
        style = styles[point.variant]
        shown = point.ratio, point.conf_low, point.conf_high
        if point.conf_low or point.conf_high:
            interval(axes, scale.value(x), shown, style, upright=True)
        elif point.ratio:
            mark(axes, scale.value(x), point.ratio, style)
        boxes.append(_room(point, x, scale))
    for point, x in placed:
        _name(figure, point, x, scale, boxes)
    _axes(axes, scale, result.values)
    title = f"times the catch rate of {result.reference_variant}"
    put(figure, 4, 10, shorten(title, WIDTH - 8, SMALL), SMALL, SOFT)
    foot = shorten(ingredients.axis_of(result.column), _ACROSS, SMALL)
    put(figure, WIDTH - _RIGHT, _HEIGHT - 6, foot, SMALL, SOFT, "right")
    return figure


def _line(axes: Axes, curve: Sequence[CurvePoint], scale: _Scale) -> None:
    if not curve:
        return
    value = [one.value for one in curve]
    low = [scale.least if one.conf_low is None else one.conf_low for one in curve]
    high = [scale.most if one.conf_high is None else one.conf_high for one in curve]
    axes.fill_between(value, low, high, color=BAND, lw=0, zorder=0)
    axes.plot(value, [one.ratio for one in curve], color=INK, lw=1.6, zorder=2)


def _along(curve: Sequence[CurvePoint], scale: _Scale) -> list[_Box]:
    """The room that the line at 1 and the curve take up, in pieces of a few points."""
    one = scale.y(1.0)
    boxes = [_Box(_LEFT, one - 1, WIDTH - _RIGHT, one + 1)]
    for first, then in pairwise(curve):
        x, y = scale.x(first.value), scale.y(first.ratio)
        across, down = scale.x(then.value) - x, scale.y(then.ratio) - y
        for k in range(_PIECES):
            here, there = k / _PIECES, (k + 1) / _PIECES
            top, foot = sorted((y + here * down, y + there * down))
            boxes.append(_Box(x + here * across, top - 1, x + there * across, foot + 1))
    return boxes


def _places(points: Sequence[VariantPoint], scale: _Scale) -> list[tuple[VariantPoint, float]]:
    """Each point with its x in points; baits of one value stand side by side, within the frame."""
    placed = []
    for point in points:
        together = [one for one in points if one.value == point.value]
        half = (len(together) - 1) / 2.0 * _APART
        middle = min(scale.x(point.value), WIDTH - _RIGHT - _GAP - half)
        middle = max(middle, _LEFT + _GAP + half)
        placed.append((point, middle + together.index(point) * _APART - half))
    return placed


def _ends(point: VariantPoint, scale: _Scale) -> tuple[float, float, float]:
    """Top, mark and foot of a bait's interval."""
    known = [value for value in (point.ratio, point.conf_high, point.conf_low) if value]
    middle = scale.y(known[0] if known else 1.0)
    top = middle if point.conf_high is None else scale.y(point.conf_high)
    foot = scale.y(point.conf_low) if point.conf_low else middle
    return top, middle, foot


def _room(point: VariantPoint, x: float, scale: _Scale) -> _Box:
    """The room that an interval and its mark take up, to the edge where it goes on."""
    top, middle, foot = _ends(point, scale)
    if point.conf_low or point.conf_high:
        top = top if point.conf_high else _TOP
        foot = foot if point.conf_low else _TOP + _TALL
    return _Box(x - 3, min(top, middle - 4), x + 3, max(foot, middle + 4))


def _name(figure: Figure, point: VariantPoint, x: float, scale: _Scale, boxes: list[_Box]) -> None:
    """The bait's name beside its interval, where it covers least of what is there already."""
    text = shorten(point.variant, 0.45 * _ACROSS, SMALL)
    wide = width(text, SMALL)
    top, middle, foot = _ends(point, scale)
    spots = [
        (left, y)
        for y in (*(middle + d for d in (0, -10, 10, -14, 14, -20, 20)), top + 5, foot - 5)
        for left in (x + _GAP + 2, x - _GAP - 2 - wide)
    ]
    spots += [(x - wide / 2, top - 9), (x - wide / 2, foot + 9)]
    best: tuple[float, int, _Box] | None = None
    for order, (left, y) in enumerate(spots):
        box = _Box(left, y - SMALL / 2, left + wide, y + SMALL / 2)
        outside = max(0.0, _LEFT + 2 - left) + max(0.0, left + wide - (WIDTH - 2))
        outside += max(0.0, _TOP - box.top) + max(0.0, box.foot - (_HEIGHT - _FOOT))
        away = max(0.0, abs(y - middle) - 20)  # a name far from its mark is taken for another's
        cost = sum(box.overlap(other) for other in boxes) + 1000 * outside + away
        if best is None or (cost, order) < best[:2]:
            best = (cost, order, box)
    assert best is not None
    box = best[2]
    at, align = (box.right, "right") if box.right < x else (box.left, "left")
    put(figure, at, box.foot - 1.5, text, SMALL, align=align)
    boxes.append(box)


def _axes(axes: Axes, scale: _Scale, values: Sequence[float]) -> None:
    upright_ratios(axes, _TALL)
    places = [scale.x(value) for value in values]
    if min(then - first for first, then in pairwise(places)) >= _BETWEEN_TICKS:
        axes.set_xticks(values, [ingredients.amount(value) for value in values])
    else:
        axes.xaxis.set_major_locator(MaxNLocator(6))
