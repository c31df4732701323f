"""How a variant looks, the same in every picture: a colour and a marker.

Markers alone tell variants apart in grey; colour helps for up to five beside the reference.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rodhours.report.pictures.style import HUES, INK, SOFT

MARKERS = ("o", "s", "D", "^", "v", "P", "X", "p", "h", "<", ">", "d", "H", "8", "*")


@dataclass(frozen=True)
class VariantStyle:
    """Colour and marker of a variant; `weight` of its lines and `size` of its marks in points."""

    colour: str = SOFT
    marker: str = "s"
    weight: float = 1.8
    size: float = 5.5
    dashed: bool = False


def variant_styles(order: Sequence[str], reference: str) -> dict[str, VariantStyle]:
    """The look of each variant: the reference in ink, hues for up to five others."""
    others = [variant for variant in order if variant != reference]
    styles = {reference: VariantStyle(INK, MARKERS[0])}
    for i, variant in enumerate(others):
        colour = HUES[i] if len(others) <= len(HUES) else SOFT
        styles[variant] = VariantStyle(colour, MARKERS[1 + i % (len(MARKERS) - 1)])
    return styles
