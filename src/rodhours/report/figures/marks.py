"""How a variant looks, the same in every picture: a colour and a marker.

Markers alone tell variants apart in grey; colour helps for up to five beside the reference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rodhours.report.figures.style import HUES, INK, SOFT

MARKERS = ("o", "s", "D", "^", "v", "P", "X", "p", "h", "<", ">", "d", "H", "8", "*")


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
