"""Profile likelihood of one coefficient: its limits at a cutoff, and the statistic at a value.

Limits are found by Newton on the signed root of L = 2 (maximum − profile), each step warm-started
along the path of the other parameters (Venzon & Moolgavkar 1988, Applied Statistics 37:87-94).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.fit import (
    CLOSE_ENOUGH,
    START,
    Fit,
    Point,
    best_of,
    climb,
    with_path,
)
from rodhours.evidence.session_model.quadrature import Centre

REACH = 12.0
"""A limit further than this from the estimate, in log rate ratio (e^12), is none."""

_HIGHER = 1e-6
_CLOSE = 1e-5
_MOST_LOOKS = 40
_MOST_HILLS = 5
_CLOSE_STEP = 1e-4
_NEXT_TO_ZERO = 0.05
_FEW_FISH = 15
"""Up to so many fish a branch may have two hills, at spreads on both sides of `_BETWEEN_HILLS`;
the far one is found from so far that the coefficients move freely."""
_BETWEEN_HILLS, _FAR = 1.1, 3.0


def _across(spread: float, far: float) -> float:
    """A start on the other side of the valley between two hills of s or t."""
    return START if spread > _BETWEEN_HILLS else far


def _inside(spread: float) -> float:
    """A start for s or t that is not stuck on the flat spot at 0."""
    return spread if spread > _NEXT_TO_ZERO else START


@dataclass(frozen=True)
class Profile:
    """The profile of one coefficient of a fit, or of one that runs off.

    `maximum` is the log-likelihood that the statistic is measured from, `anchor` a point to
    start from and `known` the maxima of the branches looked at, which bound what each can reach.
    No limit is looked for further than `reach` from the estimate, or where the coefficient
    `runs_off` (to the other side of the limit) from a first guess at it.
    """

    data: SessionData
    held: int
    maximum: float
    anchor: Point
    known: tuple[Point, ...]
    spread: float = 1.0
    reach: float = REACH
    runs_off: bool = False

    @classmethod
    def of(cls, fit: Fit, held: int, reach: float = REACH) -> Profile:
        """The profile of coefficient `held` of a converged fit."""
        spread = float(np.sqrt(fit.covariance()[held, held]))
        anchor = with_path(fit, held)
        return cls(fit.data, held, fit.best.value, anchor, fit.branches, spread, reach)

    @classmethod
    def of_one_that_runs_off(
        cls, data: SessionData, held: int, limiting: Fit, b: Floats, reach: float = REACH
    ) -> Profile:
        """The profile of a coefficient whose maximum is at infinity.

        `limiting` is the fit there, without the stints that expect nothing; `data` has them.
        `b` are coefficients of `data` to start from, the held one where L is about 1.
        """
        best = limiting.best
        anchor = replace(best, b=b, path=None)
        of = (data, held, best.value, anchor, limiting.branches)
        return cls(*of, reach=reach, runs_off=True)

    @property
    def estimate(self) -> float:
        """The coefficient at the anchor."""
        return float(self.anchor.b[self.held])

    def statistic(self, theta: float) -> float:
        """L(theta) = 2 (maximum − profile at theta), over all branches; >= 0."""
        point = self._step_to(self.anchor, theta, CLOSE_ENOUGH)
        return self._lost(self._higher(point, point.value) or point)

    @cached_property
    def at_equal_rates(self) -> float:
        """L(0), the statistic at a rate ratio of 1."""
        return self.statistic(0.0)

    def limit(self, side: int, cutoff: float) -> float | None:
        """The value on one side (+1 or −1) where L first reaches the cutoff on every branch.

        None where the profile levels off below the cutoff: there is no limit on that side.
        It lies on the side of 0 on which L(0) says that it does, for a profile may have several
        hills, and limits and p must not contradict each other.
        """
        unit = self.spread if np.isfinite(self.spread) and self.spread > 0 else 1.0
        ahead = np.log(cutoff) if self.runs_off else np.sqrt(cutoff) * unit
        theta = self.estimate + side * min(float(ahead), 0.5 * self.reach)
        inside, outside = self.estimate, side * np.inf
        furthest = inside + side * self.reach
        if self.runs_off:
            inside, furthest = theta - side * self.reach, theta + side * self.reach
        if side * inside < 0.0 < side * furthest:
            inside, outside = (0.0, outside) if self.at_equal_rates < cutoff else (inside, 0.0)
        point = self.anchor
        for _ in range(_MOST_HILLS):
            found = self._search(point, theta, (inside, outside, furthest), unit, cutoff)
            if found is None:
                return None
            theta, point = found
            other = self._higher(point, self.maximum - 0.5 * cutoff)
            if other is None or self._lost(other) >= cutoff:
                break
            inside, point, theta = theta, other, theta + side * 0.1 * unit
        return theta

    def _lost(self, point: Point) -> float:
        return max(0.0, 2.0 * (self.maximum - point.value))

    def _step_to(
        self, point: Point, theta: float, close: float, centre: Centre | None = None
    ) -> Point:
        """The profile at theta on the branch of a neighbouring point."""
        b, s, t = point.b.copy(), point.s, point.t
        if point.path is not None:
            moved = point.path * (theta - b[self.held])
            # A path is a straight line; far ahead it is only a direction.
            moved /= max(1.0, float(np.abs(np.delete(moved, self.held)).max(initial=0.0)))
            b += moved[:-2]
            s, t = max(s + moved[-2], 0.2 * s), max(t + moved[-1], 0.2 * t)
        b[self.held] = theta
        of = (self.data, b, s, t, point.branch)
        return climb(*of, held=self.held, centre=centre, close=close)

    def _higher(self, at: Point, threshold: float) -> Point | None:
        """The highest point at the same value of the coefficient, if higher: of another branch, or
        of its own, which may be stuck on the flat spot at s or t of 0, or where fish are few have
        a second hill; branches that do not reach the threshold anywhere are passed over."""
        stuck = any(
            free and one <= _NEXT_TO_ZERO for free, one in zip(at.branch, (at.s, at.t), strict=True)
        )
        s, t = _inside(at.s), _inside(at.t)
        starts = [(s, t, one.branch) for one in self.known if stuck or one.branch != at.branch]
        if self.data.total_fish <= _FEW_FISH:
            starts += [(_across(at.s, _FAR), t, one.branch) for one in self.known if one.branch[0]]
            starts += [
                (s, _across(at.t, 2 * _FAR), one.branch) for one in self.known if one.branch[1]
            ]
        reach, enough = {one.branch: one.value for one in self.known}, at.value + _HIGHER
        found = [
            climb(self.data, at.b, s, t, branch, held=self.held, close=_CLOSE, worth=enough)
            for s, t, branch in starts
            if reach[branch] >= threshold
        ]
        higher = [one for one in found if one.converged and one.value > enough]
        return best_of(higher) if higher else None

    def _search(
        self,
        point: Point,
        theta: float,
        between: tuple[float, float, float],
        unit: float,
        cutoff: float,
    ) -> tuple[float, Point] | None:
        """Newton on sqrt(L) − sqrt(cutoff), kept between a value inside and one outside; None
        where the furthest value is inside."""
        inside, outside, furthest = between
        side = np.sign(outside - inside)
        centre = Centre(np.zeros(len(self.data.weight)))
        target = np.sqrt(cutoff)

        def kept(theta: float) -> float:
            if side * inside < side * theta < side * outside:
                return theta
            return 0.5 * (inside + outside) if np.isfinite(outside) else inside + side * unit

        theta = kept(theta)
        for _ in range(_MOST_LOOKS):
            point = self._step_to(point, theta, _CLOSE, centre)
            root = np.sqrt(self._lost(point))
            if root < target:
                inside = theta
                if theta == furthest:
                    return None
            else:
                outside = theta
            # d sqrt(L) / d theta = −slope / sqrt(L), outwards positive.
            steep = -side * point.slope / root if root > 1e-6 else 0.0
            gap = target - root
            widest = max(2.0 * unit, abs(theta - self.estimate))
            step = gap / steep if steep > 1e-9 else np.copysign(widest, gap)
            new = theta + side * float(np.clip(step, -widest, widest))
            close = point.converged and abs(new - theta) < _CLOSE_STEP * unit
            if close or abs(outside - inside) < 1e-7:
                lowest, highest = sorted((inside, outside))
                return min(max(new, lowest), highest), point
            new = kept(new)
            theta = furthest if side * (new - furthest) > 0.0 else new
        return (outside, point) if np.isfinite(outside) else None
