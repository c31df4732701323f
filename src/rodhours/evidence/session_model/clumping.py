"""Derivatives of a negative binomial cell's log-likelihood in its clumping a.

At small a the closed forms lose digits, and a series takes over.
"""

from __future__ import annotations

import numpy as np

from rodhours.evidence.session_model.data import Floats, SessionData

SMALL_T = 0.01
"""Below this t = sqrt(a) the closed forms of the derivatives lose digits."""

_SERIES_LIMIT = 0.02


def clump_constant(data: SessionData, a: float) -> tuple[float, float, float]:
    """Σ_cells Σ_{j<Y} log(1 + a j), and its first and second derivative in a."""
    j = np.arange(len(data.above), dtype=np.float64)
    ratio = j / (1.0 + a * j)
    return (
        float(data.above @ np.log1p(a * j)),
        float(data.above @ ratio),
        -float(data.above @ ratio**2),
    )


def in_clumping(u: Floats, x: Floats, log1: Floats, v: Floats, a: float) -> tuple[Floats, Floats]:
    """Parts of the derivatives in a of −(Y + 1/a) log(1 + a u) that do not depend on Y.

    First: log(1 + x)/a² − v/a; second: −2 log(1 + x)/a³ + 2 v/a² + v²/a, with x = a u.
    """
    if a > SMALL_T**2:
        first = (log1 / a - v) / a
        return first, (v * v - 2.0 * first) / a
    y = np.minimum(x, _SERIES_LIMIT)
    first = u**2 * (1 / 2 + y * (-2 / 3 + y * (3 / 4 + y * (-4 / 5 + y * (5 / 6 - y * 6 / 7)))))
    second = u**3 * (
        -2 / 3 + y * (3 / 2 + y * (-12 / 5 + y * (10 / 3 + y * (-30 / 7 + y * 21 / 4))))
    )
    large = x > _SERIES_LIMIT
    if large.any():
        q, r = log1[large], v[large]
        exact = (q / a - r) / a
        first[large] = exact
        second[large] = (r * r - 2.0 * exact) / a
    return first, second
