"""The session model's likelihood once more, slowly: sums over a fine grid, general optimisers.

Scope: an independent yardstick for the tests, written from the formulas alone. It shares no line
with the package: pandas and numpy lay the log out, the integral over the session effect is a
trapezoid sum, scipy's optimisers do the rest, and cutoffs come from scipy.special.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import integrate, optimize, special

GRID = np.arange(-8.0, 8.05, 0.1)
LOG_WEIGHT = np.log(0.1 / np.sqrt(2 * np.pi)) - GRID**2 / 2
STARTS = [(0.7, 0.7), (0.05, 0.7), (0.7, 0.05), (1.3, 0.1), (0.05, 0.05)]
NOTHING = -40.0
"""A log rate ratio at which a variant catches nothing."""


@dataclass
class Brute:
    """A log as plain arrays, a design, and the slow likelihood of the session model.

    `cell` and `session` are codes by row; a cell belongs to one session. `times` says how often
    a row's session is there, the same for all its rows.
    """

    session: np.ndarray
    cell: np.ndarray
    hours: np.ndarray
    fish: np.ndarray
    design: np.ndarray
    clumped: bool = True
    sessions_differ: bool = True
    times: float | np.ndarray = 1.0

    def __post_init__(self) -> None:
        self.cells, self.cell = np.unique(self.cell, return_inverse=True)
        self.sessions, self.session = np.unique(self.session, return_inverse=True)
        self.cell_session = np.zeros(len(self.cells), dtype=int)
        self.cell_session[self.cell] = self.session
        self.cell_fish = np.bincount(self.cell, self.fish)
        # Which cells belong to a session, as ones in a matrix: sums over them are a product.
        self.often = np.broadcast_to(self.times, self.session.shape).astype(float)
        self.session_often = np.ones(len(self.sessions))
        self.session_often[self.session] = self.often
        self.member = (self.cell_session == np.arange(len(self.sessions))[:, None]).astype(float)

    def log_likelihood(self, b: np.ndarray, s: float, t: float) -> float:
        """The full log-likelihood with its log y! terms, a = t²."""
        return self.with_slope(b, s, t)[0]

    def with_slope(self, b: np.ndarray, s: float, t: float) -> tuple[float, np.ndarray]:
        """The log-likelihood and its derivatives in b, s and t, from the grid's weights."""
        rate = self.hours * np.exp(self.design @ b)
        expected = np.bincount(self.cell, rate)
        log_e = s * GRID - s * s / 2
        y = self.cell_fish[:, None]
        mean = expected[:, None] * np.exp(log_e)
        a = t * t
        if a < 1e-7:
            inside, taken, in_a = y * log_e - mean, mean, np.zeros_like(mean)
        else:
            # Σ_{j<Y} log(1 + a j) = Y log a + log Γ(Y + 1/a) − log Γ(1/a).
            rising = y * np.log(a) + special.gammaln(y + 1 / a) - special.gammaln(1 / a)
            grown = 1 + a * mean
            log_grown = np.log1p(a * mean)
            inside = rising + y * log_e - (y + 1 / a) * log_grown
            taken = (1 + a * y) * mean / grown
            steps = special.digamma(y + 1 / a) - special.digamma(1 / a)
            in_a = (y / a - steps / a**2) + (log_grown / a - taken) / a
        by_session = self.member @ inside
        by_session += LOG_WEIGHT
        top = by_session.max(axis=1)
        weight = np.exp(by_session - top[:, None])
        area = weight.sum(axis=1)
        integral = top + np.log(area)
        weight = (weight / area[:, None])[self.cell_session]
        factor = (weight * taken).sum(axis=1) / expected
        in_b = self.design.T @ (self.often * (self.fish - rate * factor[self.cell]))
        weight *= self.session_often[self.cell_session][:, None]
        in_s = (weight * (y - taken) * (GRID - s)).sum()
        in_t = 2 * t * (weight * in_a).sum()
        own = self.often @ (self.fish * np.log(rate) - special.gammaln(self.fish + 1))
        return float(self.session_often @ integral + own), np.append(in_b, (in_s, in_t))

    def _highest(self, held: int | None, theta: float, begin: Sequence[np.ndarray]) -> tuple:
        p = self.design.shape[1]
        free = np.array([j for j in range(p) if j != held], dtype=int)

        def unpack(values: np.ndarray) -> tuple[np.ndarray, float, float]:
            b = np.empty(p)
            b[free] = values[: len(free)]
            if held is not None:
                b[held] = theta
            s = values[len(free)] if self.sessions_differ else 0.0
            t = values[len(free) + 1] if self.clumped else 0.0
            return b, s, t

        moving = np.append(free, (p, p + 1))
        still = np.append(np.ones(len(free)), (self.sessions_differ, self.clumped))

        def lost(values: np.ndarray) -> tuple[float, np.ndarray]:
            b, s, t = unpack(values)
            if max(abs(s), abs(t)) > 6 or np.abs(b[free]).max(initial=0) > 60:
                return 1e6, np.zeros(len(values))
            value, slope = self.with_slope(b, s, t)
            return -value, -slope[moving] * still

        best = None
        for start in begin:
            b, s, t = start[:p], start[p], start[p + 1]
            found = optimize.minimize(
                lost, np.append(b[free], (s, t)), jac=True, method="BFGS", options={"gtol": 1e-7}
            )
            if best is None or found.fun < best[0] - 1e-10:
                b, s, t = unpack(found.x)
                best = (found.fun, np.append(b, (abs(s), abs(t))))
        return -best[0], best[1]

    def log_likelihood_by_quad(self, b: np.ndarray, s: float, t: float) -> float:
        """The same with each session's integral by scipy's quad, one after the other."""
        rate, a, total = self.hours * np.exp(self.design @ b), t * t, 0.0
        mean = np.bincount(self.cell, rate)
        for session in range(len(self.sessions)):
            of = self.cell_session == session
            cells = list(zip(self.cell_fish[of].tolist(), mean[of].tolist(), strict=True))
            fish, whole = sum(y for y, _ in cells), sum(m for _, m in cells)
            rising = sum(np.log1p(a * np.arange(y)).sum() for y, _ in cells)

            def given(z: float, cells=cells, fish=fish, whole=whole, rising=rising) -> float:
                log_e = s * z - s * s / 2
                e = math.exp(log_e)
                taken = (
                    sum((y + 1 / a) * math.log1p(a * m * e) for y, m in cells) if a else whole * e
                )
                return rising + fish * log_e - taken - z * z / 2

            at = max(GRID[::4], key=given)
            area, _ = integrate.quad(
                lambda z, at=at, given=given: np.exp(given(z) - given(at)),
                -14,
                14,
                points=[at],
                epsabs=1e-13,
                epsrel=1e-12,
                limit=400,
            )
            total += given(at) + np.log(area) - np.log(2 * np.pi) / 2
        return total + float(self.fish @ np.log(rate) - special.gammaln(self.fish + 1).sum())

    def starts(self) -> list[np.ndarray]:
        b = np.zeros(self.design.shape[1])
        b[0] = np.log(max(self.often @ self.fish, 0.5) / (self.often @ self.hours))
        return [np.append(b, pair) for pair in STARTS]

    def fit(self, held: int | None = None, theta: float = 0.0) -> tuple[float, np.ndarray]:
        """The maximum and where it is, (b, s, t); perhaps with one coefficient held."""
        return self._highest(held, theta, self.starts())

    def statistic(self, held: int, theta: float, top: float, near: np.ndarray) -> float:
        """L(theta) = 2 (maximum − profile), from several starts."""
        return 2 * (top - self._from_all(held, theta, near)[0])

    def _from_all(self, held: int, theta: float, near: np.ndarray) -> tuple:
        begin = [near, *(np.append(near[:-2], pair) for pair in STARTS[:3])]
        return self._highest(held, theta, begin)

    def limit(
        self, held: int, side: int, cutoff: float, top: float, at: np.ndarray, reach: float = 12.0
    ) -> float:
        """Where L reaches the cutoff on one side of the estimate `at`, no further than the reach.

        Looked for from the other parameters of the place before alone; where other starts then
        find less at that place, once more from theirs, and at last from all starts everywhere.
        """
        near = at
        for search in (self._from_near, self._from_near, self._from_all):

            def beyond(theta: float, search=search) -> float:
                nonlocal near
                value, near = search(held, theta, near)
                return 2 * (top - value) - cutoff

            inside, away = at[held], 0.5
            while beyond(inside + side * away) < 0:
                inside += side * away
                if abs(inside - at[held]) > reach:
                    return np.inf * side
            found = optimize.brentq(beyond, *sorted((inside, inside + side * away)), xtol=1e-6)
            value, near = self._from_all(held, found, at)
            if abs(2 * (top - value) - cutoff) < 1e-5:
                break
        return found

    def _from_near(self, held: int, theta: float, near: np.ndarray) -> tuple:
        # The likelihood is flat at s = 0 and at t = 0, whatever the data.
        return self._highest(held, theta, [np.append(near[:-2], np.maximum(near[-2:], 0.3))])


def lay_out(
    log: pd.DataFrame,
    reference: str,
    shares_of: pd.DataFrame | None = None,
    covariates: Sequence[np.ndarray] = (),
) -> Brute:
    """The log with an indicator for each other variant in the order of their names.

    `shares_of` is the frame whose share columns are wanted (the same-trip basis). A cell is
    session × variant, or one row where no session has two variants.
    """
    others = sorted(set(log["variant"]) - {reference})
    columns = [np.ones(len(log)), *((log["variant"] == one).to_numpy(float) for one in others)]
    columns += [np.asarray(one, dtype=float) for one in covariates]
    if shares_of is not None:
        hours = shares_of.pivot_table(
            index="session", columns="variant", values="hours", aggfunc="sum", fill_value=0.0
        )
        share = hours.div(hours.sum(axis=1), axis=0)
        for one in sorted(set(shares_of["variant"]) - {reference}):
            column = log["session"].map(share[one]).to_numpy(float)
            column = column - column.mean()
            if np.linalg.matrix_rank(np.column_stack((*columns, column)), tol=1e-8) > len(columns):
                columns.append(column)
    mixed = log.groupby("session")["variant"].nunique().max() > 1
    cell = log.groupby(["session", "variant"]).ngroup() if mixed else np.arange(len(log))
    return Brute(
        log["session"].to_numpy(),
        np.asarray(cell),
        log["hours"].to_numpy(float),
        log["fish"].to_numpy(float),
        np.column_stack(columns),
    )


def mid_p(y: int, alpha: float, side: int) -> float:
    """The mid-P limit of a Poisson count, from sums of probabilities."""
    if side > 0:
        return optimize.brentq(
            lambda mu: (special.pdtr(y, mu) + (special.pdtr(y - 1, mu) if y else 0.0) - alpha) / 2,
            1e-12,
            20 + 4 * y - 4 * np.log(alpha),
            xtol=1e-12,
        )
    return optimize.brentq(
        lambda mu: (special.pdtrc(y - 1, mu) + special.pdtrc(y, mu) - alpha) / 2,
        1e-14,
        20 + 4 * y,
        xtol=1e-14,
    )


def distance(y: int, alpha: float, side: int) -> float:
    """Twice the Poisson log-likelihood lost at the mid-P limit; 0 where there is none."""
    if y == 0 and side < 0:
        return 0.0
    mu = mid_p(y, alpha, side)
    if (mu - y) * side <= 0:
        return 0.0
    return 2 * (special.xlogy(y, y / mu) - y + mu)


def cutoff(alpha: float, side: int, df: int, fish: int, reference_fish: int) -> float:
    """max(t², guard) for a rate ratio."""
    guard = max(distance(fish, alpha, side), distance(reference_fish, alpha, -side))
    return max(special.stdtrit(df, 1 - alpha / 2) ** 2, guard)


def p_value(statistic: float, side: int, df: int, fish: int, reference_fish: int) -> float:
    """The alpha whose cutoff on that side is the statistic; 1 where none is."""
    if statistic <= cutoff(1 - 1e-9, side, df, fish, reference_fish):
        return 1.0
    return optimize.brentq(
        lambda alpha: cutoff(alpha, side, df, fish, reference_fish) - statistic,
        1e-12,
        1 - 1e-9,
        xtol=1e-13,
    )


@dataclass(frozen=True)
class Interval:
    """What the yardstick gives for one variant against the reference."""

    ratio: float
    low: float
    high: float
    p: float
    log_likelihood: float
    s: float
    t: float


def interval(brute: Brute, held: int, alpha: float, df: int, fish: int, other: int) -> Interval:
    """Estimate, limits and p of one coefficient; both variants have fish."""
    top, at = brute.fit()
    low, high = (
        brute.limit(held, side, cutoff(alpha, side, df, fish, other), top, at) for side in (-1, 1)
    )
    statistic = brute.statistic(held, 0.0, top, at)
    p = p_value(statistic, 1 if at[held] < 0 else -1, df, fish, other)
    return Interval(np.exp(at[held]), np.exp(low), np.exp(high), p, top, at[-2], at[-1])


def upper_without_fish(
    brute: Brute, held: int, alpha: float, df: int, other: int
) -> tuple[float, float]:
    """The upper limit and p of a variant without fish (column `held`) against the base."""
    top, at = brute.fit(held, NOTHING)
    cut = cutoff(alpha, 1, df, 0, other)
    at[held] = -7.0
    limit = brute.limit(held, 1, cut, top, at, reach=19.0)
    if np.isinf(limit):
        return np.inf, np.nan
    return np.exp(limit), p_value(brute.statistic(held, 0.0, top, at), 1, df, 0, other)
