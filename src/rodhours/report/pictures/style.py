"""Colours, sizes and settings that all pictures share, whatever the machine's own are."""

from __future__ import annotations

from contextlib import AbstractContextManager
from typing import Any

import matplotlib as mpl
import matplotlib.style
import seaborn

INK, SOFT, RULE, BAND, PAPER = "#1c1b19", "#6a665f", "#d9d4c9", "#efeae0", "#ffffff"
HUES = ("#0173b2", "#c24f00", "#01795a", "#a9569b")
"""Blue, orange, green and purple of the colour-blind palette, the last three darkened until they
reach 3:1 on the bands too, so graphics only: text is in ink.

The page has a light set of them for the dark.
"""
COLOURS = {INK: "ink", SOFT: "soft", RULE: "rule", BAND: "band", PAPER: "paper"} | {
    hue: f"hue-{i}" for i, hue in enumerate(HUES, 1)
}
WIDTH = 264.0
"""Width in points of every picture: on a phone its letters then have the size of a caption."""
TEXT, SMALL, LINE = 9.0, 8.0, 11.5
NUMBERS = 94.0
"""Room for the column of numbers at the right of intervals."""
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


def drawing() -> AbstractContextManager[None]:
    """Drawing under the project's own settings, whatever the machine's are."""
    return mpl.style.context(["default", seaborn.axes_style("ticks"), STYLE])
