"""An empty figure in points, text put on it, and the finished figure as deterministic SVG."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import COLOURS, INK, NARROW, TEXT, WIDE, drawing
from rodhours.report.svg import for_page


def canvas(
    height: float,
    left: float,
    right: float,
    bottom: float,
    top: float = 0.0,
    down: bool = True,
    width: float = WIDE,
) -> tuple[Figure, Axes]:
    """A figure with one axes; margins in points. With `down`, y is points from the top edge."""
    figure = Figure(figsize=(width / 72, height / 72), facecolor="none")
    FigureCanvasSVG(figure)
    axes = add_axes(figure, height, left, top, width - left - right, height - bottom - top)
    if down:
        axes.set_ylim(height - bottom, top)
    return figure, axes


def add_axes(
    figure: Figure, height: float, left: float, top: float, wide: float, tall: float
) -> Axes:
    """Axes in a figure of that height; all in points, `left` and `top` from its top left corner."""
    width = width_of(figure)
    box = (left / width, (height - top - tall) / height, wide / width, tall / height)
    return figure.add_axes(box, facecolor="none")


def width_of(figure: Figure) -> float:
    """The width of a figure in points."""
    return float(figure.get_figwidth()) * 72


def drawn(
    name: str,
    alt: str,
    caption: str,
    table: pd.DataFrame,
    draw: Callable[[float], Figure],
) -> Picture:
    """A picture drawn twice: for a column of text and for a phone; `draw` is given the width."""
    with drawing():
        wide = _svg(draw(WIDE), name, alt, "wide")
        narrow = _svg(draw(NARROW), f"{name}-narrow", alt, "narrow")
    return Picture(wide, alt, caption, table, narrow)


def _svg(figure: Figure, name: str, alt: str, kind: str) -> str:
    stream = io.StringIO()
    with warnings.catch_warnings():
        # The reader's browser has the letters that the measuring font lacks.
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*")
        figure.savefig(stream, format="svg", metadata={"Date": None})
    return for_page(stream.getvalue(), name, alt, COLOURS, kind)


def put(
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
        x / width_of(figure),
        1 - y / height,
        text,
        fontsize=size,
        color=colour,
        ha=align,
        va="baseline",
        weight=weight,
    )
