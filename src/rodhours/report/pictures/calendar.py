"""A calendar of the season: which bait was in the water where and when, a mark a trip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from html import escape
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from rodhours.report.pictures.picture import Picture, canvas, drawn, put
from rodhours.report.pictures.style import INK, PAPER, RULE, SMALL, SOFT, WIDTH
from rodhours.report.pictures.variant_style import Styles, VariantStyle
from rodhours.report.tables import calendar_table
from rodhours.report.tallies import Calendar, calendar, hours_by_place
from rodhours.report.text_width import shorten, width
from rodhours.words import report as words
from rodhours.words.numbers import hours

LANE, HEAD, FOOT = 10.0, 16.0, 30.0
"""Heights in points: of a variant's lane, of a water's name, of the axis."""
RIGHT = WIDTH - 10.0
"""Where the lanes end."""
MOST_NAMES = 0.34
"""The share of the width that names may take up."""
BIGGEST, SMALLEST = 7.0, 2.2
"""Diameters in points of the marks with most and with fewest rod-hours."""
SIZES = 4
BETWEEN_MARKS = 3.0
"""Points between marks of one lane; where trips stand closer, their hours are added up."""
UNDATED = 0.16
"""The share of the width that trips without a date get, where others have one."""
BETWEEN_TICKS = 24.0
MOST_STOPS = 120
"""More trips than these are named under a pointer alone, so that keys get past the picture."""


def season_calendar(stints: pd.DataFrame, styles: Styles) -> Picture:
    """Time across, a band a water, a lane a variant, a mark a trip, its size the rod-hours.

    Trips without a date stand at the right, in the order of the log. An upright thread joins the
    lanes of one trip, so that days of one bait alone are seen at a glance. On the page each trip
    is named under a pointer or the focus.
    """
    order = list(styles)
    season = calendar(stints, order)
    places = hours_by_place(stints, order)
    names = [name for name in order if name in set(season.marks["variant"])]
    left = 22.0 + min(MOST_NAMES * WIDTH, max(width(name, SMALL) for name in names))
    placed, ticks = _places(season, left, RIGHT)
    lanes, heads, height = _lanes(season, names)
    placed["y"] = [lanes[key] for key in zip(placed["venue"], placed["variant"], strict=True)]
    picture = drawn(
        "hours",
        words.calendar_alt(_by_variant(places.frame)),
        words.calendar_caption(
            places.has_dates,
            places.has_venues,
            undated=places.has_dates and not season.dated.all(),
            gathered=len(set(season.marks["water"])) - len(season.venues) + 1,
        ),
        calendar_table(season.marks),
        lambda: _draw(placed, heads, ticks, styles, left, height),
    )
    # What can have the focus must not lie in one image.
    svg = picture.svg.replace('role="img"', 'role="group"', 1)
    return replace(picture, svg=svg.replace("</svg>", f"{_names(placed, height)}</svg>"))


def _names(placed: pd.DataFrame, height: float) -> str:
    """Each trip's room in the picture, and its name at the foot, hidden until it is pointed at."""
    groups = list(placed.groupby(["venue", "x"]))
    stop = ' tabindex="0"' if len(groups) <= MOST_STOPS else ""
    texts = []
    for (_, x), trip in groups:
        top, foot = trip["y"].min(), trip["y"].max()
        said = words.calendar_trip(trip.to_dict("records"))
        shown = escape(shorten(said, WIDTH - 8, SMALL))
        texts.append(
            f'<g class="trip" role="img" aria-label="{escape(said)}"{stop}>'
            f'<rect x="{x - 4:.1f}" y="{top - 5:.1f}" width="8" '
            f'height="{foot - top + 10:.1f}" fill="transparent"/>'
            f'<g visibility="hidden"><rect y="{height - 16:.1f}" width="{WIDTH:g}" '
            f'height="16" style="fill: var(--paper, {PAPER})"/><text x="4" '
            f'y="{height - 5:.1f}" style="font-size: {SMALL:g}px; '
            f'fill: var(--ink, {INK})">{shown}</text></g></g>'
        )
    return "\n".join(texts)


def _draw(
    placed: pd.DataFrame,
    heads: Sequence[tuple[str, float, float]],
    ticks: Sequence[tuple[float, str]],
    styles: Styles,
    left: float,
    height: float,
) -> Figure:
    foot = height - FOOT
    figure, axes = canvas(height)
    axes.set_xlim(0, WIDTH)
    axes.set_axis_off()
    for x, label in ticks:
        axes.plot([x, x], [HEAD - 2, foot + 3], color=RULE, lw=0.5, zorder=0)
        put(figure, x + 2, foot + 10, label, SMALL, SOFT)
    for venue, spent, y in heads:
        said = hours(spent)
        room = WIDTH - 18 - width(said, SMALL)
        axes.plot([0, WIDTH], [y + 1, y + 1], color=RULE, lw=0.6)
        axes.axhspan(y + 1.5, y + HEAD - 3, color=PAPER, lw=0, zorder=0.5)
        put(figure, 4, y + 10.5, shorten(venue, room, SMALL), SMALL, weight="bold")
        put(figure, WIDTH - 4, y + 10.5, said, SMALL, SOFT, "right")
    ends = placed[placed["together"]].groupby(["venue", "x"])["y"].agg(["min", "max"])
    axes.vlines(ends.index.get_level_values("x"), *ends.to_numpy().T, color=SOFT, lw=0.5, zorder=1)
    most = float(placed["rod_hours"].max())
    for (y, variant), own in placed.groupby(["y", "variant"]):
        style = styles[variant]
        axes.plot([10], [y], style.marker, color=style.colour, ms=4.5)
        put(figure, 16, y + 2.8, shorten(variant, left - 21, SMALL), SMALL)
        axes.plot([left, RIGHT + 4], [y, y], color=RULE, lw=0.4, zorder=0.6)
        _marks(axes, own, y, style, most)
    said = "a mark a trip, its size the rod-hours"
    put(figure, min(left, WIDTH - 4 - width(said, SMALL)), height - 6, said, SMALL, SOFT)
    return figure


def _lanes(
    season: Calendar, names: Sequence[str]
) -> tuple[dict[tuple[str, str], float], list[tuple[str, float, float]], float]:
    """The middle of each water's and variant's lane from the top, heads of waters, the height."""
    spent = season.marks.groupby(["venue", "variant"])["rod_hours"].sum()
    lanes, heads, y = {}, [], 2.0
    for venue in season.venues:
        heads.append((venue, float(spent[venue].sum()), y))
        y += HEAD
        for name in names:
            if (venue, name) in spent.index:
                lanes[venue, name] = y + LANE / 2
                y += LANE
        y += 5
    return lanes, heads, y + FOOT


def _places(
    season: Calendar, left: float, right: float
) -> tuple[pd.DataFrame, list[tuple[float, str]]]:
    """The marks with their x in points, added up where they stand too close; ticks with names."""
    frame, dated = season.marks, season.dated
    x = pd.Series(np.nan, index=frame.index)
    ticks: list[tuple[float, str]] = []
    end = right
    if dated.any() and not dated.all():
        end = right - UNDATED * (right - left)
    if dated.any():
        days = (frame.loc[dated, "date"] - pd.Timestamp("2000-01-01")).dt.days.to_numpy(float)
        first, last = days.min(), days.max()
        if last - first < 30:
            first, last = first - 15, last + 15
        scale = (end - left - 10) / (last - first)
        x[dated] = left + 5 + (days - first) * scale
        ticks = _ticks(first, last, left + 5, scale)
    if not dated.all():
        start = left + 5 if not dated.any() else end + 12
        trips = frame.loc[~dated, "trip"].rank(method="dense").to_numpy(float) - 1
        x[~dated] = start + (right - start) * trips / max(1.0, trips.max())
        if dated.any():
            ticks.append((end + 4, words.NO_DATE))
    near = frame["trip"].nunique() * BETWEEN_MARKS > right - left
    placed = frame.assign(x=(x / BETWEEN_MARKS).round() * BETWEEN_MARKS if near else x)
    alone = placed.groupby(["trip", "venue"])["variant"].transform("nunique") == 1
    placed = placed.assign(together=~alone)
    return (
        placed.groupby(["venue", "variant", "x"], as_index=False).agg(
            rod_hours=("rod_hours", "sum"),
            fish=("fish", "sum"),
            together=("together", "max"),
            trips=("trip", "nunique"),
            first=("session", "first"),
            last=("session", "last"),
            date=("date", "min"),
        ),
        ticks,
    )


def _ticks(first: float, last: float, left: float, scale: float) -> list[tuple[float, str]]:
    """Beginnings of months, or of years where months stand too close, with their names."""
    origin = pd.Timestamp("2000-01-01")
    start, stop = (origin + pd.Timedelta(days=day) for day in (first, last))
    for step in (1, 2, 3, 6, 12, 24, 60, 120):
        every = pd.date_range(f"{start.year - step // 12}-01-01", stop, freq=f"{step}MS")
        named = [(day, left + ((day - origin).days - first) * scale) for day in every]
        named = [(day, x) for day, x in named if day >= start]
        xs = [x for _, x in named]
        if all(then - now >= BETWEEN_TICKS for now, then in pairwise(xs)):
            break
    return [(x, f"{day:%Y}" if day.month == 1 or step >= 12 else f"{day:%b}") for day, x in named]


def _marks(axes: Axes, own: pd.DataFrame, y: float, style: VariantStyle, most: float) -> None:
    """A lane's marks in a few sizes, their area the rod-hours."""
    share = np.sqrt(own["rod_hours"].to_numpy(float) / most)
    size = np.ceil(SIZES * share).clip(1, SIZES).astype(int)
    for step in np.unique(size):
        xs = own["x"].to_numpy(float)[size == step]
        ms = max(SMALLEST, BIGGEST * step / SIZES)
        axes.plot(
            xs, np.full(len(xs), y), style.marker, color=style.colour, ms=ms, mec=PAPER, mew=0.4
        )


def _by_variant(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """For each variant the water and time with most of its hours."""
    by_variant = frame.groupby("variant", sort=False)["rod_hours"]
    best = frame.loc[by_variant.idxmax()].assign(rod_hours=by_variant.sum().to_numpy())
    best["top"] = "on " + best["venue"] + ", " + best["when"]
    rows: list[dict[str, Any]] = best.to_dict("records")
    return rows
