"""Results -> pictures: an SVG with its alt text, its caption and its numbers as a table.

The only file that draws. A picture is the same bytes for the same input, asks for no font and no
address, follows the colours of the page, and can be read in grey: every variant has a marker and
a label, the reference is in ink.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from math import ceil, exp, log
from typing import Any

import matplotlib as mpl
import matplotlib.style
import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, ComparisonResult, RateSummary
from rodhours.report.lettering import shorten, width, wrap
from rodhours.report.svg import for_page
from rodhours.report.tables import (
    cumulative_table,
    hours_table,
    rates_table,
    ratio_rows,
    ratios_table,
)
from rodhours.report.tallies import (
    best_trip,
    cumulative,
    hours_by_place,
)
from rodhours.wording import report as words
from rodhours.wording.numbers import (
    count,
    exists,
    hours,
    limits_short,
    rate,
    rate_limits,
    ratio,
)

INK, SOFT, RULE, BAND, PAPER = "#1c1b19", "#6a665f", "#d9d4c9", "#efeae0", "#fffefb"
HUES = ("#0173b2", "#d55e00", "#02865f", "#a3457f", "#8a6a14")
"""Told apart by the colour-blind; each at least 3:1 on white. The page has a light set for dark."""
COLOURS = {INK: "ink", SOFT: "soft", RULE: "rule", BAND: "band", PAPER: "paper"} | {
    hue: f"hue-{i}" for i, hue in enumerate(HUES, 1)
}
MARKERS = ("o", "s", "D", "^", "v", "P", "X", "p", "h", "<", ">", "d", "H", "8", "*")
WIDTH = 360.0
"""Width of every picture in points: text of 9 points stays readable on a phone."""
TEXT, SMALL, LINE = 9.0, 8.0, 11.5
NUMBERS_LEFT = 266.0
WIDEST_RATIO = 32.0
MOST_STEPS = 600
MOST_LINES = 6
"""Cumulative lines in one frame; more variants get a small frame each."""
STYLE: dict[str, Any] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "rodhours",
    "text.parse_math": False,
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": TEXT,
    "text.color": INK,
    "axes.edgecolor": SOFT,
    "axes.linewidth": 0.6,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "xtick.major.width": 0.6,
    "ytick.major.width": 0.6,
    "xtick.major.size": 3,
    "ytick.major.size": 3,
    "axes.unicode_minus": False,
    "path.simplify": False,
}


@dataclass(frozen=True)
class Picture:
    """A picture with everything that a reader who cannot see it needs.

    `svg` is one `<svg>` element, `table` holds the numbers drawn, ready to be shown.
    """

    svg: str
    alt: str
    caption: str
    table: pd.DataFrame


@dataclass(frozen=True)
class Mark:
    """How one variant looks in every picture."""

    colour: str
    marker: str


def marks(order: Sequence[str], reference: str) -> dict[str, Mark]:
    """The look of each variant: the reference in ink, hues for up to five others."""
    others = [variant for variant in order if variant != reference]
    look = {reference: Mark(INK, MARKERS[0])}
    for i, variant in enumerate(others):
        colour = HUES[i] if len(others) <= len(HUES) else SOFT
        look[variant] = Mark(colour, MARKERS[1 + i % (len(MARKERS) - 1)])
    return look


# --- the pictures -------------------------------------------------------------------------------


def catch_rates(
    summary: RateSummary, order: Sequence[str], reference: str, confidence: float
) -> Picture:
    """Catch rate of each variant with its interval, fish per 100 rod-hours."""
    by_name = {row.group: row for row in summary.rows}
    names = [variant for variant in order if variant in by_name]
    rows = [by_name[variant] for variant in names]
    look = marks(order, reference)
    top = _rate_axis_end(rows)
    layout = [(name, wrap(name, WIDTH - 130, TEXT)) for name in names]
    height = 6 + sum(len(lines) * LINE + 19 for _, lines in layout) + 34
    with _drawing():
        figure, axes = _canvas(height, left=8, right=WIDTH - NUMBERS_LEFT + 12, bottom=30)
        axes.set_xlim(0, top)
        y = 6.0
        for (name, lines), row in zip(layout, rows, strict=True):
            said = f"{count(row.fish, 'fish')}, {hours(row.rod_hours)}"
            _put(figure, height, WIDTH - 4, y + 8, said, size=SMALL, colour=SOFT, align="right")
            _clear(axes, y - 1, y + len(lines) * LINE)
            y = _name(figure, height, 4, y, lines)
            _interval(
                axes,
                y + 7,
                row.per_100_rod_hours,
                row.conf_low,
                row.conf_high,
                look[name],
                (0.0, top),
                zero_is_open=False,
            )
            if row.model_per_100_rod_hours is not None:
                axes.plot(
                    [row.model_per_100_rod_hours], [y + 7], "|", color=look[name].colour, ms=11
                )
            numbers = f"{rate(row.per_100_rod_hours)} ({rate_limits(row.conf_low, row.conf_high)})"
            _put(figure, height, NUMBERS_LEFT, y + 10, numbers, _fitting(numbers))
            y += 19
        axes.xaxis.set_major_locator(MaxNLocator(5, integer=top >= 5))
        _bottom_axis(axes)
        _put(figure, height, 8, height - 4, "fish per 100 rod-hours", size=SMALL, colour=SOFT)
        dicts = [vars(row) for row in rows]
        return _picture(
            figure,
            "rates",
            words.rates_alt(dicts),
            words.rates_caption(confidence),
            rates_table([*rows, summary.total] if len(rows) > 1 else rows),
        )


def rate_ratios(result: ComparisonResult, order: Sequence[str]) -> Picture:
    """Forest plot: the same-trip ratio beside the all-trips one, and fish by themselves."""
    rows = ratio_rows(result)
    return _forest(
        "ratios",
        rows,
        result,
        order,
        words.ratios_caption(
            result.reference, result.confidence, len(result.comparisons), result.margin
        ),
    )


def headline_ratios(result: ComparisonResult, order: Sequence[str]) -> Picture:
    """The interval of each headline answer alone, for the top of the page."""
    rows = [
        row for row, first in zip(ratio_rows(result), _is_headline(result), strict=True) if first
    ]
    caption = words.answer_caption(result.reference, result.confidence, result.margin)
    return _forest("answer", rows, result, order, caption, show_basis=False)


def where_hours_went(stints: pd.DataFrame, order: Sequence[str], reference: str) -> Picture:
    """Small bars of each variant's rod-hours by water and time, all on one scale."""
    places = hours_by_place(stints, order)
    look = marks(order, reference)
    venues, bins = places.venues, places.bins
    gap, left, right = 10.0, 26.0, 4.0
    column = (WIDTH - left - right - gap * (len(venues) - 1)) / len(venues)
    step = min(column / len(bins), 22.0)
    most = float(places.frame["rod_hours"].max())
    scale_top = _round_up(most)
    totals = places.frame.groupby("variant", sort=False)["rod_hours"].sum()
    layout = [(name, wrap(name, WIDTH - 100, TEXT)) for name in order if name in totals.index]
    bar = 34.0 if len(layout) <= 6 else 22.0
    show_venues = places.has_venues
    top = 16.0 if show_venues else 4.0
    height = top + sum(len(lines) * LINE + bar + 9 for _, lines in layout) + 26
    hour_of = {
        (str(v), str(p), str(w)): float(h)
        for v, p, w, h in zip(
            places.frame["variant"],
            places.frame["venue"],
            places.frame["when"],
            places.frame["rod_hours"],
            strict=True,
        )
    }
    with _drawing():
        figure, axes = _canvas(height, left=0, right=0, bottom=0)
        axes.set_xlim(0, WIDTH)
        axes.set_axis_off()
        starts = [left + i * (column + gap) for i in range(len(venues))]
        if show_venues:
            for start, venue in zip(starts, venues, strict=True):
                said = shorten(venue, column, SMALL)
                _put(figure, height, start, 10, said, size=SMALL, colour=SOFT)
        y = top
        for name, lines in layout:
            said = hours(totals[name])
            _put(figure, height, WIDTH - 4, y + 8, said, size=SMALL, colour=SOFT, align="right")
            y = _name(figure, height, left, y, lines, marker=look[name], axes=axes)
            foot = y + bar + 2
            for start, venue in zip(starts, venues, strict=True):
                axes.plot([start, start + step * len(bins)], [foot, foot], color=RULE, lw=0.6)
                patches = [
                    Rectangle((start + i * step + step * 0.12, foot), step * 0.76, -tall)
                    for i, when in enumerate(bins)
                    if (tall := bar * hour_of.get((name, venue, when), 0.0) / scale_top) > 0
                ]
                axes.add_collection(PatchCollection(patches, facecolor=look[name].colour, lw=0))
            axes.plot([left - 3, left - 3], [foot, foot - bar], color=SOFT, lw=0.6)
            top_label = f"{scale_top:,.0f}" if scale_top >= 1 else f"{scale_top:g}"
            _put(figure, height, left - 5, foot - bar + 6, top_label, 7, SOFT, "right")
            _put(figure, height, left - 5, foot, "0 h", 7, SOFT, "right")
            y = foot + 7
        for start in starts:
            _time_labels(figure, height, start, step, y, bins)
        return _picture(
            figure,
            "hours",
            words.hours_alt(_top_places(places.frame)),
            words.hours_caption(places.bin_name, places.has_dates, places.has_venues),
            hours_table(places),
        )


def cumulative_fish(stints: pd.DataFrame, order: Sequence[str], reference: str) -> Picture:
    """Fish so far against rod-hours so far, in steps; the tallest step is named."""
    steps = cumulative(stints, order)
    look = marks(order, reference)
    names = [name for name in order if name in set(steps["variant"])]
    if len(names) > MOST_LINES:
        return _cumulative_panels(steps, names, look, reference)
    tallest = best_trip(steps)
    x_end = float(steps["rod_hours_so_far"].max())
    y_end = max(1.0, float(steps["fish_so_far"].max()))
    height = max(230.0, 60 + len(names) * 11.0)
    label_room = 104.0
    with _drawing():
        figure, axes = _canvas(height, left=28, right=label_room, bottom=34, top=10, down=False)
        axes.set_xlim(0, x_end)
        axes.set_ylim(0, y_end * 1.04)
        ends, lines = [], []
        for name in names:
            own = steps[steps["variant"] == name]
            xs, ys = _stairs(own)
            lines.append((xs, ys))
            mark = look[name]
            axes.plot(xs, ys, color=mark.colour, lw=1.8 if name == reference else 1.4)
            axes.plot(
                [xs[-1]], [ys[-1]], mark.marker, color=mark.colour, ms=4.5, clip_on=False, zorder=4
            )
            ends.append((float(xs[-1]), float(ys[-1]), name))
        _end_labels(axes, ends, look, (x_end, y_end * 1.04), height, label_room)
        if tallest is not None and tallest["fish"] >= 3:
            _name_step(axes, tallest, lines, look[tallest["variant"]].colour)
        axes.spines[["top", "right"]].set_visible(False)
        axes.xaxis.set_major_locator(MaxNLocator(4))
        axes.yaxis.set_major_locator(MaxNLocator(5, integer=True))
        axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.10g}")
        _put(figure, height, 28, height - 7, "rod-hours so far", size=SMALL, colour=SOFT)
        _put(figure, height, 30, 9, "fish so far", size=SMALL, colour=SOFT)
        return _picture(
            figure,
            "cumulative",
            words.cumulative_alt(_totals(steps)),
            words.cumulative_caption(),
            cumulative_table(steps),
        )


def _cumulative_panels(
    steps: pd.DataFrame, names: Sequence[str], look: Mapping[str, Mark], reference: str
) -> Picture:
    """One small frame a variant, all on one scale, the reference beside each in pale."""
    columns, gap, left, right, foot = 3, 14.0, 20.0, 6.0, 42.0
    wide = (WIDTH - left - right - gap * (columns - 1)) / columns
    tall, head = 62.0, 2 * LINE + 11
    rows = ceil(len(names) / columns)
    height = rows * (tall + head) + foot
    x_end = float(steps["rod_hours_so_far"].max())
    y_end = max(1.0, float(steps["fish_so_far"].max()))
    lines = {name: _stairs(steps[steps["variant"] == name]) for name in names}
    with _drawing():
        figure, axes = _canvas(height, left=0, right=0, bottom=0)
        axes.set_xlim(0, WIDTH)
        axes.set_axis_off()
        for i, name in enumerate(names):
            start = left + (i % columns) * (wide + gap)
            base = (i // columns + 1) * (tall + head)
            for j, line in enumerate(reversed(wrap(name, wide, SMALL, most=2))):
                _put(figure, height, start, base - tall - 5 - j * 9.5, line, SMALL)
            axes.plot([start, start, start + wide], [base - tall, base, base], color=RULE, lw=0.6)
            for shown, colour, weight in ((reference, SOFT, 0.7), (name, look[name].colour, 1.5)):
                if shown not in lines:
                    continue
                xs = start + wide * lines[shown][0] / x_end
                ys = base - tall * lines[shown][1] / y_end
                axes.plot(xs, ys, color=INK if shown == name else colour, lw=weight)
            axes.plot([xs[-1]], [ys[-1]], look[name].marker, color=INK, ms=3.5)
            if i % columns == 0:
                _put(figure, height, start - 3, base - tall + 6, f"{y_end:,.0f}", 7, SOFT, "right")
                _put(figure, height, start - 3, base, "0", 7, SOFT, "right")
            if i + columns >= len(names):
                _put(figure, height, start, base + 9, "0", 7, SOFT)
                _put(figure, height, start + wide, base + 9, f"{x_end:,.0f}", 7, SOFT, "right")
        said = f"fish so far (upwards) against rod-hours so far; pale: {reference}"
        said = shorten(said, WIDTH - left, SMALL)
        _put(figure, height, left, height - 8, said, SMALL, SOFT)
        return _picture(
            figure,
            "cumulative",
            words.cumulative_alt(_totals(steps)),
            words.cumulative_caption(),
            cumulative_table(steps),
        )


# --- parts of pictures --------------------------------------------------------------------------


def _drawing() -> AbstractContextManager[None]:
    """Drawing under the project's own settings, whatever the machine's are."""
    return mpl.style.context(["default", STYLE])


def _canvas(
    height: float,
    left: float,
    right: float,
    bottom: float,
    top: float = 0.0,
    down: bool = True,
) -> tuple[Figure, Axes]:
    """A figure with one axes; margins in points. With `down`, y is points from the top edge."""
    figure = Figure(figsize=(WIDTH / 72, height / 72), facecolor="none")
    FigureCanvasSVG(figure)
    axes = figure.add_axes(
        (
            left / WIDTH,
            bottom / height,
            (WIDTH - left - right) / WIDTH,
            (height - bottom - top) / height,
        ),
        facecolor="none",
    )
    if down:
        axes.set_ylim(height - bottom, top)
    return figure, axes


def _picture(figure: Figure, name: str, alt: str, caption: str, table: pd.DataFrame) -> Picture:
    stream = io.StringIO()
    with warnings.catch_warnings():
        # The reader's browser has the letters that the measuring font lacks.
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*")
        figure.savefig(stream, format="svg", metadata={"Date": None})
    return Picture(for_page(stream.getvalue(), name, alt, COLOURS), alt, caption, table)


def _put(
    figure: Figure,
    height: float,
    x: float,
    y: float,
    text: str,
    size: float = TEXT,
    colour: str = INK,
    align: str = "left",
    weight: str = "normal",
) -> None:
    """Text with its baseline at (x, y) in points from the top left corner."""
    figure.text(
        x / WIDTH,
        1 - y / height,
        text,
        fontsize=size,
        color=colour,
        ha=align,
        va="baseline",
        weight=weight,
    )


def _name(
    figure: Figure,
    height: float,
    x: float,
    y: float,
    lines: Sequence[str],
    marker: Mark | None = None,
    axes: Axes | None = None,
) -> float:
    """A variant's name over its row, with its marker where asked; returns the y below it."""
    if marker is not None and axes is not None:
        axes.plot([x + 3], [y + 5], marker.marker, color=marker.colour, ms=4.5)
        x += 10
    for line in lines:
        _put(figure, height, x, y + 8, line, weight="bold")
        y += LINE
    return y


def _fitting(numbers: str) -> float:
    """The size at which numbers fit their column: smaller for the very long."""
    return min(TEXT, TEXT * (WIDTH - NUMBERS_LEFT) / width(numbers, TEXT))


def _clear(axes: Axes, top: float, foot: float) -> None:
    """Keep the lines of the grid away from a name: a strip in the colour of the paper."""
    axes.axhspan(top, foot, color=PAPER, lw=0, zorder=1.5)


def _interval(
    axes: Axes,
    y: float,
    estimate: float | None,
    low: float | None,
    high: float | None,
    mark: Mark,
    ends: tuple[float, float],
    *,
    zero_is_open: bool,
    weight: float = 1.8,
    size: float = 5.5,
    dashes: bool = False,
) -> None:
    """A line from limit to limit with its mark; an arrow where it goes on past the axis."""
    start, stop = ends
    no_low = not exists(low) or (zero_is_open and low == 0)
    no_high = not exists(high)
    if (no_low and no_high) and not exists(estimate):
        return
    left = start if no_low or low is None else max(start, low)
    right = stop if no_high or high is None else min(stop, high)
    style = (0, (2.5, 1.5)) if dashes else "solid"
    axes.plot([left, right], [y, y], color=mark.colour, lw=weight, ls=style, solid_capstyle="butt")
    head: dict[str, Any] = {"color": mark.colour, "ms": size, "clip_on": False, "zorder": 3}
    if no_low or (low is not None and low < start):
        axes.plot([start], [y], "<", **head)
    if no_high or (high is not None and high > stop):
        axes.plot([stop], [y], ">", **head)
    if exists(estimate) and estimate is not None and start <= estimate <= stop:
        axes.plot(
            [estimate],
            [y],
            mark.marker,
            color=mark.colour,
            ms=size,
            zorder=5,
            clip_on=False,
            mec=PAPER,
            mew=0.6,
        )


def _bottom_axis(axes: Axes) -> None:
    axes.spines[["top", "left", "right"]].set_visible(False)
    axes.yaxis.set_visible(False)
    axes.grid(axis="x", color=RULE, lw=0.5)
    axes.set_axisbelow(True)


def _forest(
    name: str,
    rows: Sequence[Mapping[str, Any]],
    result: ComparisonResult,
    order: Sequence[str],
    caption: str,
    show_basis: bool = True,
) -> Picture:
    """Rate ratios on a log axis, grouped by variant."""
    look = marks(order, result.reference)
    left = 76.0 if show_basis else 8.0
    start, stop = _ratio_ends(rows)
    groups: list[tuple[str, list[Mapping[str, Any]]]] = []
    for row in rows:
        if not groups or groups[-1][0] != row["variant"]:
            groups.append((row["variant"], []))
        groups[-1][1].append(row)
    layout = [(variant, wrap(variant, WIDTH - 20, TEXT), own) for variant, own in groups]
    row_height, pale_height = 14.0, 20.0
    top = 14.0
    height = top + 46
    for _, lines, own in layout:
        height += len(lines) * LINE + 7
        height += sum(row_height if _strength(r)[0] > 1 else pale_height for r in own)
    with _drawing():
        figure, axes = _canvas(height, left, WIDTH - NUMBERS_LEFT + 12, 36, top)
        axes.set_xscale("log")
        axes.set_xlim(start, stop)
        low, high = max(start, 1 / result.margin), min(stop, result.margin)
        axes.axvspan(low, high, color=BAND, lw=0, zorder=0)
        axes.axvline(1, color=INK, lw=0.8, zorder=1)
        y = top
        for variant, lines, own in layout:
            _clear(axes, y, y + 2 + len(lines) * LINE)
            y = _name(figure, height, 4, y + 2, lines)
            for row in own:
                weight, size, colour, dashes = _strength(row)
                mark = look.get(variant, Mark(SOFT, "s"))
                tall = row_height if weight > 1 else pale_height
                if show_basis:
                    _basis(figure, height, y, row["basis"], colour)
                _interval(
                    axes,
                    y + 7,
                    row["estimate"],
                    row["conf_low"],
                    row["conf_high"],
                    Mark(mark.colour if weight > 1 else SOFT, mark.marker),
                    (start, stop),
                    zero_is_open=True,
                    weight=weight,
                    size=size,
                    dashes=dashes,
                )
                numbers = _ratio_numbers(row)
                _put(figure, height, NUMBERS_LEFT, y + 10, numbers, _fitting(numbers), colour)
                y += tall
            y += 5
        ticks = [t for t in (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16) if start < t < stop]
        axes.set_xticks(ticks, [f"{tick:.3g}" for tick in ticks])
        axes.minorticks_off()
        _bottom_axis(axes)
        span = log(stop / start)
        at_one = left + (NUMBERS_LEFT - 12 - left) * log(1 / start) / span
        _put(figure, height, at_one - 5, 9, "← slower", SMALL, SOFT, "right")
        _put(figure, height, at_one + 5, 9, "faster →", SMALL, SOFT)
        axis_name = f"times as fast as {result.reference}"
        _put(figure, height, left, height - 7, shorten(axis_name, 350, SMALL), SMALL, SOFT)
        return _picture(
            figure, name, words.ratios_alt(result.reference, rows), caption, ratios_table(rows)
        )


def _ratio_numbers(row: Mapping[str, Any]) -> str:
    low, high = row["conf_low"], row["conf_high"]
    said = limits_short(low, high)
    if row["estimate"] is None and said == "none":
        return "no answer"
    if not row["estimate"]:
        return said if row["estimate"] is None else f"no fish; {said}"
    return f"{ratio(row['estimate'])} ({said})"


def _basis(figure: Figure, height: float, y: float, basis: str, colour: str) -> None:
    if basis == words.EVERY_FISH_BY_ITSELF:
        _put(figure, height, 4, y + 8, "as if every fish", 7, SOFT)
        _put(figure, height, 4, y + 16, "came by itself", 7, SOFT)
        return
    _put(figure, height, 4, y + 10, basis, SMALL, colour)


def _strength(row: Mapping[str, Any]) -> tuple[float, float, str, bool]:
    """Line weight, mark size, text colour and dashes: the same trips strongest."""
    if row["basis"] == SAME_TRIPS or row["verdict"] is not None:
        return 2.6, 6.5, INK, False
    if row["basis"] == ALL_TRIPS:
        return 1.3, 5.0, INK, False
    return 0.8, 3.5, SOFT, True


def _is_headline(result: ComparisonResult) -> list[bool]:
    return [row["verdict"] is not None for row in ratio_rows(result)]


def _ratio_ends(rows: Sequence[Mapping[str, Any]]) -> tuple[float, float]:
    """Where a log axis begins and ends: all finite limits, within bounds, and 0.5 to 2 at least."""
    values = [
        float(row[key])
        for row in rows
        for key in ("estimate", "conf_low", "conf_high")
        if exists(row[key]) and row[key] > 0
    ]
    # A line that is open on one side gets some length before its arrow.
    for row in rows:
        low, high = row["conf_low"], row["conf_high"]
        if exists(high) and not low:
            values.append(float(high) / 3)
        if exists(low) and low > 0 and not exists(high):
            values.append(float(low) * 3)
    least = max(1 / WIDEST_RATIO, min([0.5, *values]))
    most = min(WIDEST_RATIO, max([2.0, *values]))
    room = exp(0.06 * log(most / least))
    return least / room, most * room


def _rate_axis_end(rows: Sequence[Any]) -> float:
    """Where the axis of rates ends: the widest limit, but not past four times the best rate."""
    best = max([r.per_100_rod_hours for r in rows if exists(r.per_100_rod_hours)], default=0.0)
    widest = [r.conf_high for r in rows if exists(r.conf_high)]
    lows = [r.conf_low for r in rows if exists(r.conf_low)]
    end = max([*widest, best, *lows], default=0.0)
    if best > 0:
        end = min(end, 4 * best)
        if len(widest) < len(rows):
            end = max(end, 1.6 * best)
    return 1.04 * end if end > 0 else 1.0


def _stairs(own: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Corner points of one variant's steps: along with the hours, then up by the trip's fish."""
    if len(own) > MOST_STEPS:
        own = own.iloc[np.unique(np.linspace(0, len(own) - 1, MOST_STEPS).astype(int))]
    xs = np.concatenate([[0.0], np.repeat(own["rod_hours_so_far"].to_numpy(float), 2)])
    ys = np.concatenate([[0.0, 0.0], np.repeat(own["fish_so_far"].to_numpy(float), 2)])[:-1]
    return xs, ys


def _end_labels(
    axes: Axes,
    ends: Sequence[tuple[float, float, str]],
    look: Mapping[str, Mark],
    tops: tuple[float, float],
    height: float,
    room: float,
) -> None:
    """Names at the right of the lines, moved apart, each tied to its line by a thin thread."""
    x_end, y_end = tops
    axes_height = height - 34 - 10
    spacing = y_end * 10.5 / axes_height
    placed = y_end * 1.02
    spots: list[list[Any]] = []
    for x, y, name in sorted(ends, key=lambda end: -end[1]):
        placed = min(y, placed - spacing) if spots else min(y, placed)
        spots.append([x, y, placed, name])
    # Pushed below the axis: move the lot up again from the bottom.
    floor = 0.0
    for spot in reversed(spots):
        spot[2] = max(spot[2], floor)
        floor = spot[2] + spacing
    per_point = x_end / (WIDTH - 28 - room)
    for x, y, at, name in spots:
        colour = look[name].colour
        axes.plot(
            [x, x_end + 4 * per_point, x_end + 9 * per_point],
            [y, at, at],
            color=RULE if x < x_end else colour,
            lw=0.5,
            clip_on=False,
            zorder=1,
        )
        axes.annotate(
            shorten(name, room - 14, TEXT),
            (x_end + 11 * per_point, at),
            va="center",
            color=INK if look[name].colour == SOFT else colour,
            annotation_clip=False,
        )


def _name_step(
    axes: Axes,
    tallest: Mapping[str, Any],
    lines: Sequence[tuple[np.ndarray, np.ndarray]],
    colour: str,
) -> None:
    """Beside the tallest step, where fewest lines run: how many fish, and which trip."""
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    box = axes.get_window_extent()  # pixels, of which a figure has `dpi` to the inch
    point = axes.figure.dpi / 72
    across, up = (right - left) * point / box.width, (high - low) * point / box.height
    said = shorten(f"{tallest['fish']} fish on {tallest['session']}", 120, SMALL)
    wide, tall = width(said, SMALL) * across, SMALL * up
    x, foot = tallest["rod_hours_so_far"], tallest["before"]
    spots = []
    for share in (0.9, 0.7, 0.5, 0.3, 0.1):
        for side in (-1, 1):
            start = x + 5 * across if side > 0 else x - 5 * across - wide
            y = foot + share * tallest["fish"]
            if start < left or start + wide > right:
                continue
            crossed = sum(_passes(line, start, start + wide, y - tall, y + tall) for line in lines)
            spots.append((crossed, abs(share - 0.5), side, y))
    if not spots:
        return
    _, _, side, y = min(spots)
    axes.text(
        x + side * 5 * across,
        y,
        said,
        ha="left" if side > 0 else "right",
        va="center",
        fontsize=SMALL,
        color=colour,
    )


def _passes(
    line: tuple[np.ndarray, np.ndarray], left: float, right: float, low: float, high: float
) -> bool:
    """Whether a line of level and upright pieces runs through a box."""
    xs, ys = line
    beside = (np.maximum(xs[:-1], xs[1:]) < left) | (np.minimum(xs[:-1], xs[1:]) > right)
    above = (np.maximum(ys[:-1], ys[1:]) < low) | (np.minimum(ys[:-1], ys[1:]) > high)
    return bool((~beside & ~above).any())


def _totals(steps: pd.DataFrame) -> list[dict[str, Any]]:
    """For each variant its fish, its rod-hours and its best trip."""
    return [
        {
            "variant": variant,
            "fish": int(own["fish"].sum()),
            "rod_hours": float(own["rod_hours"].sum()),
            "best_trip": int(own["fish"].max()),
        }
        for variant, own in steps.groupby("variant", sort=False)
    ]


def _top_places(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """For each variant the water and time with most of its hours."""
    rows = []
    for variant, own in frame.groupby("variant", sort=False):
        best = own.iloc[int(own["rod_hours"].to_numpy().argmax())]
        rows.append(
            {
                "variant": variant,
                "rod_hours": float(own["rod_hours"].sum()),
                "top": f"on {best['venue']}, {best['when']}",
                "share": float(best["share"]),
            }
        )
    return rows


def _time_labels(
    figure: Figure, height: float, start: float, step: float, y: float, bins: Sequence[str]
) -> None:
    """Under the bars: first letters of months (or quarters), the year where it begins."""
    every = max(1, ceil(8.5 / step))
    last_year, last_x = "", -100.0
    for i, name in enumerate(bins):
        x = start + (i + 0.5) * step
        parts = name.split()
        month = len(parts) == 2 and len(parts[0]) == 3
        year = parts[1] if month else parts[0]
        dated = year.isdigit()
        if not dated:
            _put(figure, height, x, y + 6, "?", 7, SOFT, "center")
            continue
        if month and i % every == 0:
            _put(figure, height, x, y + 6, parts[0][0], 7, SOFT, "center")
        if year != last_year and x - last_x > 22:
            _put(figure, height, x - 2.5, y + 16, year, 7, SOFT)
            last_year, last_x = year, x


def _round_up(value: float) -> float:
    """The next round number: an easy multiple of a power of ten."""
    if value <= 0:
        return 1.0
    power = 10.0 ** np.floor(np.log10(value))
    return float(
        next(
            m * power
            for m in (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)
            if m * power >= value * (1 - 1e-9)
        )
    )
