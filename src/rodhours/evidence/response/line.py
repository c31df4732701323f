"""A line through an ingredient: the session model with a number of the recipe as its column.

The log of the catch rate is straight (or bent) in the ingredient; on the same-trip basis the
session's mean of the ingredient by rod-hours takes up all that a session has in common, so that
the slope is a comparison within sessions. Limits, p and few-fish guard are those of a comparison.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.poisson import poisson_rates
from rodhours.evidence.response.result import DIP, PEAK, Bend
from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.evidence.session_model.fit import Fit, poisson_start
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.stints import Stints

SLOPE, SQUARE = 1, 2
"""Design columns of the ingredient and of its square."""
BEND_P = 0.05
"""A bend is shown where its p is below this."""

_STEEP = 4.0
_LEVELLED_OFF = 0.01


@dataclass(frozen=True)
class Slope:
    """The log rate ratio from one end of the range to the other; None where there is none.

    `runs_off` is -1 or 1 where the likelihood still rises however steep the line gets: there is
    no estimate then, and a limit on the other side alone.
    """

    log_ratio: float | None = None
    low: float | None = None
    high: float | None = None
    p_value: float | None = None
    spread: float | None = None
    runs_off: int = 0


@dataclass(frozen=True)
class Numbers(Basis):
    """A basis with numbers of each stint, `own` (stints, k), in the place of its variants."""

    own: Floats = field(default_factory=lambda: np.empty((0, 0)))

    @classmethod
    def like(
        cls, basis: Basis, own: Floats, shares: Floats, rows: np.ndarray | None = None
    ) -> Numbers:
        """The rows of a basis, or some of them, with other columns; cells stay as they are."""
        chosen = np.ones(len(own), dtype=bool) if rows is None else rows
        return cls(
            basis.stints.take(chosen),
            basis.reference,
            basis.covariates[chosen],
            basis.covariate_of,
            shares[chosen],
            basis.one_cell_a_stint,
            own=own[chosen],
        )

    @cached_property
    def fitted_rows(self) -> np.ndarray:
        return np.ones(len(self.stints), dtype=bool)

    @cached_property
    def _compared(self) -> Integers:
        return np.empty(0, dtype=np.int64)

    def _indicators(self, rows: np.ndarray, variants: Integers) -> Floats:
        return np.column_stack((np.ones(int(rows.sum())), self.own[rows]))

    @cached_property
    def start(self) -> Floats:
        return poisson_rates(self.data)


@dataclass(frozen=True)
class Line:
    """The rows of one basis and the value of the ingredient on each of them.

    `variants` is the basis of the same rows with a rate of each variant's own; `value` (stints,)
    is in the unit of the recipe.
    """

    variants: Basis
    value: Floats
    same_trips: bool

    @property
    def stints(self) -> Stints:
        return self.variants.stints

    @cached_property
    def values(self) -> Floats:
        """The distinct values, ascending."""
        return np.unique(self.value)

    @property
    def span(self) -> float:
        """The observed range, in the unit of the recipe."""
        return float(self.values[-1] - self.values[0])

    def place(self, value: Floats) -> Floats:
        """Values as places in the range: 0 at the lowest, 1 at the highest."""
        return np.asarray((value - self.values[0]) / self.span)

    @property
    def fish(self) -> int:
        return int(self.stints.fish.sum())

    @property
    def sessions(self) -> int:
        return self.variants.sessions

    @cached_property
    def contrasting_sessions(self) -> int:
        """Sessions with at least two values of the ingredient."""
        pairs = np.unique(np.column_stack((self.stints.session, self.value)), axis=0)
        return int((np.unique(pairs[:, 0], return_counts=True)[1] >= 2).sum())

    @cached_property
    def fish_at(self) -> Floats:
        """Fish at each of `values`."""
        at = np.searchsorted(self.values, self.value)
        return np.asarray(np.bincount(at, self.stints.fish, len(self.values)))

    @cached_property
    def end_counts(self) -> tuple[int, int]:
        """Fish that the few-fish guard looks at: at the low and at the high end of the range.

        A fish in between counts with the square of its distance from the middle of the range, in
        half ranges: that is what it tells about the slope beside a fish at the end (Poisson
        information). Rounded down. With two values these are the fish of the two.
        """
        away = 2.0 * self.place(self.values) - 1.0
        worth = self.fish_at * away**2
        # The small allowance is for the rounding of a sum of whole fish.
        low, high = (int(worth[side].sum() + 1e-9) for side in (away < 0, away > 0))
        return low, high

    def _numbers(self, own: Floats) -> Numbers:
        """The session model's columns of a line, `own` (stints, k); on the same trips the
        session's mean of each by rod-hours stands beside them, centred."""
        means = np.empty((len(own), 0))
        if self.same_trips:
            session, hours = self.stints.session, self.stints.hours
            totals = [np.bincount(session, hours * column)[session] for column in own.T]
            means = np.column_stack(totals) / np.bincount(session, hours)[session, None]
            means = means - means.mean(axis=0)
        return Numbers.like(self.variants, own, means)

    @cached_property
    def straight(self) -> Numbers:
        return self._numbers(self.place(self.value)[:, None])

    @property
    def adjusted_columns(self) -> tuple[str, ...]:
        """The source column of each covariate in the design."""
        return self.straight.adjusted_columns

    @property
    def df(self) -> int:
        """G − 2 (level and slope) − (columns of adjust) + 2."""
        return self.sessions - len(self.adjusted_columns)

    @property
    def cutoff(self) -> Cutoff:
        """Where the slope's profile is cut."""
        low, high = self.end_counts
        return Cutoff(self.df, high, low)

    @property
    def fitted(self) -> Fit:
        """The session model with a straight line."""
        return self.straight.fitted

    @cached_property
    def _all_fish_at_one_end(self) -> int:
        """-1 where every fish came at the lowest value, 1 at the highest, else 0."""
        with_fish = np.flatnonzero(self.fish_at > 0)
        if len(with_fish) != 1:
            return 0
        return -1 if with_fish[0] == 0 else 1 if with_fish[0] == len(self.values) - 1 else 0

    @property
    def converged(self) -> bool:
        """Whether there is an answer at all; the fit of a line that runs off is its limit."""
        return self._limiting_fit.converged if self._all_fish_at_one_end else self.fitted.converged

    @cached_property
    def _limiting_fit(self) -> Fit:
        """What the fit comes to as the line gets steeper without end.

        The stints at all other values then carry no expected fish, so that they leave the
        likelihood; where only the sessions of one end have fish this is exact.
        """
        rows = self.value == self.values[0 if self._all_fish_at_one_end < 0 else -1]
        nothing = np.empty((len(rows), 0))
        return Numbers.like(self.variants, nothing, self.straight.shares, rows).fitted

    def slope(self, alpha: float) -> Slope:
        """The straight line's log rate ratio over the whole range, at confidence 1 − alpha."""
        if not self.fish or not self.converged:
            return Slope()
        side = self._all_fish_at_one_end
        if side:
            return self._run_off(side, alpha, self._limiting_fit)
        estimate = float(self.fitted.best.b[SLOPE])
        if abs(estimate) > _STEEP:
            profile = Profile.of(self.fitted, SLOPE)
            if profile.statistic(0.5 * estimate) < _LEVELLED_OFF:
                return self._run_off(1 if estimate > 0 else -1, alpha, self.fitted)
        if self.df < FEWEST_DF:
            return Slope(estimate)
        profile, cutoff = Profile.of(self.fitted, SLOPE), self.cutoff
        low, high = (profile.limit(side, cutoff.at(alpha, side)) for side in (-1, 1))
        # The side of 0 as seen from the estimate.
        p = cutoff.p_value(profile.statistic(0.0), 1 if estimate < 0 else -1)
        return Slope(estimate, low, high, p, profile.spread)

    def _run_off(self, side: int, alpha: float, limiting: Fit) -> Slope:
        """Only the limit that faces the run-off's other side, and p."""
        if self.df < FEWEST_DF:
            return Slope(runs_off=side)
        data = self.straight.data
        profile = Profile.of_one_that_runs_off(data, SLOPE, limiting, poisson_start(data))
        p = self.cutoff.p_value(profile.at_equal_rates, -side)
        limit = profile.limit(-side, self.cutoff.at(alpha, -side))
        if side > 0:
            return Slope(low=limit, p_value=p, runs_off=side)
        return Slope(high=limit, p_value=p, runs_off=side)

    @cached_property
    def bent(self) -> Numbers | None:
        """The columns of a bent line; None with fewer than four values, or without a fit.

        A bend needs fish at three values at least: else it runs off.
        """
        if len(self.values) < 4 or (self.fish_at > 0).sum() < 3 or self.df - 1 < FEWEST_DF:
            return None
        places = self.place(self.value)
        bent = self._numbers(np.column_stack((places, places**2)))
        return bent if bent.fitted.converged else None

    @property
    def _bent_cutoff(self) -> Cutoff:
        return replace(self.cutoff, df=self.df - 1)

    def bend(self) -> Bend | None:
        """The bend, where it is shown: p is that of the squared term's likelihood ratio, through
        the cutoff of a slope with K = 3."""
        if self.bent is None:
            return None
        statistic = Profile.of(self.bent.fitted, SQUARE).statistic(0.0)
        p = max(self._bent_cutoff.p_value(statistic, side) for side in (-1, 1))
        if p >= BEND_P:
            return None
        slope, square = (float(self.bent.fitted.best.b[column]) for column in (SLOPE, SQUARE))
        turns_at = -slope / (2 * square)
        if not 0 < turns_at < 1:
            return Bend(p, None, None)
        return Bend(p, PEAK if square < 0 else DIP, float(self.values[0] + turns_at * self.span))

    def bent_ratio(self, value: float, reference: float, alpha: float) -> Slope:
        """The bent line's log rate ratio between two values.

        The columns are turned so that this ratio is a coefficient of its own: with
        d = u − u₀ and e = u² − u₀², b₁ u + b₂ u² = (b₁ d + b₂ e) u / d + b₂ (u² − u e / d).
        """
        to, back = self.place(np.array([value, reference]))
        d, e = to - back, to**2 - back**2
        places = self.place(self.value)
        turned = self._numbers(np.column_stack((places / d, places**2 - places * e / d))).fitted
        profile, cutoff = Profile.of(turned, SLOPE), self._bent_cutoff
        low, high = (profile.limit(side, cutoff.at(alpha, side)) for side in (-1, 1))
        return Slope(float(turned.best.b[SLOPE]), low, high)

    def lack_of_fit(self, line: Numbers) -> tuple[float, int] | None:
        """Likelihood ratio of a line against the variants' own rates, and its df.

        Both fits hold the same columns beside: those of adjust, and on the same-trip basis the
        variants' shares of each session, so that only what differs within sessions is tested.
        A variant without fish has its likelihood at a rate of 0. None where nothing is left to
        test, or where a fit fails.
        """
        basis = self.variants
        if self.same_trips:
            line = Numbers.like(basis, line.own, basis.shares)
        present = np.unique(self.stints.variant)
        indicators = (self.stints.variant[:, None] == present[1:]).astype(float)
        df = Numbers.like(basis, indicators, basis.shares).data.columns - line.data.columns
        if df < 1 or not self.fish or not (basis.fitted.converged and line.fitted.converged):
            return None
        return max(0.0, 2.0 * (basis.fitted.best.value - line.fitted.best.value)), df
