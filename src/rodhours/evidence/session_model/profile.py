"""Profile likelihood of one coefficient: its limits at a cutoff, and the statistic at a value.

Limits are found by Newton on the signed root of L = 2 (maximum − profile), each step warm-started
along the path of the other parameters (Venzon & Moolgavkar 1988, Applied Statistics 37:87-94).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rodhours.evidence.session_model.data import SessionData
from rodhours.evidence.session_model.fit import (
    BRANCHES,
    START,
    Branch,
    Fit,
    Point,
    best_of,
    climb,
    with_path,
)
from rodhours.evidence.session_model.quadrature import Centre

REACH = 12.0
"""No limit is looked for further than this from the estimate, in log rate ratio (e^12)."""

_SMALL_LOG = 30
"""Up to this many sessions, the inside is tried again from a boundary at every limit."""
_HIGHER = 1e-6
_FIRST_LOOK = 1e-3
_NEXT_LOOKS = 1e-6
_MOST_LOOKS = 40
_CLOSE_STEP = 1e-3
_NEXT_TO_ZERO = 0.05


def _step_to(
    data: SessionData, point: Point, held: int, theta: float, centre: Centre, close: float
) -> Point:
    """The profile at theta on the branch of a neighbouring point."""
    b, s, t = point.b.copy(), point.s, point.t
    if point.path is not None:
        moved = point.path * (theta - b[held])
        # A path is a straight line; far ahead it is only a direction.
        moved /= max(1.0, float(np.abs(np.delete(moved, held)).max(initial=0.0)))
        b += moved[:-2]
        s, t = max(s + moved[-2], 0.2 * s), max(t + moved[-1], 0.2 * t)
    b[held] = theta
    return climb(data, b, s, t, point.branch, held=held, centre=centre, close=close)


def _other_branches(
    data: SessionData, at: Point, held: int, known: tuple[Point, ...], threshold: float
) -> Point | None:
    """The highest point of another branch at the same value of the coefficient, if higher."""
    found: list[Point] = []
    ceiling = {point.branch: point.value for point in known}
    for branch in BRANCHES:
        if branch == at.branch or ceiling.get(branch, np.inf) < threshold:
            continue
        if _contains(branch, at.branch) and not _worth_trying(data, at, branch):
            continue
        point = climb(
            data,
            at.b.copy(),
            _inside(at.s),
            _inside(at.t),
            branch,
            held=held,
            close=_NEXT_LOOKS,
        )
        if point.converged and point.value > at.value + _HIGHER:
            found.append(point)
    return best_of(found) if found else None


def _inside(spread: float) -> float:
    """A start for s or t that is not stuck on the flat spot at 0."""
    return spread if spread > _NEXT_TO_ZERO else START


def _contains(larger: Branch, smaller: Branch) -> bool:
    return larger[0] >= smaller[0] and larger[1] >= smaller[1]


def _worth_trying(data: SessionData, at: Point, branch: Branch) -> bool:
    """From a boundary inwards: always in small logs, else where the likelihood curves up."""
    if data.sessions <= _SMALL_LOG:
        return True
    p = data.columns
    curvature = np.diag(at.evaluation.hessian)[p:]
    return any(branch[k] and not at.branch[k] and curvature[k] > 0 for k in (0, 1))


@dataclass(frozen=True)
class Profile:
    """The profile of one coefficient of a fit.

    `maximum` is the log-likelihood that the statistic is measured from, `anchor` a point to
    start from and `known` the maxima of the branches, which bound what a branch can reach.
    """

    data: SessionData
    held: int
    maximum: float
    anchor: Point
    known: tuple[Point, ...]
    spread: float

    @classmethod
    def of(cls, fit: Fit, held: int) -> Profile:
        """The profile of coefficient `held` of a converged fit."""
        return cls(
            fit.data,
            held,
            fit.best.value,
            with_path(fit, held),
            fit.branches,
            float(np.sqrt(fit.covariance()[held, held])),
        )

    @classmethod
    def of_one_branch(cls, fit: Fit, held: int) -> Profile:
        """The profile within the branch of the fit alone, such as the Poisson model's."""
        profile = cls.of(fit, held)
        best = fit.best
        # A ceiling of minus infinity keeps every other branch out.
        shut = tuple(
            replace(best, branch=branch, value=-np.inf)
            for branch in BRANCHES
            if branch != best.branch
        )
        return replace(profile, known=(best, *shut))

    def statistic(self, theta: float) -> float:
        """L(theta) = 2 (maximum − profile at theta), over all branches; >= 0."""
        point = self._at(theta)
        other = _other_branches(self.data, point, self.held, self.known, point.value)
        value = point.value if other is None else other.value
        return max(0.0, 2.0 * (self.maximum - value))

    def _at(self, theta: float) -> Point:
        centre = Centre(np.zeros(len(self.data.weight)))
        return _step_to(self.data, self.anchor, self.held, theta, centre, _NEXT_LOOKS)

    def limit(self, side: int, cutoff: float) -> float | None:
        """The value on one side (+1 or −1) where L first reaches the cutoff on every branch.

        None where the profile levels off below the cutoff: there is no limit on that side.
        """
        estimate = float(self.anchor.b[self.held])
        spread = self.spread if np.isfinite(self.spread) and self.spread > 0 else 1.0
        first = estimate + side * min(np.sqrt(cutoff) * spread, 0.5 * REACH)
        found = self._search(self.anchor, first, estimate, side, cutoff, spread)
        for _ in range(4):
            if found is None:
                return None
            theta, point = found
            other = _other_branches(
                self.data, point, self.held, self.known, self.maximum - 0.5 * cutoff
            )
            if other is None or 2.0 * (self.maximum - other.value) >= cutoff:
                return theta
            found = self._search(other, theta + side * 0.1 * spread, theta, side, cutoff, spread)
        return None if found is None else found[0]

    def _search(
        self, point: Point, theta: float, inside: float, side: int, cutoff: float, spread: float
    ) -> tuple[float, Point] | None:
        """Newton on sqrt(L) − sqrt(cutoff), kept between a value inside and one outside."""
        estimate = float(self.anchor.b[self.held])
        centre = Centre(np.zeros(len(self.data.weight)))
        target = np.sqrt(cutoff)
        outside: float | None = None
        close = _FIRST_LOOK
        for _ in range(_MOST_LOOKS):
            point = _step_to(self.data, point, self.held, theta, centre, close)
            close = _NEXT_LOOKS
            root = np.sqrt(max(0.0, 2.0 * (self.maximum - point.value)))
            if root < target:
                inside = theta
            else:
                outside = theta
            # d sqrt(L) / d theta = −slope / sqrt(L), outwards positive.
            steep = -side * point.slope / root if root > 1e-6 else 0.0
            gap = target - root
            widest = max(2.0 * spread, abs(theta - estimate))
            step = gap / steep if steep > 1e-9 else (widest if gap > 0 else -widest)
            step = float(np.clip(step, -widest, widest))
            new = theta + side * step
            if outside is not None and not (min(inside, outside) < new < max(inside, outside)):
                new = 0.5 * (inside + outside)
                step = abs(new - theta)
            if abs(step) < _CLOSE_STEP * spread and point.converged:
                return new, point
            if outside is not None and abs(outside - inside) < 1e-7:
                return new, point
            if abs(new - estimate) > REACH:
                return None
            theta = new
        return None


@dataclass(frozen=True)
class WithoutFish:
    """The profile of a variant without fish: its coefficient's maximum is at minus infinity.

    `bare` is the fit without its stints, `limit` the upper limit in log rate ratio (None: the
    profile levels off below the cutoff).
    """

    data: SessionData
    bare: Fit
    held: int
    limit: float | None

    def statistic_at(self, theta: float) -> float:
        """L(theta), measured from the maximum at minus infinity."""
        point = _highest_at(self.data, self.bare, self.held, theta)
        return max(0.0, 2.0 * (self.bare.best.value - point.value))


def _widened(point: Point, held: int, theta: float) -> np.ndarray:
    """The bare fit's coefficients with the held one put in."""
    return np.insert(point.b, held, theta)


def _highest_at(data: SessionData, bare: Fit, held: int, theta: float) -> Point:
    """The profile at theta: the best branch, each from its own maximum of the bare fit."""
    found = [
        climb(
            data,
            _widened(point, held, theta),
            _inside(point.s),
            _inside(point.t),
            point.branch,
            held=held,
            close=_NEXT_LOOKS,
        )
        for point in bare.branches
    ]
    return best_of(found)


def limit_without_fish(data: SessionData, bare: Fit, held: int, cutoff: float) -> WithoutFish:
    """The upper limit of a variant without fish, in log rate ratio.

    `data` holds the stints of the bare fit and those of the variant, whose indicator is column
    `held`. The profile falls as theta grows; for small theta L is twice the variant's expected
    fish, so that log L is nearly straight in theta.
    """
    added = float(data.row_weight @ (data.hours * (data.design[:, held] > 0)))
    rate = np.exp(bare.best.b[0])
    theta = float(np.log(0.5 * cutoff / (added * rate)))
    begin = theta
    point = _highest_at(data, bare, held, theta)
    centre = Centre(np.zeros(len(data.weight)))
    inside, outside = -np.inf, np.inf
    step = 0.0
    for _ in range(_MOST_LOOKS):
        lost = max(1e-12, 2.0 * (bare.best.value - point.value))
        if lost < cutoff:
            inside = theta
        else:
            outside = theta
        steep = -2.0 * point.slope / lost
        gap = np.log(cutoff / lost)
        step = float(np.clip(gap / steep, -2.0, 2.0)) if steep > 1e-6 else 2.0 * np.sign(gap)
        new = theta + step
        if not inside < new < outside:
            new = 0.5 * (inside + outside)
        if abs(new - theta) < 1e-6:
            other = _highest_at(data, bare, held, theta)
            if other.value <= point.value + _HIGHER:
                return WithoutFish(data, bare, held, new)
            point, outside = other, np.inf
            continue
        if new - begin > REACH:
            return WithoutFish(data, bare, held, None)
        theta = new
        point = _step_to(data, point, held, theta, centre, _NEXT_LOOKS)
    return WithoutFish(data, bare, held, None)
