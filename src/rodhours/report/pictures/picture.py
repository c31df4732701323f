"""A finished picture, the empty figure it begins as, and text put on it; measures in points."""

from __future__ import annotations

import io
import warnings
from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from rodhours.report.pictures.style import COLOURS, INK, TEXT, WIDTH, drawing
from rodhours.report.svg import for_page


@dataclass(frozen=True)
class Picture:
    """A picture with everything that a reader who cannot see it needs.

    `svg` is one `<svg>` element, for all widths; `table` holds the numbers drawn, ready to be
    shown.
    """

    svg: str
    alt: str
    caption: str
    table: pd.DataFrame


def drawn(
    name: str, alt: str, caption: str, table: pd.DataFrame, draw: Callable[[], Figure]
) -> Picture:
    """The picture that `draw` makes; `name` goes before the ids inside."""
    stream = io.StringIO()
    with drawing(), warnings.catch_warnings():
        # The reader's browser has the letters that the measuring font lacks.
        warnings.filterwarnings("ignore", message=".*[Gg]lyph.*")
        draw().savefig(stream, format="svg", metadata={"Date": None})
    return Picture(for_page(stream.getvalue(), name, alt, COLOURS), alt, caption, table)


def canvas(
    height: float, left: float = 0.0, right: float = 0.0, bottom: float = 0.0, top: float = 0.0
) -> tuple[Figure, Axes]:
    """A figure with one axes between the margins, in which y is points from the top edge."""
    figure = Figure(figsize=(WIDTH / 72, height / 72), facecolor="none")
    FigureCanvasSVG(figure)
    axes = add_axes(figure, left, top, WIDTH - left - right, height - bottom - top)
    axes.set_ylim(height - bottom, top)
    return figure, axes


def add_axes(figure: Figure, left: float, top: float, wide: float, tall: float) -> Axes:
    """Axes in a figure; `left` and `top` from its top left corner."""
    height = height_of(figure)
    box = (left / WIDTH, (height - top - tall) / height, wide / WIDTH, tall / height)
    return figure.add_axes(box, facecolor="none")


def height_of(figure: Figure) -> float:
    """The height of a figure."""
    return float(figure.get_figheight()) * 72


def put(
    figure: Figure,
    x: float,
    y: float,
    text: str,
    size: float = TEXT,
    colour: str = INK,
    align: str = "left",
    weight: str = "normal",
) -> None:
    """Text with its baseline at (x, y) from the top left corner."""
    figure.text(
        x / WIDTH,
        1 - y / height_of(figure),
        text,
        fontsize=size,
        color=colour,
        ha=align,
        va="baseline",
        weight=weight,
    )
