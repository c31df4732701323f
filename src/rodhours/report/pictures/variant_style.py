"""How a variant looks, the same in every picture: a colour and a marker.

Markers alone tell variants apart in grey; colour helps for up to four beside the reference.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
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


Styles = Mapping[str, VariantStyle]
"""How each variant looks, in the order of the pictures; made once for a page."""


def variant_styles(
    order: Sequence[str], reference: str, settled: Collection[str] = ()
) -> dict[str, VariantStyle]:
    """The look of each variant, in that order: the reference in ink, up to four others in hues.

    Of more than four, those that are `settled` are in ink and the rest in grey.
    """
    others = [variant for variant in order if variant != reference]
    colours: Sequence[str] = HUES
    if len(others) > len(HUES):
        colours = [INK if variant in settled else SOFT for variant in others]
    looks = {reference: VariantStyle(INK, MARKERS[0])}
    for i, (variant, colour) in enumerate(zip(others, colours, strict=False)):
        looks[variant] = VariantStyle(colour, MARKERS[1 + i % (len(MARKERS) - 1)])
    return {variant: looks[variant] for variant in order}
