"""What an evaluation of the likelihood takes and gives, and what clumps add to its derivatives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rodhours.evidence.session_model.data import Floats, SessionData

_LARGEST_EXPONENT = 500.0
SMALL_T = 0.01
"""Below this t = sqrt(a) the closed forms of the derivatives lose digits."""
_SERIES_LIMIT = 0.02


@dataclass(frozen=True)
class Evaluation:
    """Value, gradient and Hessian over (b, s, t)."""

    value: float
    gradient: Floats
    hessian: Floats


@dataclass(frozen=True)
class Parts:
    """Per-row and per-cell expected fish at the current coefficients.

    `start` is the part of the log-likelihood that is linear in them; `slope` (cells, p) is the
    derivative of a cell's expected fish in b.
    """

    data: SessionData
    start: float
    row_rate: Floats
    rate: Floats
    slope: Floats

    def row_curvature(self, cell_factor: Floats) -> Floats:
        """Σ_rows factor of its cell · expected fish · x x', with session weights; (p, p)."""
        data = self.data
        factor = data.cell_weight * cell_factor
        if data.cell_of_row is None:
            return self.slope.T @ (factor[:, None] * data.design)
        scaled = (factor[data.cell_of_row] * self.row_rate)[:, None] * data.design
        return data.design.T @ scaled


def expected_fish(data: SessionData, b: Floats) -> Parts:
    """Expected fish of rows and cells, without the session's effect, at coefficients b (p,)."""
    eta = data.design @ b
    rate = data.hours * np.exp(np.minimum(eta, _LARGEST_EXPONENT))
    start = data.constant + float(data.weighted_fish_design @ b)
    if data.cell_of_row is None:
        return Parts(data, start, rate, rate, rate[:, None] * data.design)
    size = len(data.cell_fish)
    cell_rate = np.asarray(np.bincount(data.cell_of_row, rate, size), dtype=np.float64)
    cell_slope = np.zeros((size, data.columns))
    for j in range(data.columns):
        cell_slope[:, j] = np.bincount(data.cell_of_row, rate * data.design[:, j], size)
    return Parts(data, start, rate, cell_rate, cell_slope)


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
