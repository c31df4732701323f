"""Balls and skins: volumes from diameters and back, in closed form.

Scope: pure arithmetic on mm and cm³.
"""

from __future__ import annotations

import math

MM3_PER_CM3 = 1000.0


def ball_cm3(diameter_mm: float) -> float:
    """The volume of a ball, pi d³ / 6, in cm³."""
    return math.pi * diameter_mm**3 / 6 / MM3_PER_CM3


def ball_mm(volume_cm3: float) -> float:
    """The diameter of a ball of that volume (>= 0), in mm."""
    return math.cbrt(6 * volume_cm3 * MM3_PER_CM3 / math.pi)


def skin_cm3(size_mm: float, cork_mm: float) -> float:
    """The volume between a cork ball and the surface of the bait around it, in cm³."""
    return ball_cm3(size_mm) - ball_cm3(cork_mm)
