"""What an evaluation of the likelihood takes and gives: expected fish in, derivatives out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rodhours.evidence.session_model.data import Floats, SessionData

_LARGEST_EXPONENT = 500.0


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
