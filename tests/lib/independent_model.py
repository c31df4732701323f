"""The session model once more, written plainly from its definition, to hold the fast one against.

No code is shared with the project: each session's integral is scipy's `quad` (or a trapezoid sum
on a fine grid, which converges as fast for a smooth bell), the maximum is a simplex search from
several starts. Slow, and that is its virtue.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq, minimize
from scipy.special import gammaln

_GRID = np.linspace(-10.0, 10.0, 801)
_LOG_WEIGHT = -0.5 * _GRID**2 - 0.5 * np.log(2 * np.pi) + np.log(_GRID[1] - _GRID[0])


class PlainModel:
    """The log-likelihood of rows (session, cell, hours, fish, design)."""

    def __init__(
        self,
        session: np.ndarray,
        cell: np.ndarray,
        hours: np.ndarray,
        fish: np.ndarray,
        design: np.ndarray,
    ) -> None:
        self.session, self.cell = session, cell
        self.hours, self.fish, self.design = hours, fish, design

    def _cells(self, b: np.ndarray, session: int) -> tuple[np.ndarray, np.ndarray, float]:
        rows = self.session == session
        mean = self.hours[rows] * np.exp(self.design[rows] @ b)
        fish, cell = self.fish[rows], self.cell[rows]
        cells = np.unique(cell)
        counts = np.array([fish[cell == one].sum() for one in cells])
        means = np.array([mean[cell == one].sum() for one in cells])
        constant = float((fish * np.log(mean) - gammaln(fish + 1)).sum())
        return counts, means, constant

    @staticmethod
    def _given(z: np.ndarray, s: float, a: float, y: np.ndarray, m: np.ndarray) -> np.ndarray:
        """Log-likelihood of a session's cells given z, less the constant."""
        log_e = s * z - 0.5 * s * s
        out = np.zeros_like(log_e)
        for count, mean in zip(y, m, strict=True):
            if a > 0:
                rising = sum(np.log1p(a * j) for j in range(int(count)))
                out += rising + count * log_e
                out -= (count + 1 / a) * np.log1p(a * mean * np.exp(log_e))
            else:
                out += count * log_e - mean * np.exp(log_e)
        return out

    def log_likelihood(self, b: np.ndarray, s: float, a: float, *, by_quad: bool = False) -> float:
        total = 0.0
        for session in np.unique(self.session):
            y, m, constant = self._cells(b, int(session))
            total += constant
            if by_quad:
                # Around the mode on the grid, so that quad sees the bell.
                on_grid = self._given(_GRID, s, a, y, m) - 0.5 * _GRID**2
                top = float(on_grid.max())

                def bell(z: float, y=y, m=m, top=top) -> float:
                    given = self._given(np.array([z]), s, a, y, m)[0]
                    return float(np.exp(given - 0.5 * z * z - top))

                middle = float(_GRID[on_grid.argmax()])
                area, _ = quad(
                    bell, -14, 14, points=[middle], epsabs=1e-13, epsrel=1e-12, limit=400
                )
                total += top + np.log(area) - 0.5 * np.log(2 * np.pi)
            else:
                terms = self._given(_GRID, s, a, y, m) + _LOG_WEIGHT
                top = terms.max()
                total += top + np.log(np.exp(terms - top).sum())
        return total

    def maximum(self, held: int | None = None, value: float = 0.0) -> tuple[float, np.ndarray]:
        """The highest log-likelihood over b, s and t, one coefficient perhaps held."""
        columns = self.design.shape[1]
        free = [j for j in range(columns) if j != held]

        def loss(x: np.ndarray) -> float:
            b = np.zeros(columns)
            b[free] = x[: len(free)]
            if held is not None:
                b[held] = value
            return -self.log_likelihood(b, abs(x[-2]), x[-1] ** 2)

        begin = np.zeros(len(free))
        begin[0] = np.log(self.fish.sum() / self.hours.sum())
        best_loss, best_x = np.inf, begin
        for s, t in ((0.8, 0.6), (0.8, 0.0), (0.0, 0.8)):
            found = minimize(
                loss,
                np.append(begin, (s, t)),
                method="Nelder-Mead",
                options={"xatol": 1e-6, "fatol": 1e-8, "maxiter": 4000, "maxfev": 4000},
            )
            if found.fun < best_loss:
                best_loss, best_x = float(found.fun), found.x
        return -best_loss, best_x

    def limit(self, held: int, top: float, cutoff: float, inside: float, outside: float) -> float:
        """Where twice the fall of the profile reaches the cutoff, between two values."""

        def gap(theta: float) -> float:
            return 2.0 * (top - self.maximum(held, theta)[0]) - cutoff

        root: Callable[..., float] = brentq
        return float(root(gap, inside, outside, xtol=1e-5))
