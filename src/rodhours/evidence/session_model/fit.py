"""Maximum of the session model's likelihood: Newton with the exact Hessian, over all boundaries.

Small and lopsided logs have more than one maximum, and the gradient is 0 at s = 0 and at t = 0
whatever the data: so each boundary is fitted too, and the best maximum is the estimate.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.linalg.lapack import dposv

from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.evaluation import Evaluation
from rodhours.evidence.session_model.likelihood import evaluate
from rodhours.evidence.session_model.quadrature import Centre, nodes_for
from rodhours.evidence.session_model.runaway import determined, settled

FULL, NO_CLUMPS, NO_SESSIONS, POISSON = (True, True), (True, False), (False, True), (False, False)
"""Branches: whether s and whether t are free (the other one is held at 0)."""

Branch = tuple[bool, bool]

START = 0.7
"""Where s and t start from the inside: a usual size for both, away from the flat spot at 0."""

CLOSE_ENOUGH = 1e-7
"""Newton decrement after which one more step, taken blind, leaves an error far below 1e-6."""
_NEAR = 0.46
"""Below this Newton decrement, squared, what is still to be gained is less than it, where the
curvature changes no faster than that of a logarithm (Boyd & Vandenberghe 2004, equation 9.50)."""
_CERTAIN = 1e-6
"""The log of a probability is below 0: what is above is rounding, at rates far beyond any."""
_MOST_STEPS = 60
_LARGEST_STEP = 1.5
_LARGEST_SPREAD_STEP = 0.7
_NO_FISH = 1e-8
_MOST = 50.0
_HALVINGS = 12
_SAME_HEIGHT = 1e-6
_FLAT_ENOUGH = 1e-6
_OFF_A_SADDLE = 0.3
_TINY = 1e-8
"""Inside is at least this far from the boundary: the square of less is lost beside 1."""
_FLAT = 1e-7
"""Curvature below this, in units of fish, is no curvature: the direction runs off."""


@dataclass(frozen=True)
class Point:
    """A maximum on one branch, perhaps with one coefficient held.

    `b` (p,), `value` the log-likelihood there, `slope` the profile's derivative in the held
    coefficient, `path` how the free parameters move with it, (p+2,).
    """

    b: Floats
    s: float
    t: float
    value: float
    branch: Branch
    evaluation: Evaluation
    converged: bool
    slope: float = 0.0
    path: Floats | None = None


def free_parameters(data: SessionData, branch: Branch, held: int | None) -> np.ndarray:
    """Indices of the free parameters among (b, s, t)."""
    columns = data.columns
    return np.array(
        [j for j in range(columns) if j != held and j not in data.pinned]
        + ([columns] if branch[0] else [])
        + ([columns + 1] if branch[1] else []),
        dtype=np.int64,
    )


def _direction(gradient: Floats, hessian: Floats) -> tuple[Floats, float, bool]:
    """A step up, twice the gain that it promises, and whether the place curves down all round.

    The step is Newton's on absolute curvature. At a saddle, such as s or t near 0 where the
    likelihood would rise inwards, the gradient is 0: there the step goes along the curve up.
    """
    if not len(gradient):
        return gradient, 0.0, True
    _, step, failed = dposv(-hessian, gradient)
    if not failed:
        return step, float(gradient @ step), True
    values, vectors = np.linalg.eigh(hessian)
    curvature = np.maximum(np.abs(values), 1e-10)
    along = vectors.T @ gradient
    step = vectors @ (along / curvature)
    gain = float(gradient @ step)
    if values[-1] < _FLAT_ENOUGH:
        return step, gain, True
    if gain < CLOSE_ENOUGH:
        up = vectors[:, -1]
        # s and t come last, and are looked for above 0.
        step = _OFF_A_SADDLE * (up if up[-2:].sum() >= 0 else -up)
    return step, gain, False


def climb(
    data: SessionData,
    b: Floats,
    s: float,
    t: float,
    branch: Branch,
    *,
    held: int | None = None,
    centre: Centre | None = None,
    close: float = CLOSE_ENOUGH,
    worth: float = -np.inf,
) -> Point:
    """Climb to the nearest maximum on a branch, from the parameters given.

    `held` keeps one coefficient where it is. Converged means that the gradient is small in
    units of the curvature, at a place that curves down in every free direction. A climb that
    cannot get as high as it is `worth` ends before that.
    """
    p = data.columns
    s, t = (max(s, _TINY) if branch[0] else 0.0), (max(t, _TINY) if branch[1] else 0.0)
    free = free_parameters(data, branch, held)
    centre = centre or Centre(np.zeros(len(data.weight)))
    grid = np.ix_(free, free)
    nodes = nodes_for(s)
    now = np.append(b, (s, t))
    at = evaluate(data, now[:p], float(now[p]), float(now[p + 1]), centre, nodes)
    converged = False
    for _ in range(_MOST_STEPS):
        step, gain, concave = _direction(at.gradient[free], at.hessian[grid])
        # Wide session effects need more nodes for the same accuracy; never fewer again.
        if nodes < nodes_for(float(now[p])):
            nodes = nodes_for(float(now[p]))
            at = evaluate(data, now[:p], float(now[p]), float(now[p + 1]), centre, nodes)
            continue
        if gain < close and concave:
            now[free] += step
            now[p:] = np.abs(now[p:])
            at = replace(at, value=at.value + 0.5 * gain)
            converged = True
            break
        if concave and gain < _NEAR and at.value + gain < worth:
            break
        longest = _farthest(data, now[:p], free, step) / _LARGEST_STEP
        spread = step[len(free) - branch[0] - branch[1] :]
        if len(spread):
            longest = max(longest, np.abs(spread).max() / _LARGEST_SPREAD_STEP)
        scale = 1.0 / max(1.0, longest)
        for _ in range(_HALVINGS):
            trial = now.copy()
            trial[free] += scale * step
            # The likelihood is even in s and in t; exactly 0 would be the other branch.
            trial[p], trial[p + 1] = abs(trial[p]), abs(trial[p + 1])
            if branch[0]:
                trial[p] = max(trial[p], _TINY)
            if branch[1]:
                trial[p + 1] = max(trial[p + 1], _TINY)
            new = evaluate(data, trial[:p], float(trial[p]), float(trial[p + 1]), centre, nodes)
            if at.value - 1e-9 <= new.value < _CERTAIN:
                break
            scale *= 0.4
        else:
            # No way up along an ascent direction: at the accuracy of the numbers.
            converged = gain < 1e-5
            break
        now, at = trial, new
    slope, path = 0.0, None
    if held is not None:
        slope, path = _along(at, free, held, p)
    return Point(
        now[:p], float(now[p]), float(now[p + 1]), at.value, branch, at, converged, slope, path
    )


def _farthest(data: SessionData, b: Floats, free: np.ndarray, step: Floats) -> float:
    """How far a step moves the log rate of any stint that expects fish at coefficients `b`."""
    own = free < data.columns
    moved = np.abs(data.design[:, free[own]] @ step[own])
    expects = data.hours * np.exp(np.minimum(data.design @ b, _MOST)) > _NO_FISH
    return float(moved[expects].max(initial=0.0))


def _along(at: Evaluation, free: np.ndarray, held: int, p: int) -> tuple[float, Floats]:
    """Slope of the profile in the held coefficient, and how the free parameters follow it."""
    path = np.zeros(p + 2)
    slope = float(at.gradient[held])
    if len(free):
        _, follow, failed = dposv(-at.hessian[np.ix_(free, free)], at.hessian[free, held])
        if not failed:
            path[free] = follow
        slope += float(at.gradient[free] @ path[free])
    path[held] = 1.0
    return slope, path


def with_path(fit: Fit, held: int) -> Point:
    """The estimate, knowing how the other parameters follow one coefficient from there."""
    best = fit.best
    free = free_parameters(fit.data, best.branch, held)
    _, path = _along(best.evaluation, free, held, fit.data.columns)
    return replace(best, slope=0.0, path=path)


def poisson_start(data: SessionData) -> Floats:
    """Coefficients to start from: the overall rate, nothing else (first column all ones)."""
    b = np.zeros(data.columns)
    exposure = float(data.row_weight @ data.hours)
    b[0] = np.log(max(data.total_fish, 0.5) / exposure)
    return b


@dataclass(frozen=True)
class Fit:
    """The best maximum, and the maximum of every branch (for the limits)."""

    data: SessionData
    best: Point
    branches: tuple[Point, ...]

    @property
    def converged(self) -> bool:
        return self.best.converged

    @cached_property
    def determined(self) -> np.ndarray:
        """Which coefficients have an estimate, since they do not run off; a mask (p,)."""
        return determined(self.data.design[self.data.hours > 0])

    def covariance(self) -> Floats:
        """Covariance of the coefficients from the curvature at the estimate, (p, p).

        Directions without curvature (a slope that runs off) are left out.
        """
        p = self.data.columns
        free = free_parameters(self.data, self.best.branch, None)
        values, vectors = np.linalg.eigh(-self.best.evaluation.hessian[np.ix_(free, free)])
        kept = values > _FLAT * max(1.0, float(values.max()))
        inverse = (vectors[:, kept] / values[kept]) @ vectors[:, kept].T
        own = free < p
        covariance = np.zeros((p, p))
        covariance[np.ix_(free[own], free[own])] = inverse[np.ix_(own, own)]
        return covariance


def fit(data: SessionData, start: Floats | None = None) -> Fit:
    """Fit the session model: full, each boundary, and a restart where the best is a boundary.

    Stints that a coefficient empties as it runs off are left out of it.
    """
    data = settled(data)
    poisson = climb(data, poisson_start(data) if start is None else start, 0.0, 0.0, POISSON)
    tried = [
        climb(data, poisson.b, START, START, FULL),
        climb(data, poisson.b, START, 0.0, NO_CLUMPS),
        climb(data, poisson.b, 0.0, START, NO_SESSIONS),
        poisson,
    ]
    best = best_of(tried)
    if best.branch != FULL:
        again = climb(data, best.b, best.s or START, best.t or START, FULL)
        if again.value > tried[0].value or not tried[0].converged:
            tried[0] = again
        best = best_of(tried)
    return Fit(data, best, tuple(tried))


def best_of(points: Iterable[Point]) -> Point:
    """The highest converged maximum, the simplest branch where several are as high.

    A larger branch that only crept up to its boundary is as high as the boundary, to rounding.
    Where nothing converged, the highest point, which says so itself.
    """
    points = tuple(points)
    usable = [point for point in points if point.converged] or list(points)
    top = max(point.value for point in usable)
    return min(
        (point for point in usable if point.value >= top - _SAME_HEIGHT),
        key=lambda point: sum(point.branch),
    )
