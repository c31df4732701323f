"""An empty figure in points, text put on it, and the finished figure as deterministic SVG."""

from __future__ import annotations

import io
import warnings

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from rodhours.report.figures.picture import Picture
from rodhours.report.figures.style import COLOURS, INK, TEXT, WIDTH
from rodhours.report.svg import for_page


def canvas(
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
    axes = add_axes(figure, height, left, top, WIDTH - left - right, height - bottom - top)
    if down:
        axes.set_ylim(height - bottom, top)
    return figure, axes


def add_axes(
    figure: Figure, height: float, left: float, top: float, wide: float, tall: float
) -> Axes:
    """Axes in a figure of that height; all in points, `left` and `top` from its top left corner."""
    box = (left / WIDTH, (height - top - tall) / height, wide / WIDTH, tall / height)
    return figure.add_axes(box, facecolor="none")


def finished(figure: Figure, name: str, alt: str, caption: str, table: pd.DataFrame) -> Picture:
    stream = io.StringIO()
    with warnings.catch_warnings():
        # The reader's browser has the letters that the measuring font lacks.
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*")
        figure.savefig(stream, format="svg", metadata={"Date": None})
    return Picture(for_page(stream.getvalue(), name, alt, COLOURS), alt, caption, table)


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
        x / WIDTH,
        1 - y / height,
        text,
        fontsize=size,
        color=colour,
        ha=align,
        va="baseline",
        weight=weight,
    )
