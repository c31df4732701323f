"""Where a power curve, known by simulation at a few places, reaches what is asked for.

Scope: a straight line on the probit scale, weighted by how sure each simulated share is, with the
formula's own slope as the expectation; arithmetic only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

SLOPE_DOUBT, NO_GUIDE = 0.3, 3.0
"""The formula's slope is taken to be right within so much of itself (a standard error); and that
of a slope that is no more than a size."""
_GENTLEST = 0.3
"""A fitted slope is never less than this part of the formula's: the curve rises."""


@dataclass(frozen=True)
class PowerLine:
    """probit(power) = `level` + `slope` · (x − `centre`), with the standard error of each."""

    centre: float
    level: float
    slope: float
    level_error: float
    slope_error: float

    def power(self, x: float) -> float:
        """The power at x."""
        return float(ndtr(self.level + self.slope * (x - self.centre)))

    def power_error(self, x: float) -> float:
        """Monte-Carlo standard error of the power at x, as a share."""
        at = self.level + self.slope * (x - self.centre)
        return float(np.exp(-0.5 * at * at) / np.sqrt(2.0 * np.pi)) * self._probit_error(x)

    def reaches(self, power: float) -> float:
        """The x at which the line reaches a power."""
        return self.centre + (float(ndtri(power)) - self.level) / self.slope

    def place_error(self, power: float) -> float:
        """Monte-Carlo standard error of that x."""
        return self._probit_error(self.reaches(power)) / self.slope

    def _probit_error(self, x: float) -> float:
        return float(np.hypot(self.level_error, self.slope_error * (x - self.centre)))


def power_line(
    x: Sequence[float],
    settled: Sequence[int],
    seasons: Sequence[int],
    slope: float,
    doubt: float = SLOPE_DOUBT,
) -> PowerLine:
    """The line through simulated shares, settled of seasons at each x.

    `slope` > 0 is the formula's, which the simulated one is drawn towards as far as `doubt` lets
    it. The probit of a share has the variance p (1 − p) / (n φ²) (delta method); half a season is
    added on either side, so that shares of 0 and 1 have one.
    """
    places, count = np.asarray(x, dtype=float), np.asarray(seasons, dtype=float)
    share = (np.asarray(settled, dtype=float) + 0.5) / (count + 1.0)
    probit = ndtri(share)
    density = np.exp(-0.5 * probit**2) / np.sqrt(2.0 * np.pi)
    weight = count * density**2 / (share * (1.0 - share))
    total = float(weight.sum())
    centre = float(weight @ places) / total
    away = places - centre
    expected = 1.0 / (doubt * slope) ** 2
    known = float(weight @ away**2) + expected
    fitted = (float(weight @ (away * probit)) + expected * slope) / known
    return PowerLine(
        centre=centre,
        level=float(weight @ probit) / total,
        slope=max(fitted, _GENTLEST * slope),
        level_error=total**-0.5,
        slope_error=known**-0.5,
    )
