"""How the evidence grew over the season: after each trip the ratio with its two intervals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
from matplotlib.figure import Figure

from rodhours.evidence.looks.results import RunningResult
from rodhours.report.figures.canvas import add_axes, canvas, drawn, put
from rodhours.report.figures.growth_frame import Scale, bands, end_labels, ratio_axis
from rodhours.report.figures.marks import marks
from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import LINE, SMALL, SOFT, TEXT
from rodhours.report.lettering import shorten, wrap
from rodhours.report.lettering import width as width_of_text
from rodhours.wording import looks as words

MOST_FRAMES = 4
"""Frames under each other, in the order of the page; further variants stand in the table alone."""
MOST_LOOKS, FEWEST_LOOKS = 40, 12
_LEFT, _LABELS, _HEAD, _FOOT, _GAP = 38.0, 88.0, 17.0, 36.0, 12.0
_TALL, _TALL_OF_SEVERAL = 190.0, 112.0
_BETWEEN = 8.0
"""Points between the words at the foot."""


def evidence_growth(running: RunningResult, order: Sequence[str]) -> Picture | None:
    """A frame for each variant that has an interval: the line, the fixed and the running band.

    `order` is that of all variants of the page. None where no variant has an interval yet.
    """
    machine = running.to_dict()
    place = {variant: i for i, variant in enumerate(order)}
    known = sorted(
        (one for one in machine["comparisons"] if one["first_trip"] is not None),
        key=lambda one: place.get(one["variant"], len(place)),
    )
    if not known:
        return None
    framed = known[:MOST_FRAMES]
    everyone = dict.fromkeys([*order, *(one["variant"] for one in framed)])
    look = marks(list(everyone), running.reference)
    scale = Scale.of(framed, running.trips)
    return drawn(
        "growth",
        words.growth_alt(framed, machine),
        words.growth_caption(machine, len(known) - len(framed)),
        growth_table(machine),
        lambda width: _draw(framed, machine, look, scale, width),
    )


def looks_to_draw(variants: int) -> int:
    """How many looks to take at the most for so many variants: each look fits and profiles all."""
    if variants <= MOST_FRAMES:
        return MOST_LOOKS
    return max(FEWEST_LOOKS, MOST_LOOKS * MOST_FRAMES // variants)


def growth_table(machine: Mapping[str, Any]) -> pd.DataFrame:
    """The numbers drawn, one row a variant and look; cells are text."""
    rows = [
        [one["variant"], *words.table_row(look, machine["margin"])]
        for one in machine["comparisons"]
        for look in one["looks"]
    ]
    heads = ("variant", *words.TABLE_HEADING)
    return pd.DataFrame(rows, columns=[head.capitalize() for head in heads])


def _draw(
    framed: Sequence[Mapping[str, Any]],
    machine: Mapping[str, Any],
    look: Mapping[str, Any],
    scale: Scale,
    width: float,
) -> Figure:
    """Frames under each other, with the values named at the right end."""
    tall = _TALL if len(framed) == 1 else _TALL_OF_SEVERAL
    names = [wrap(one["variant"], width - 2 * _LEFT, TEXT, most=2) for one in framed]
    heads = [len(lines) * LINE + 4 for lines in names]
    height = _HEAD + sum(heads) + len(framed) * (tall + _GAP) - _GAP + _FOOT
    wide = width - _LEFT - _LABELS
    figure, blank = canvas(height, 0, 0, 0, width=width)
    blank.set_axis_off()
    _title(figure, height, machine["reference"], width)
    top = _HEAD
    for one, lines, head in zip(framed, names, heads, strict=True):
        for i, line in enumerate(lines):
            put(figure, height, _LEFT, top + 9 + i * LINE, line, weight="bold")
        axes = add_axes(figure, height, _LEFT, top + head, wide, tall)
        mark = look[one["variant"]]
        bands(axes, one["looks"], mark, scale, wide)
        ratio_axis(axes, scale, tall)
        end_labels(axes, one["looks"], mark, scale, (wide, tall), _LABELS, machine["margin"])
        is_last = one is framed[-1]
        axes.tick_params(labelbottom=is_last)
        top += head + tall + _GAP
    _dates(figure, height, framed[0]["looks"], _LEFT, _LEFT + wide)
    return figure


def _title(figure: Figure, height: float, reference: str, width: float) -> None:
    said = shorten(words.ratio_axis(reference), width - 8, SMALL)
    put(figure, height, 4, 10, said, SMALL, SOFT)


def _dates(
    figure: Figure, height: float, looks: Sequence[Mapping[str, Any]], left: float, right: float
) -> None:
    """Under the trips: what they count, and the dates of the first and the last."""
    first, last = looks[0]["date"], looks[-1]["date"]
    y = height - 6
    if first is None or last is None:
        put(figure, height, left, y, words.TRIPS_AXIS, SMALL, SOFT)
        return
    three = words.TRIPS_AXIS, first, last
    if sum(width_of_text(one, SMALL) for one in three) + 2 * _BETWEEN > right - left:
        put(figure, height, left, y, words.trips_between(first, last), SMALL, SOFT)
        return
    put(figure, height, left, y, first, SMALL, SOFT)
    put(figure, height, (left + right) / 2, y, words.TRIPS_AXIS, SMALL, SOFT, "center")
    put(figure, height, right, y, last, SMALL, SOFT, "right")
