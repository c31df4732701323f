"""Profile likelihood of one coefficient: its limits at a cutoff, and the statistic at a value.

Limits are found by Newton on the signed root of L = 2 (maximum − profile), each step warm-started
along the path of the other parameters (Venzon & Moolgavkar 1988, Applied Statistics 37:87-94).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rodhours.evidence.session_model.data import SessionData
from rodhours.evidence.session_model.fit import (
    BRANCHES,
    CLOSE_ENOUGH,
    START,
    Fit,
    Point,
    best_of,
    climb,
    poisson_start,
    with_path,
)
from rodhours.evidence.session_model.quadrature import Centre

REACH = 12.0
"""A limit further than this from the estimate, in log rate ratio (e^12), is none."""

_HIGHER = 1e-6
_FIRST_LOOK = 1e-2
_NEXT_LOOKS = 1e-4
_MOST_LOOKS = 40
_CLOSE_STEP = 1e-3
_NEXT_TO_ZERO = 0.05
TOUCHES = 1e-4
"""A limit this near to a ratio of 1 touches it, whatever the last digits say."""


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


@dataclass(frozen=True)
class Profile:
    """The profile of one coefficient of a fit.

    `maximum` is the log-likelihood that the statistic is measured from, `anchor` a point to
    start from and `known` the maxima of the branches, which bound what a branch can reach. No
    limit is looked for further than `reach` from the estimate.
    """

    data: SessionData
    held: int
    maximum: float
    anchor: Point
    known: tuple[Point, ...]
    spread: float
    reach: float = REACH

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
        return self._lost(self._highest(theta))

    def _lost(self, point: Point) -> float:
        return max(0.0, 2.0 * (self.maximum - point.value))

    def _highest(self, theta: float) -> Point:
        centre = Centre(np.zeros(len(self.data.weight)))
        point = _step_to(self.data, self.anchor, self.held, theta, centre, CLOSE_ENOUGH)
        other = _other_branches(self.data, point, self.held, self.known, point.value)
        return point if other is None else other

    @cached_property
    def _at_equal_rates(self) -> Point:
        return self._highest(0.0)

    @cached_property
    def at_equal_rates(self) -> float:
        """L(0), the statistic at a rate ratio of 1."""
        return self._lost(self._at_equal_rates)

    def limit_of_ratio(self, side: int, cutoff: float) -> float | None:
        """`limit`, on the side of 0 on which L(0) says that it lies, also where they differ.

        A lopsided log's profile may have more than one hill, and a search that comes from the
        estimate may find another than one at 0: limits and p must not contradict each other.
        """
        found = self.limit(side, cutoff)
        estimate = float(self.anchor.b[self.held])
        beyond = found is None or side * found > 0.0
        touches = found is not None and abs(found) < TOUCHES
        if side * estimate >= 0.0 or touches or beyond == (self.at_equal_rates < cutoff):
            return found
        if beyond:
            again = self._search(self.anchor, 0.5 * estimate, estimate, side, cutoff, 0.0)
        else:
            again = self._search(self._at_equal_rates, side * 0.1 * self._unit, 0.0, side, cutoff)
        return None if again is None else again[0]

    @property
    def _unit(self) -> float:
        """A step to begin with: the standard error, where the curvature gives one."""
        return self.spread if np.isfinite(self.spread) and self.spread > 0 else 1.0

    def limit(self, side: int, cutoff: float) -> float | None:
        """The value on one side (+1 or −1) where L first reaches the cutoff on every branch.

        None where the profile levels off below the cutoff: there is no limit on that side.
        """
        estimate = float(self.anchor.b[self.held])
        first = estimate + side * min(np.sqrt(cutoff) * self._unit, 0.5 * self.reach)
        found = self._search(self.anchor, first, estimate, side, cutoff)
        for _ in range(4):
            if found is None:
                return None
            theta, point = found
            other = _other_branches(
                self.data, point, self.held, self.known, self.maximum - 0.5 * cutoff
            )
            if other is None or self._lost(other) >= cutoff:
                return theta
            found = self._search(other, theta + side * 0.1 * self._unit, theta, side, cutoff)
        return None if found is None else found[0]

    def _search(
        self,
        point: Point,
        theta: float,
        inside: float,
        side: int,
        cutoff: float,
        outside: float | None = None,
    ) -> tuple[float, Point] | None:
        """Newton on sqrt(L) − sqrt(cutoff), kept between a value inside and one outside."""
        estimate, spread = float(self.anchor.b[self.held]), self._unit
        furthest = estimate + side * self.reach
        centre = Centre(np.zeros(len(self.data.weight)))
        target = np.sqrt(cutoff)
        close = _FIRST_LOOK
        for _ in range(_MOST_LOOKS):
            point = _step_to(self.data, point, self.held, theta, centre, close)
            close = _NEXT_LOOKS
            root = np.sqrt(self._lost(point))
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
            if side * (new - furthest) > 0.0:
                if theta == furthest:
                    return None
                new = furthest
            theta = new
        return None if outside is None else (outside, point)


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


def _highest_at(data: SessionData, bare: Fit, held: int, theta: float) -> Point:
    """The profile at theta: the best branch, each from its own maximum of the bare fit.

    Where a coefficient of the bare fit runs off, from the overall rate: it may not run off here.
    """
    # Columns that are nothing on its stints are no part of the bare fit.
    known = bool(bare.determined[bare.data.design.any(axis=0)].all())
    found = [
        climb(
            data,
            np.insert(point.b if known else poisson_start(bare.data), held, theta),
            _inside(point.s),
            _inside(point.t),
            point.branch,
            held=held,
            close=_NEXT_LOOKS,
        )
        for point in bare.branches
    ]
    return best_of(found)


def limit_without_fish(
    data: SessionData, bare: Fit, held: int, cutoff: float, reach: float = REACH
) -> WithoutFish:
    """The upper limit of a variant without fish, in log rate ratio.

    `data` holds the stints of the bare fit and those of the variant, whose indicator is column
    `held`; a limit further than `reach` from that of plain rates is none. The profile falls as
    theta grows; for small theta L is twice the variant's expected fish, so that log L is nearly
    straight in theta.
    """
    added = float(data.row_weight @ (data.hours * (data.design[:, held] > 0)))
    if not added:
        # Another coefficient empties its stints, whatever its own rate is.
        return WithoutFish(data, bare, held, None)
    # Where it would be if every stint had the overall rate.
    plain = float(np.log(0.5 * cutoff / added) - poisson_start(bare.data)[0])
    theta = float(np.log(0.5 * cutoff / added) - bare.best.b[0]) if bare.determined[0] else plain
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
        if abs(new - plain) > reach:
            return WithoutFish(data, bare, held, None)
        theta = new
        point = _step_to(data, point, held, theta, centre, _NEXT_LOOKS)
    return WithoutFish(data, bare, held, None)
