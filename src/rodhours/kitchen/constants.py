"""Figures that the kitchen starts from, each with its source and how sure that source is.

Scope: constants only. What common practice says is marked as such: nobody measured it for us.
Densities are in kg/m³, lengths in mm, masses in g, volumes of liquids in ml.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Origin(StrEnum):
    """Where a figure comes from, as it is printed beside it: the firmest first."""

    ASKED = "as asked"
    MEASURED = "your measurement"
    RECIPE = "recipe"
    GEOMETRY = "geometry"
    PUBLISHED = "published"
    PRACTICE = "common practice"


@dataclass(frozen=True)
class Stated:
    """A figure and where it comes from."""

    value: float
    origin: Origin


@dataclass(frozen=True)
class EggClass:
    """A weight class of hen eggs in the shell, g; a limit that the class does not have is None."""

    name: str
    low_g: float | None
    high_g: float | None
    typical_g: float


CORK_DENSITY = Stated(170.0, Origin.PUBLISHED)
"""A measured specimen: Gibson, Easterling & Ashby 1981, Proc R Soc Lond A 377:99-117 (quoted
from memory)."""
CORK_DENSITY_LOW, CORK_DENSITY_HIGH = 120.0, 240.0
"""The spread of natural cork: Gibson & Ashby, Cellular Solids; Silva et al. 2005, Int Mater Rev
50:345-365 (quoted from memory)."""
LEAD_DENSITY = 11340.0
"""CRC Handbook of Chemistry and Physics, 20 °C (quoted from memory)."""

EGG_CLASSES = {
    one.name: one
    for one in (
        EggClass("S", None, 53.0, 48.0),
        EggClass("M", 53.0, 63.0, 58.0),
        EggClass("L", 63.0, 73.0, 68.0),
        EggClass("XL", 73.0, None, 78.0),
    )
}
"""Class limits: Commission Delegated Regulation (EU) 2023/2465. The typical egg is the middle of
its class; S and XL, open on one side, are taken as wide as M and L."""
SHELL_SHARE = 0.10
"""Shell as a share of an egg by mass: Britannica, 'egg' (10/60/30 %); handbooks give 8 to 12 %."""

POUND_G = 453.59237
OUNCE_G = POUND_G / 16
"""Exact: NIST SP 811 (2008) Appendix B.8; international yard and pound agreement, 1959."""

# Common practice, no source.
DRY_G_PER_EGG = Stated(80.0, Origin.PRACTICE)
"""Dry mix that an egg of class M takes up. It differs from mix to mix: weigh it once."""
PASTE_DENSITY = Stated(1100.0, Origin.PRACTICE)
"""A stand-in until it is measured: no published value of a bait paste is known to us."""
ATTRACTOR_DENSITY = Stated(1.0, Origin.PRACTICE)
"""g per ml; oils are nearer 0.92 (Codex Standard CXS 210-1999)."""
ATTRACTOR_ML_PER_EGG = Stated(3.5, Origin.PRACTICE)
"""The middle of 3 to 4 ml in a one-egg mix."""
SACHETS_PER_POUND = Stated(1.0, Origin.PRACTICE)
"""Small sachets of egg-white powder to a pound of dry mix."""
PRACTICE_CORK_MM = 12.0
SIZE_OVER_12_MM_CORK = Stated(15.5, Origin.PRACTICE)
"""The middle of 15 to 16 mm over a 12 mm cork ball."""
BOIL_S = Stated(105.0, Origin.PRACTICE)
"""The middle of 90 to 120 s."""
MOST_BAITS_IN_A_LOAD = 35
"""30 to 35 baits boil together without taking the water off the boil."""
MOST_BAITS_IN_A_PORTION = 40
"""Paste is frozen in balls of 30 to 40 baits' worth."""
DRYING_DAYS = Stated(2.0, Origin.PRACTICE)
SIZE_TOLERANCE_MM = 0.5
"""How far a finished bait made by hand lies from the size that was aimed at, either way."""
