"""One basis of a comparison: its rows, its fit of the session model, the answer for a variant.

The same basis serves all variants: one log, one fit, one answer. Variants without a fish are
left out of the fit and get their limit from the same profile with the coefficient running off.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

import numpy as np
from scipy.linalg import block_diag

from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.session_model.data import Floats, Integers, SessionData, lay_out
from rodhours.evidence.session_model.fit import (
    POISSON,
    Fit,
    Point,
    climb,
    fit,
    poisson_start,
)
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.session_model.runaway import determined, settled
from rodhours.evidence.stints import Stints
from rodhours.evidence.trips import independent_columns, share_columns

FEWEST_DF = 3
FURTHEST = float(np.log(1000.0))
"""A limit more than a thousand times away from the estimate, in log rate ratio, is none."""


@dataclass(frozen=True)
class Answer:
    """A rate ratio with two pairs of limits: for the family, and alone.

    None where a value does not exist: nothing does where the coefficient runs off or its profile
    levels off short of a limit. `p_value` is not yet multiplied by the family's size.
    """

    rate_ratio: float | None = None
    conf_low: float | None = None
    conf_high: float | None = None
    p_value: float | None = None
    alone_low: float | None = None
    alone_high: float | None = None


@dataclass(frozen=True)
class Basis:
    """The rows of one basis, ready to be fitted.

    `shares` (rows, k) are the same-trip columns, none on the all-trips basis; `reference` and
    the variants are codes of `stints.variants`. `near` is the fit of almost the same rows, where
    there is one: then the nearest maximum is taken, from there. The rows of an `earlier` season are
    fitted beside them, with rates, ratios and shares of their own: they share how uneven trips are.
    `is_poisson` holds both spreads at 0.
    """

    stints: Stints
    reference: int
    covariates: Floats
    covariate_of: tuple[str, ...]
    shares: Floats
    one_cell_a_stint: bool
    near: Point | None = None
    earlier: Basis | None = None
    is_poisson: bool = False

    @classmethod
    def of(cls, stints: Stints, reference: int, *, same_trips: bool) -> Basis:
        """The basis of these rows.

        With `same_trips`, covariates that are constant within every session are dropped, since
        the share columns already stand for all that a session has in common.
        """
        present = np.unique(stints.variant)
        pairs = np.unique(stints.session * len(stints.variants) + stints.variant)
        single = len(pairs) == len(np.unique(stints.session))
        covariates, covariate_of = stints.covariates, stints.covariate_of
        shares = np.empty((len(stints), 0))
        if same_trips:
            shares = share_columns(stints, present[present != reference])
            varies = _varies_within(stints.session, covariates)
            covariates = covariates[:, varies]
            covariate_of = tuple(
                name for name, kept in zip(covariate_of, varies, strict=True) if kept
            )
        return cls(stints, reference, covariates, covariate_of, shares, single)

    @property
    def same_trips(self) -> bool:
        """Whether this is the same-trip basis."""
        return bool(self.shares.shape[1])

    @cached_property
    def sessions(self) -> int:
        """How many sessions these rows have."""
        return len(np.unique(self.stints.session))

    @cached_property
    def fish(self) -> Floats:
        """Fish by variant code."""
        return _by_variant(self.stints, self.stints.fish)

    @cached_property
    def rod_hours(self) -> Floats:
        """Rod-hours by variant code."""
        return _by_variant(self.stints, self.stints.hours)

    @cached_property
    def _with_fish(self) -> Integers:
        return np.flatnonzero(self.fish > 0)

    @cached_property
    def base(self) -> int:
        """The variant the coefficients are against: the reference, or one that has fish."""
        with_fish = self._with_fish
        return self.reference if self.reference in with_fish else int(with_fish[0])

    @cached_property
    def _compared(self) -> Integers:
        with_fish = self._with_fish
        return np.asarray(with_fish[with_fish != self.base])

    @cached_property
    def fitted_rows(self) -> np.ndarray:
        """Rows of variants that caught something; a mask."""
        return self.fish[self.stints.variant] > 0

    @cached_property
    def _kept_columns(self) -> tuple[np.ndarray, np.ndarray]:
        """Which covariates and which shares are independent in the fitted rows; two masks."""
        rows = self.fitted_rows
        base = self._indicators(rows, self._compared)
        extra = np.column_stack((self.covariates[rows], self.shares[rows]))
        kept = independent_columns(base, extra)
        return kept[: self.covariates.shape[1]], kept[self.covariates.shape[1] :]

    @property
    def adjusted_columns(self) -> tuple[str, ...]:
        """The source column of each covariate in the design."""
        kept, _ = self._kept_columns
        return tuple(name for name, one in zip(self.covariate_of, kept, strict=True) if one)

    @cached_property
    def _told_apart(self) -> np.ndarray:
        """Which coefficients of `_compared`, after the overall rate, the columns used leave known.

        Of a month or water that goes along with a bait one column is dropped, and which one would
        decide the bait's ratio.
        """
        rows, used = self.fitted_rows, np.isin(self.covariate_of, self.adjusted_columns)
        indicators = self._indicators(rows, self._compared)
        return determined(np.column_stack((indicators, self.covariates[rows][:, used])))

    def _indicators(self, rows: np.ndarray, variants: Integers) -> Floats:
        codes = self.stints.variant[rows]
        return np.column_stack(
            (np.ones(len(codes)), *((codes == one).astype(float) for one in variants))
        )

    def _spared(self, rows: np.ndarray, kept: Floats) -> Floats:
        """Columns that the fitted rows can spare, where these rows cannot: 0 on the former.

        `kept` are those in use. Else it would hang on the order of columns, and so on the
        reference's name, which of several that go along is left out where a bait had no fish.
        """
        covariates, shares = self._kept_columns
        others = np.column_stack(
            (self.covariates[rows][:, ~covariates], self.shares[rows][:, ~shares])
        )
        fitted = self.fitted_rows[rows]
        size = np.abs(others).max(axis=0, initial=0.0)
        others = others - kept @ np.linalg.lstsq(kept[fitted], others[fitted])[0]
        others[fitted[:, None] | (np.abs(others) < 1e-9 * size)] = 0.0
        return np.asarray(others[:, independent_columns(kept, others)])

    def _rows(self, rows: np.ndarray, variants: Integers) -> tuple[np.ndarray, ...]:
        """Session, cell, hours, fish and design of rows, with an indicator for each variant."""
        covariates, shares = self._kept_columns
        design = np.column_stack(
            (
                self._indicators(rows, variants),
                self.covariates[rows][:, covariates],
                self.shares[rows][:, shares],
            )
        )
        stints = self.stints
        if self.one_cell_a_stint:
            # Rows of one rod are one stint whatever their covariates; without a rod each is one.
            alone = len(stints.rod_names) + np.arange(len(stints))
            cell = np.where(stints.rod >= 0, stints.rod, alone)
        else:
            cell = stints.variant
        return stints.session[rows], cell[rows], stints.hours[rows], stints.fish[rows], design

    def _data(
        self, rows: np.ndarray, variants: Integers, further: Floats | None = None
    ) -> SessionData:
        """Lay rows out with an indicator for each of the variants given, in that order."""
        session, cell, hours, fish, design = self._rows(rows, variants)
        if further is not None:
            design = np.column_stack((design, further))
        if self.earlier is not None:
            there = self.earlier._rows(self.earlier.fitted_rows, self.earlier._compared)
            session = np.append(session, there[0] + self.first_earlier)
            cell, hours, fish = map(np.append, (cell, hours, fish), there[1:4])
            design = block_diag(design, there[4])
        return lay_out(session, cell, hours, fish, design)

    @property
    def first_earlier(self) -> int:
        """Session codes of the fit from this one on are those of the earlier season."""
        return len(self.stints.first_row)

    def _df(self, rows: np.ndarray, variants: int) -> int:
        sessions = len(np.unique(self.stints.session[rows]))
        own = sessions - variants - len(self.adjusted_columns) + 2
        if self.earlier is None or own < FEWEST_DF:
            return own
        # Between this season's own and those of the two together: no two seasons are quite alike.
        return int(sqrt(own * (own + self.earlier.df - 2)))

    @cached_property
    def df(self) -> int:
        """G − K − (columns of adjust) + 2 of the fit; more with an earlier season beside it."""
        return self._df(self.fitted_rows, len(self._with_fish))

    @cached_property
    def data(self) -> SessionData:
        return self._data(self.fitted_rows, self._compared)

    @cached_property
    def start(self) -> Floats:
        """The Poisson rate model's coefficients, where the fit starts.

        That model is itself an answer on the all-trips basis alone; with the same-trip columns
        it is but a start, and the overall rate does as well.
        """
        if self.earlier is not None:
            return np.append(replace(self, earlier=None).start, self.earlier.start)
        if self.same_trips:
            return poisson_start(self.data)
        from rodhours.evidence.poisson import poisson_rates

        return poisson_rates(self.data)

    @cached_property
    def fitted(self) -> Fit:
        """The model's fit of these rows."""
        near = self.near
        if near is None or self.is_poisson or len(near.b) != self.data.columns:
            return self._fit(self.data, self.start)
        data = settled(self.data)
        return _single(climb(data, near.b, near.s, near.t, near.branch), data)

    def _fit(self, data: SessionData, start: Floats) -> Fit:
        if not self.is_poisson:
            return fit(data, start)
        data = settled(data)
        return _single(climb(data, start, 0.0, 0.0, POISSON), data)

    def without_session(self, session: int) -> Basis:
        """The same basis without one session, to be fitted from this one's fit."""
        rest = self.stints.take(self.stints.session != session)
        found = Basis.of(rest, self.reference, same_trips=self.same_trips)
        return replace(found, near=self.fitted.best, earlier=self.earlier)

    def column_of(self, variant: int) -> int:
        """The design column of a variant that has fish, as the reference has."""
        return 1 + int(np.flatnonzero(self._compared == variant)[0])

    def profile(self, variant: int) -> Profile:
        """The profile of the log ratio of a variant that has fish, as the reference has."""
        return Profile.of(self.fitted, self.column_of(variant), FURTHEST)

    def share_statistic(self, variant: int) -> float | None:
        """The likelihood ratio of a variant's same-trip column; None where it has none."""
        present = np.unique(self.stints.variant)
        place = int(np.flatnonzero(present[present != self.reference] == variant)[0])
        covariates, shares = self._kept_columns
        if not shares[place]:
            return None
        column = 1 + len(self._compared) + int(covariates.sum()) + int(shares[:place].sum())
        return Profile.of(self.fitted, column).statistic(0.0)

    def both_caught(self, variant: int) -> bool:
        """Whether a variant and the reference have fish."""
        return bool(self.fish[variant] > 0 and self.fish[self.reference] > 0)

    def goes_along(self, variant: int) -> bool:
        """Whether a variant that caught fish cannot be told from the columns of adjust."""
        return self.both_caught(variant) and not self._told_apart[self.column_of(variant)]

    def estimate(self, variant: int) -> tuple[float, float] | None:
        """The log ratio of a variant and its standard error; None where it has none, or a limit."""
        if not (self.both_caught(variant) and self.fitted.converged):
            return None
        column = self.column_of(variant)
        if not self.fitted.determined[column] or self.goes_along(variant):
            return None
        spread = float(np.sqrt(self.fitted.covariance()[column, column]))
        return float(self.fitted.best.b[column]), spread

    @cached_property
    def by_itself(self) -> Basis:
        """The same rows under the Poisson rate model, as if every fish came by itself."""
        return replace(self, is_poisson=True)

    def _cutoff(self, df: int, fish: int, reference_fish: int) -> Cutoff:
        return Cutoff(None) if self.is_poisson else Cutoff(df, fish, reference_fish)

    def answer(self, variant: int, alpha: float, family_alpha: float) -> Answer:
        """The model's answer for one variant against the reference."""
        fish, reference_fish = int(self.fish[variant]), int(self.fish[self.reference])
        if not (fish or reference_fish) or not self.fitted.converged:
            return Answer()
        if not (fish and reference_fish):
            return self._without_fish(variant, alpha, family_alpha)
        found = self.estimate(variant)
        if found is None or (self.df < FEWEST_DF and not self.is_poisson):
            return Answer()
        cutoff = self._cutoff(self.df, fish, reference_fish)
        profile = self.profile(variant)
        low, high = _limits(profile, cutoff, family_alpha)
        if low is None or high is None:
            # A profile that levels off has its estimate anywhere along it.
            return Answer()
        alone = (low, high) if alpha == family_alpha else _limits(profile, cutoff, alpha)
        estimate, _ = found
        # The side of 1 as seen from the estimate.
        p = cutoff.p_value(profile.at_equal_rates, 1 if estimate < 0 else -1)
        return Answer(_exp(estimate), low, high, p, *alone)

    def _without_fish(self, variant: int, alpha: float, family_alpha: float) -> Answer:
        """One of the two has no fish: an upper limit for that one against the other.

        The coefficient of the one without fish runs to minus infinity, where its stints carry
        nothing; the other one is the base.
        """
        empty = variant if self.fish[variant] == 0 else self.reference
        other = self.reference if empty == variant else variant
        rows = self.fitted_rows | (self.stints.variant == empty)
        with_fish = self._with_fish
        order = np.append(with_fish[with_fish != other], empty)
        column = len(order)
        further = self._spared(rows, self._rows(rows, order[:-1])[4])
        data = settled(self._data(rows, order, further), column)
        df = self._df(rows, len(with_fish) + 1)
        if df < FEWEST_DF and not self.is_poisson:
            return Answer()
        cutoff = self._cutoff(df, 0, int(self.fish[other]))
        bare = self.fitted
        if other != self.base:
            # The same fit, its coefficients against the other variant.
            rows_with_fish = self._data(self.fitted_rows, order[:-1])
            bare = self._fit(rows_with_fish, poisson_start(rows_with_fish))
            if not bare.converged:
                return Answer()
        if further.shape[1]:
            nothing = np.zeros((int(self.fitted_rows.sum()), further.shape[1]))
            bare = _with_nothing(bare, self._data(self.fitted_rows, order[:-1], nothing))
        profile = _profile_without_fish(data, bare, column)
        if profile is None:
            return Answer()
        levels = family_alpha, alpha
        high, alone = (profile.limit(1, cutoff.at(one, 1)) for one in levels)
        if high is None or alone is None:
            return Answer()
        p = cutoff.p_value(profile.at_equal_rates, 1)
        if empty == variant:
            return Answer(0.0, 0.0, _exp(high), p, 0.0, _exp(alone))
        return Answer(None, _exp(-high), None, p, _exp(-alone), None)


def _by_variant(stints: Stints, values: Floats) -> Floats:
    sums = np.bincount(stints.variant, values, len(stints.variants))
    return np.asarray(sums, dtype=np.float64)


def _single(point: Point, data: SessionData) -> Fit:
    return Fit(data, point, (point,))


def _with_nothing(fitted: Fit, data: SessionData) -> Fit:
    """A fit with further columns that are nothing on all its rows, their coefficients at 0."""
    more = np.zeros(data.columns - fitted.data.columns)
    best, *branches = (
        replace(point, b=np.append(point.b, more)) for point in (fitted.best, *fitted.branches)
    )
    return Fit(settled(data), best, tuple(branches))


def _profile_without_fish(data: SessionData, bare: Fit, column: int) -> Profile | None:
    """The profile of a variant without fish; None where another coefficient empties its stints.

    `bare` is the fit without its stints, `data` has them, with its indicator in that column.
    """
    added = float(data.row_weight @ (data.hours * (data.design[:, column] > 0)))
    if not added:
        return None
    # A coefficient that runs off in the bare fit may not run off here.
    known = bool(bare.determined[bare.data.design.any(axis=0)].all())
    b = bare.best.b if known else poisson_start(bare.data)
    # L is twice its expected fish, or less.
    b = np.insert(b, column, np.log(0.5 / added) - b[0])
    return Profile.of_one_that_runs_off(data, column, bare, b, FURTHEST)


def _limits(profile: Profile, cutoff: Cutoff, alpha: float) -> tuple[float | None, float | None]:
    """Lower and upper limit of the rate ratio at confidence 1 − alpha."""
    low, high = (profile.limit(side, cutoff.at(alpha, side)) for side in (-1, 1))
    return _exp(low), _exp(high)


def _exp(value: float | None) -> float | None:
    return None if value is None else float(np.exp(value))


def _varies_within(session: Integers, columns: Floats) -> np.ndarray:
    """Which columns vary within some session; a mask."""
    varies = np.zeros(columns.shape[1], dtype=bool)
    if not columns.shape[1]:
        return varies
    order = np.argsort(session, kind="stable")
    same = session[order][1:] == session[order][:-1]
    return np.asarray(((np.diff(columns[order], axis=0) != 0) & same[:, None]).any(axis=0))
