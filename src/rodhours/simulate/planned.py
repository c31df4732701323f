"""A season that is planned: its design, and whether the interval would settle the ratio in it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import gcd

import numpy as np

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.session_model.data import Floats
from rodhours.evidence.session_model.fit import poisson_start
from rodhours.evidence.session_model.profile import Profile
from rodhours.evidence.stints import Stints
from rodhours.evidence.verdicts import AHEAD, BEHIND, FEWEST_FISH, verdict
from rodhours.simulate.formulas import DESIGNS, TOGETHER, Assumptions
from rodhours.simulate.season import Schedule, Truth, season

_REFERENCE, _VARIANT = 0, 1
FIT_ROWS_A_PIECE = 4_000
"""About how many stints are fitted in one piece of work: short, so that Ctrl-C is heard soon."""


@dataclass(frozen=True)
class Condition:
    """One kind of season: a design, its trips, and the variant's true rate ratio."""

    design: str
    trips: int
    ratio: float


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
            return verdict(*limits, fish, reference_fish) == true_side
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
        return bool(reached >= cutoff.at(self.alpha, limit_below))

    def seasons_a_piece(self, condition: Condition) -> int:
        """How many seasons are one piece of work."""
        rows = condition.trips * (self.given.on_a_trip if condition.design == TOGETHER else 1)
        return max(1, min(25, math.ceil(FIT_ROWS_A_PIECE / rows)))


def planned_season(condition: Condition, given: Assumptions, seed: int, number: int) -> Stints:
    """The stints of one season, fish drawn from the session model.

    Variant 0 is the reference, variant 1 catches `ratio` times as fast, all others as the
    reference. A season depends on the seed, its design, its trips and its number alone: seasons
    of two ratios are the same trips.
    """
    schedule = planned_schedule(condition, given)
    ratios = np.ones(given.variants)
    ratios[_VARIANT] = condition.ratio
    truth = Truth(_REFERENCE, given.rate, ratios, given.session_sd, given.clumping)
    key = (DESIGNS.index(condition.design), condition.trips, number)
    rows = len(schedule.session)
    return Stints(
        session=schedule.session,
        variant=schedule.variant,
        rod=np.full(rows, -1, dtype=np.int64),
        hours=schedule.hours,
        fish=season(schedule, truth, seed, key).fish.astype(np.float64),
        covariates=np.empty((rows, 0)),
        covariate_of=(),
        variants=tuple(str(code) for code in range(given.variants)),
        adjusted_for=(),
        left_out=(),
        rod_names=(),
        first_row=np.unique(schedule.session, return_index=True)[1],
    )


def planned_schedule(condition: Condition, given: Assumptions) -> Schedule:
    """On the same trips each variant has an equal part of the trip's rod-hours, the others than
    the reference by turns where there are too many; one a trip, they take turns and a trip is one
    stint."""
    together, trips = condition.design == TOGETHER, condition.trips
    on_a_trip = given.on_a_trip if together else 1
    session = np.repeat(np.arange(trips), on_a_trip)
    rows = np.arange(len(session))
    variant = rows % given.variants
    if together and on_a_trip < given.variants:
        blocks = list(combinations(range(1, given.variants), on_a_trip - 1))
        # Blocks that follow one another have little in common, so that any number is about even.
        step = next(
            one for one in range(round(0.62 * len(blocks)), 0, -1) if gcd(one, len(blocks)) == 1
        )
        turns = [blocks[trip * step % len(blocks)] for trip in range(trips)]
        variant = np.array([(_REFERENCE, *block) for block in turns]).ravel()
    return Schedule(
        session=session,
        stint=rows,
        variant=variant,
        hours=np.full(len(session), given.rod_hours / on_a_trip),
        variants=given.variants,
        cells_are_stints=not together,
    )
