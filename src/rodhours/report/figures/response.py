"""Catch rate against an ingredient: the line with its band, and each bait by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log
from typing import Any

import pandas as pd
import seaborn
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from rodhours.evidence.ingredients.results import ResponseResult
from rodhours.report.figures.canvas import canvas, drawn, put
from rodhours.report.figures.marks import Mark, marks
from rodhours.report.figures.parts import TICKS_APART, ratio_steps
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import BAND, INK, PAPER, RULE, SMALL, SOFT
from rodhours.report.lettering import shorten, width
from rodhours.wording import response as words
from rodhours.wording.numbers import exists

WIDEST_RATIO = 32.0
"""The axis never goes further from 1; what does is an arrow."""
_HEIGHT, _LEFT, _RIGHT, _TOP, _FOOT = 250.0, 38.0, 8.0, 22.0, 36.0
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
    """From values and ratios to points from the top left corner, and the ends of the ratios."""

    first: float
    last: float
    least: float
    most: float
    width: float

    def x(self, value: float) -> float:
        inner = self.width - _LEFT - _RIGHT
        room = 0.08 * (self.last - self.first)
        span = self.last - self.first + 2 * room
        return _LEFT + inner * (value - self.first + room) / span

    def value(self, x: float) -> float:
        """The value whose place is x."""
        inner = self.width - _LEFT - _RIGHT
        room = 0.08 * (self.last - self.first)
        return self.first - room + (x - _LEFT) / inner * (self.last - self.first + 2 * room)

    def y(self, ratio: float) -> float:
        inside = min(self.most, max(self.least, ratio))
        share = log(inside / self.least) / log(self.most / self.least)
        return _HEIGHT - _FOOT - (_HEIGHT - _FOOT - _TOP) * share


def anything_to_draw(machine: Mapping[str, Any]) -> bool:
    """Whether there is a line, or an interval of a bait; the reference alone is no picture."""
    return bool(machine["curve"]) or any(
        exists(point[key]) and point[key] > 0
        for point in machine["points"]
        for key in ("conf_low", "conf_high")
    )


def response_picture(result: ResponseResult, name: str = "response") -> Picture:
    """The line with its band over the baits' own ratios, on a log scale.

    `name` goes before the ids inside, and is another for each picture of a page.
    """
    machine = result.to_dict()
    look = marks([one.variant for one in result.points], result.reference_variant)
    return drawn(
        name,
        words.alt(machine),
        words.caption(machine),
        points_table(machine),
        lambda width: _draw(machine, look, result, width),
    )


def _draw(
    machine: Mapping[str, Any], look: Mapping[str, Mark], result: ResponseResult, width: float
) -> Figure:
    scale = _scale(machine, width)
    figure, axes = canvas(_HEIGHT, _LEFT, _RIGHT, _FOOT, _TOP, down=False, width=width)
    axes.set_yscale("log")
    axes.set_xlim(scale.value(_LEFT), scale.value(width - _RIGHT))
    axes.set_ylim(scale.least, scale.most)
    _line(axes, machine["curve"], scale)
    axes.axhline(1, color=INK, lw=0.6, zorder=1)
    boxes = _along(machine["curve"], scale)
    placed = _places(machine["points"], scale)
    for point, x in placed:
        boxes.extend(_point(axes, point, x, look[point["variant"]], scale))
    for point, x in placed:
        _name(figure, point, x, scale, boxes)
    _axes(axes, scale, machine["values"])
    said = f"times the catch rate of {result.reference_variant}"
    put(figure, _HEIGHT, 4, 10, shorten(said, width - 8, SMALL), SMALL, SOFT)
    foot = shorten(words.axis_of(result.column), width - _LEFT - _RIGHT, SMALL)
    put(figure, _HEIGHT, width - _RIGHT, _HEIGHT - 6, foot, SMALL, SOFT, "right")
    return figure


def points_table(machine: Mapping[str, Any]) -> pd.DataFrame:
    """The numbers drawn: each bait beside the line at its value."""
    heads = words.table_headings(machine)
    return pd.DataFrame([list(row.values()) for row in words.points_rows(machine)], columns=heads)


def _scale(machine: Mapping[str, Any], width: float) -> _Scale:
    """The range of the values, and of all finite ratios within bounds; 0.5 to 2 at least."""
    parts = [*machine["curve"], *machine["points"]]
    ratios = [
        float(one[key])
        for one in parts
        for key in ("ratio", "conf_low", "conf_high")
        if exists(one[key]) and one[key] > 0
    ]
    least = max(1 / WIDEST_RATIO, min([0.5, *ratios]))
    most = min(WIDEST_RATIO, max([2.0, *ratios]))
    room = exp(0.05 * log(most / least))
    return _Scale(min(machine["values"]), max(machine["values"]), least / room, most * room, width)


def _line(axes: Axes, curve: Sequence[Mapping[str, Any]], scale: _Scale) -> None:
    if not curve:
        return
    value = [one["value"] for one in curve]
    low = [scale.least if one["conf_low"] is None else one["conf_low"] for one in curve]
    high = [scale.most if one["conf_high"] is None else one["conf_high"] for one in curve]
    axes.fill_between(value, low, high, color=BAND, lw=0, zorder=0)
    axes.plot(value, [one["ratio"] for one in curve], color=INK, lw=1.6, zorder=2)


def _along(curve: Sequence[Mapping[str, Any]], scale: _Scale) -> list[_Box]:
    """The room that the line at 1 and the curve take up, in pieces of a few points."""
    one = scale.y(1.0)
    boxes = [_Box(_LEFT, one - 1, scale.width - _RIGHT, one + 1)]
    for first, then in pairwise(curve):
        x, y = (scale.x(first["value"]), scale.y(first["ratio"]))
        to_x, to_y = (scale.x(then["value"]), scale.y(then["ratio"]))
        for k in range(_PIECES):
            here, next_ = k / _PIECES, (k + 1) / _PIECES
            ends = sorted((y + here * (to_y - y), y + next_ * (to_y - y)))
            left, right = x + here * (to_x - x), x + next_ * (to_x - x)
            boxes.append(_Box(left, ends[0] - 1, right, ends[1] + 1))
    return boxes


def _places(
    points: Sequence[Mapping[str, Any]], scale: _Scale
) -> list[tuple[Mapping[str, Any], float]]:
    """Each point with its x in points; baits of one value stand side by side, within the frame."""
    placed = []
    for point in points:
        together = [one for one in points if one["value"] == point["value"]]
        half = (len(together) - 1) / 2.0 * _APART
        middle = min(scale.x(point["value"]), scale.width - _RIGHT - _GAP - half)
        middle = max(middle, _LEFT + _GAP + half)
        placed.append((point, middle + together.index(point) * _APART - half))
    return placed


def _point(axes: Axes, point: Mapping[str, Any], x: float, mark: Mark, scale: _Scale) -> list[_Box]:
    """An interval with its mark, an arrow where it goes on; the room that they take up."""
    ratio, low, high = point["ratio"], point["conf_low"], point["conf_high"]
    has_low, has_high = exists(low) and low > 0, exists(high)
    at = scale.value(x)
    boxes = []
    head: dict[str, Any] = {"color": mark.colour, "ms": 4.5, "clip_on": False, "zorder": 3}
    if has_low or has_high:
        foot = max(scale.least, low) if has_low else scale.least
        top = min(scale.most, high) if has_high else scale.most
        axes.plot([at, at], [foot, top], color=mark.colour, lw=1.6, zorder=3)
        boxes.append(_Box(x - 2, scale.y(top), x + 2, scale.y(foot)))
        if not has_low or low < scale.least:
            axes.plot([at], [scale.least], "v", **head)
        if not has_high or high > scale.most:
            axes.plot([at], [scale.most], "^", **head)
    if exists(ratio) and scale.least <= ratio <= scale.most:
        axes.plot([at], [ratio], mark.marker, color=mark.colour, ms=6, mec=PAPER, mew=0.6, zorder=5)
        y = scale.y(ratio)
        boxes.append(_Box(x - 4, y - 4, x + 4, y + 4))
    return boxes


def _name(
    figure: Figure, point: Mapping[str, Any], x: float, scale: _Scale, boxes: list[_Box]
) -> None:
    """The bait's name beside its interval, where it covers least of what is there already."""
    text = shorten(point["variant"], 0.45 * (scale.width - _LEFT - _RIGHT), SMALL)
    wide = width(text, SMALL)
    ratio, low, high = (point[key] for key in ("ratio", "conf_low", "conf_high"))
    middle = scale.y(ratio if ratio else high if exists(high) else low if exists(low) else 1.0)
    top = scale.y(high) if exists(high) else middle
    foot = scale.y(low) if exists(low) and low > 0 else middle
    spots = [
        (left, y)
        for y in (*(middle + d for d in (0, -10, 10, -14, 14, -20, 20)), top + 5, foot - 5)
        for left in (x + _GAP + 2, x - _GAP - 2 - wide)
    ]
    spots += [(x - wide / 2, top - 9), (x - wide / 2, foot + 9)]
    best: tuple[float, int, _Box] | None = None
    for order, (left, y) in enumerate(spots):
        box = _Box(left, y - SMALL / 2, left + wide, y + SMALL / 2)
        outside = max(0.0, _LEFT + 2 - left) + max(0.0, left + wide - (scale.width - 2))
        outside += max(0.0, _TOP - box.top) + max(0.0, box.foot - (_HEIGHT - _FOOT))
        away = max(0.0, abs(y - middle) - 20)  # a name far from its mark is taken for another's
        cost = sum(box.overlap(other) for other in boxes) + 1000 * outside + away
        if best is None or (cost, order) < best[:2]:
            best = (cost, order, box)
    assert best is not None
    box = best[2]
    put(figure, _HEIGHT, box.left, box.foot - 1.5, text, SMALL)
    boxes.append(box)


def _axes(axes: Axes, scale: _Scale, values: Sequence[float]) -> None:
    room = _HEIGHT - _FOOT - _TOP
    steps = ratio_steps(scale.least, scale.most, room, lambda _: TICKS_APART)
    axes.set_yticks(list(steps), list(steps.values()))
    axes.minorticks_off()
    places = [scale.x(value) for value in values]
    if min(then - first for first, then in pairwise(places)) >= _BETWEEN_TICKS:
        axes.set_xticks(values, [words.amount(value) for value in values])
    else:
        axes.xaxis.set_major_locator(MaxNLocator(6))
    axes.grid(axis="y", color=RULE, lw=0.5)
    axes.set_axisbelow(True)
    seaborn.despine(ax=axes)
