"""Planned seasons made up and judged: how often the project's own interval settles a ratio.

Scope: one season a call, its fish drawn from the session model, judged by the fit and the cutoff
that every comparison uses; then many seasons as pieces of work for several processes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.power.formulas import DESIGNS, TOGETHER, Assumptions
from rodhours.evidence.processes import spread
from rodhours.evidence.seasons import clumps
from rodhours.evidence.session_model.data import Floats
from rodhours.evidence.session_model.fit import poisson_start
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.stints import Stints
from rodhours.evidence.verdicts import AHEAD, BEHIND, FEWEST_FISH, verdict

_REFERENCE, _VARIANT = 0, 1
_ANY_MARGIN = 1.25
"""The margin tells level from unsettled, and neither is settled here."""
FIT_ROWS_A_PIECE = 4_000
"""About how many stints are fitted in one piece of work: short, so that Ctrl-C is heard soon."""


@dataclass(frozen=True)
class Condition:
    """One kind of season: a design, its trips, and the variant's true rate ratio."""

    design: str
    trips: int
    ratio: float


@dataclass(frozen=True)
class Piece:
    """Seasons `first` to `stop` (not included) of one condition."""

    condition: Condition
    first: int
    stop: int


class _Basis(Basis):
    """A basis that starts its fit at the overall rate.

    The Poisson rate model, where others start, is a column beside an answer that nobody reads
    here; the maximum is the same.
    """

    @cached_property
    def start(self) -> Floats:
        return poisson_start(self.data)


@dataclass(frozen=True)
class Judge:
    """What all seasons have in common; can be sent to another process.

    `alpha` is that of one comparison, already divided by the size of the family.
    """

    given: Assumptions
    alpha: float
    seed: int

    def settled_in(self, piece: Piece) -> int:
        """How many seasons of a piece settled the ratio on its true side of 1."""
        return sum(self.is_settled(piece.condition, one) for one in range(piece.first, piece.stop))

    def is_settled(self, condition: Condition, number: int) -> bool:
        """Whether season `number` puts the variant on its true side of 1."""
        stints = planned_season(condition, self.given, self.seed, number)
        basis = _Basis.of(stints, _REFERENCE, same_trips=condition.design == TOGETHER)
        fish, reference_fish = int(basis.fish[_VARIANT]), int(basis.fish[_REFERENCE])
        if fish + reference_fish < FEWEST_FISH:
            return False
        true_side = AHEAD if condition.ratio > 1.0 else BEHIND
        if fish == 0 or reference_fish == 0:
            answer = basis.answer(_VARIANT, self.alpha, self.alpha)
            limits = answer.conf_low, answer.conf_high
            return verdict(*limits, fish, reference_fish, _ANY_MARGIN) == true_side
        if not basis.fitted.converged or basis.df < FEWEST_DF:
            return False
        column = basis.column_of(_VARIANT)
        if (basis.fitted.best.b[column] > 0.0) != (condition.ratio > 1.0):
            return False
        # A limit lies beyond 1 where the profile at 1 has fallen below the cutoff of its side:
        # the same as looking for the limit, in a fraction of the time.
        cutoff = Cutoff(basis.df, fish, reference_fish)
        limit_below = -1 if condition.ratio > 1.0 else 1
        reached = Profile.of(basis.fitted, column).statistic(0.0)
        return reached >= cutoff.at(self.alpha, limit_below)


def planned_season(condition: Condition, given: Assumptions, seed: int, number: int) -> Stints:
    """The stints of one season, fish drawn from the session model.

    Variant 0 is the reference, variant 1 catches `ratio` times as fast, all others as the
    reference. On the same trips each variant has an equal part of the trip's rod-hours; one a
    trip, they take turns and a trip is one stint. A season depends on the seed, its design, its
    trips and its number alone: seasons of two ratios are the same trips.
    """
    where = (DESIGNS.index(condition.design), condition.trips, number)
    streams = [
        np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(*where, one)))
        for one in range(3)
    ]
    trips, variants, s = condition.trips, given.variants, given.session_sd
    if condition.design == TOGETHER:
        session = np.repeat(np.arange(trips), variants)
        variant = np.tile(np.arange(variants), trips)
        hours = np.full(len(session), given.rod_hours / variants)
    else:
        session = np.arange(trips)
        variant = session % variants
        hours = np.full(trips, given.rod_hours)
    effect = np.exp(s * streams[0].standard_normal(trips) - 0.5 * s * s)
    mean = given.rate * hours * effect[session]
    mean = mean * clumps(np.arange(len(session)), given.clumping, streams[1])
    mean = np.where(variant == _VARIANT, condition.ratio, 1.0) * mean
    return Stints(
        session=session.astype(np.int64),
        variant=variant.astype(np.int64),
        rod=np.full(len(session), -1, dtype=np.int64),
        hours=hours,
        fish=streams[2].poisson(mean).astype(np.float64),
        covariates=np.empty((len(session), 0)),
        covariate_of=(),
        variants=tuple(str(one) for one in range(variants)),
        adjusted_for=(),
        left_out=(),
        rod_names=(),
        first_row=np.unique(session, return_index=True)[1],
    )


def count_settled(
    judge: Judge,
    conditions: Sequence[Condition],
    seasons: int,
    jobs: int,
    after: Callable[[int], None],
) -> dict[Condition, int]:
    """How many of so many seasons of each condition settle it.

    `after` is told the seasons of each piece done. KeyboardInterrupt where Ctrl-C ended the work.
    """
    pieces = [
        Piece(condition, first, min(first + size, seasons))
        for condition in conditions
        for size in [_seasons_a_piece(condition, judge.given)]
        for first in range(0, seasons, size)
    ]
    found = spread(
        partial(Judge.settled_in, judge), pieces, jobs, lambda one: after(one.stop - one.first)
    )
    counts = dict.fromkeys(conditions, 0)
    for piece, settled in zip(pieces, found, strict=True):
        if settled is None:
            raise KeyboardInterrupt
        counts[piece.condition] += settled
    return counts


def _seasons_a_piece(condition: Condition, given: Assumptions) -> int:
    rows = condition.trips * (given.variants if condition.design == TOGETHER else 1)
    return max(1, min(25, math.ceil(FIT_ROWS_A_PIECE / rows)))
