"""How well so many trips would tell a rate ratio: the formulas that a search starts from.

Scope: the variance of a log rate ratio in two designs of a season, near the Fisher information of
the session model, and the chance of settling a ratio. No data and no simulation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, stdtrit

from rodhours.evidence.session_model.data import Floats
from rodhours.evidence.session_model.quadrature import hermite
from rodhours.simulate.season import WIDEST_RATIO

TOGETHER, APART = "all variants on every trip", "one variant a trip"
DESIGNS = (TOGETHER, APART)
MOST_TRIPS = 20_000
"""More trips than this are none that anybody fishes."""

SoFar = tuple[float, int]
"""What the trips so far say of the log ratio: their information (1 over the square of its standard
error), and how many there are."""
NOTHING_YET: SoFar = (0.0, 0)

_NODES = 61


@dataclass(frozen=True)
class Assumptions:
    """What a season is supposed to be like.

    `rate` is the reference's, in fish per rod-hour averaged over trips; `session_sd` s and
    `clumping` a are those of the session model; `rod_hours` are those of one trip, shared equally
    by the `on_a_trip` of the `variants` (the reference among them) that are fished on it: all of
    them, or the reference and by turns as many others as there are rods for.
    """

    rate: float
    session_sd: float
    clumping: float
    rod_hours: float
    variants: int = 2
    most_on_a_trip: int | None = None
    """None for as many as there are."""

    @property
    def on_a_trip(self) -> int:
        """How many variants share a trip."""
        return min(self.variants, self.most_on_a_trip or self.variants)

    def called(self, design: str) -> str:
        """A design by its name here."""
        if design == APART or self.on_a_trip == self.variants:
            return design
        return f"{self.on_a_trip} of {self.variants} variants on every trip"

    @property
    def fewest_trips(self) -> int:
        """As many trips as the same-trip answer needs to exist."""
        return max(4, self.variants + 2)


def variance_of_one_trip(design: str, ratio: float, given: Assumptions) -> float:
    """n times the variance of the log rate ratio after n trips.

    On the same trips, the information of one is E[1 / (1/(m e) + 1/(R m e) + 2 a)], the mean over
    session effects e, with m the reference's expected fish; what the session has in common drops
    out. Where the others take turns, l0 trips have the reference and one of them, l1 two of them,
    and the variance is k (l0 + l1) / (2 l0 (l0 + p l1)) times that, p others and k on a trip
    (Bechhofer & Tamhane 1981, Technometrics 23:45-57, from memory). One variant a trip, each
    variant has one in `variants` of the trips, and each of those the information
    `count_information` of its own count.
    """
    mean = given.rate * given.rod_hours
    if design == APART:
        s, a = given.session_sd, given.clumping
        of_two = 1.0 / count_information(mean, s, a) + 1.0 / count_information(ratio * mean, s, a)
        return given.variants * of_two
    others, k = given.variants - 1, given.on_a_trip
    mean /= k
    effect, weight = _effects(given.session_sd)
    noise = (1.0 / mean + 1.0 / (ratio * mean)) / effect + 2.0 * given.clumping
    beside = (k - 1) / others
    together = beside * (k - 2) / (others - 1) if others > 1 else 0.0
    turns = k * (beside + together) / (2.0 * beside * (beside + others * together))
    return turns / float(weight @ (1.0 / noise))


def power_of_trips(
    design: str,
    trips: float,
    ratio: float,
    given: Assumptions,
    alpha: float = 0.05,
    so_far: SoFar = NOTHING_YET,
) -> float:
    """The chance, by formula, that the interval at confidence 1 − alpha lies beyond 1.

    Φ(|log R| sqrt(I) − t), I the information of these trips and of those `so_far`, which adds up,
    t the quantile 1 − alpha/2 with all trips − variants degrees of freedom; 0 where none is left.
    Against what the project's own interval reaches, with both on every trip of 5 to 20, it is 6 to
    16 points too hopeful at s of 1 or more and about right below; with one variant a trip 2 to 4
    too pessimistic.
    """
    known, before = so_far
    df = before + trips - given.variants
    if df <= 0:
        return 0.0
    information = known + trips / variance_of_one_trip(design, ratio, given)
    reached = abs(math.log(ratio)) * math.sqrt(information)
    return float(ndtr(reached - stdtrit(df, 1.0 - alpha / 2.0)))


def trips_by_formula(
    design: str,
    ratio: float,
    given: Assumptions,
    power: float = 0.8,
    alpha: float = 0.05,
    so_far: SoFar = NOTHING_YET,
) -> int | None:
    """The fewest trips, beside those `so_far`, that settle the ratio with that power, by formula.

    What is known already is not fished for again. None above 20,000.
    """

    def enough(trips: int) -> bool:
        return power_of_trips(design, trips, ratio, given, alpha, so_far) >= power

    few, many = max(given.fewest_trips - so_far[1], 0) - 1, MOST_TRIPS
    if not enough(many):
        return None
    while many - few > 1:
        middle = (few + many) // 2
        few, many = (few, middle) if enough(middle) else (middle, many)
    return many


def ratio_by_formula(
    design: str,
    trips: int,
    given: Assumptions,
    power: float = 0.8,
    alpha: float = 0.05,
    so_far: SoFar = NOTHING_YET,
    *,
    below: bool = False,
) -> float | None:
    """The ratio nearest to 1 that so many trips, with those `so_far`, would settle, by formula.

    Above 1, or below. None where no ratio from 1/100 to 100 would do: below 1 the variant has
    ever fewer fish to tell it by, so that the power need not reach what is asked for.
    """
    sign = -1.0 if below else 1.0

    def enough(log_ratio: float) -> bool:
        ratio = math.exp(sign * log_ratio)
        return power_of_trips(design, trips, ratio, given, alpha, so_far) >= power

    steps = np.linspace(0.0, math.log(WIDEST_RATIO), 60)[1:]
    outside = next((float(step) for step in steps if enough(step)), None)
    if outside is None:
        return None
    inside = outside - float(steps[0])
    while outside - inside > 1e-6:
        middle = 0.5 * (inside + outside)
        inside, outside = (inside, middle) if enough(middle) else (middle, outside)
    return math.exp(sign * outside)


def count_information(mean: float, session_sd: float, clumping: float) -> float:
    """The information about log m in one count with mean m > 0, a whole trip of one variant.

    E[1 / (1/(m e) + s² + a)], the mean over session effects e. Exact without session effect (the
    negative binomial law) and, without clumps, for many fish; else within 18 % of the Fisher
    information of the session model, for s up to 1.5 and a up to 1.
    """
    effect, weight = _effects(session_sd)
    noise = 1.0 / (mean * effect) + session_sd**2 + clumping
    return float(weight @ (1.0 / noise))


def _effects(session_sd: float) -> tuple[Floats, Floats]:
    """Session effects with mean 1, and weights for a mean over them."""
    z, log_weight = hermite(_NODES)
    effect = np.exp(session_sd * z - 0.5 * session_sd**2)
    return effect, np.exp(log_weight - 0.5 * z * z)
