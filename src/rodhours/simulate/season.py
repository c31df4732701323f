"""One invented season on a given schedule, with a known truth.

A season follows the session model (an effect of each session, clumps in each cell) or, in an arm,
breaks one of its assumptions. Each season draws from streams of its own, so that a season is the
same whichever was made before it, and all arms of one season share what they do not break.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rodhours.evidence.session_model.data import Floats, Integers

WIDEST_RATIO = 100.0
"""No true ratio is further from 1, either way."""
OWN, MOOD, TAKES, RODS, TAIL = "own", "mood", "takes_differ", "clumps_by_rod", "rare_great_trips"
ARMS = (MOOD, TAKES, RODS, TAIL)
"""The arms that break an assumption; `OWN` is the model's own season."""

MOOD_SLOPE = 1.1
"""A stint is chosen by this times the session's standard effect, plus a standard normal whim."""
TAKE_SD = 0.5
"""Standard deviation of the log ratio from session to session, in `TAKES`."""
ROD_CLUMPING = 1.0
"""Variance of a stint's own factor, in `RODS`."""
TAIL_SKEW = 1.0
HEAVIEST_TAIL = 0.6
"""The log effect of `TAIL` is a gamma variable of this skewness, its scale at most this: at a
scale of 1 the mean of the effect would no longer exist."""

_TRIPS, _CLUMPS, _FISH, _TAKES, _CHOICE = range(5)


@dataclass(frozen=True)
class Schedule:
    """What was fished, one entry a row of the log.

    `session`, `stint` and `variant` are codes from 0; `hours` > 0 in rod-hours. `cells_are_stints`
    is the model's rule for logs in which no session had two variants: a clump is then a stint's,
    else a session's with one variant.
    """

    session: Integers
    stint: Integers
    variant: Integers
    hours: Floats
    variants: int
    cells_are_stints: bool


@dataclass(frozen=True)
class Truth:
    """The law of the fish.

    `rate` of the `reference` (code) in fish per rod-hour, averaged over sessions; `ratios`
    (variants,) to it; `session_sd` s of the session effect; `clumping` a, the cells' variance.
    """

    reference: int
    rate: float
    ratios: Floats
    session_sd: float
    clumping: float

    def with_ratio(self, variant: int, ratio: float) -> Truth:
        """The same truth with another ratio of one variant."""
        ratios = self.ratios.copy()
        ratios[variant] = ratio
        return replace(self, ratios=ratios)


@dataclass(frozen=True)
class Season:
    """One season: the variant (codes) and the fish of each row of the schedule."""

    variant: Integers
    fish: Integers


def season(
    schedule: Schedule,
    truth: Truth,
    seed: int,
    key: tuple[int, ...],
    arm: str = OWN,
    favourite: int = 0,
) -> Season:
    """The season that a seed and a key (its number, and what else tells it from others) give.

    `favourite` is the code of the variant that `MOOD` hands out by the look of the trip. The
    variants are the schedule's own in every other arm. Fish of a row are Poisson with mean
    hours × rate × ratio × session effect × clump, both factors with mean 1.
    """

    def stream(of: int) -> np.random.Generator:
        return np.random.default_rng(np.random.SeedSequence(seed, spawn_key=(*key, of)))

    sessions = int(schedule.session.max()) + 1
    s = truth.session_sd
    trips = stream(_TRIPS)
    z = trips.standard_normal(sessions)
    effect = np.exp(s * z - s * s / 2.0)
    variant = schedule.variant
    if arm == MOOD:
        variant = by_mood(schedule, favourite, z, stream(_CHOICE))
    elif arm == TAIL:
        effect = heavy_tailed_effects(s, sessions, trips)
    mean = schedule.hours * truth.rate * truth.ratios[variant] * effect[schedule.session]
    if arm == RODS:
        mean = mean * clumps(schedule.stint, ROD_CLUMPING, stream(_CLUMPS))
    else:
        cell = schedule.stint
        if not schedule.cells_are_stints:
            cell = schedule.session * schedule.variants + variant
        mean = mean * clumps(cell, truth.clumping, stream(_CLUMPS))
    if arm == TAKES:
        takes = TAKE_SD * stream(_TAKES).standard_normal((sessions, schedule.variants))
        # What the reference does differently on a trip is part of the trip's own effect.
        takes[:, truth.reference] = 0.0
        mean = mean * np.exp(takes[schedule.session, variant])
    return Season(variant, stream(_FISH).poisson(mean))


def clumps(cell: Integers, variance: float, random: np.random.Generator) -> Floats:
    """The gamma factor, mean 1, of each row's cell (codes, the same for rows of one cell)."""
    if variance <= 0.0:
        return np.ones(len(cell))
    _, code = np.unique(cell, return_inverse=True)
    factor = random.gamma(1.0 / variance, variance, int(code.max()) + 1)
    return np.asarray(factor[code])


def heavy_tailed_effects(session_sd: float, count: int, random: np.random.Generator) -> Floats:
    """Effects with mean 1 whose log has the standard deviation given, and a heavy upper tail.

    The log is c·G − m, G gamma of shape k: variance k c², and mean of the effect
    e^(−m) (1 − c)^(−k), so that m = −k log(1 − c) (moment generating function of the gamma law).
    The effect's own tail falls off as a power, 1/c, where the normal law's falls faster than any.
    A Student-t log effect would not do: the mean of its effect does not exist.
    """
    if session_sd <= 0.0:
        return np.ones(count)
    c = min(TAIL_SKEW * session_sd / 2.0, HEAVIEST_TAIL)
    k = (session_sd / c) ** 2
    return np.asarray(np.exp(c * random.gamma(k, 1.0, count) + k * np.log1p(-c)))


def by_mood(schedule: Schedule, favourite: int, z: Floats, random: np.random.Generator) -> Integers:
    """The variant of each row when the favourite goes to the stints that look best.

    A stint looks as good as its session (`z`, hidden from the analysis) and a whim of the moment;
    the best-looking ones get the favourite, the others are dealt what else was fished. Every
    variant keeps its number of stints, sessions, rods and hours stay as they were.
    """
    stints, first, of_row = np.unique(schedule.stint, return_index=True, return_inverse=True)
    had = schedule.variant[first]
    looks = MOOD_SLOPE * z[schedule.session[first]] + random.standard_normal(len(stints))
    best_first = np.argsort(-looks, kind="stable")
    number = int((had == favourite).sum())
    dealt = np.empty_like(had)
    dealt[best_first[:number]] = favourite
    dealt[best_first[number:]] = random.permutation(had[had != favourite])
    return np.asarray(dealt[of_row])
