"""Invented seasons follow the laws they are said to follow.

The moments are textbook ones, written from memory: Poisson mixed by a normal effect on the log
scale (Aitchison & Ho 1989, Biometrika 76:643-653) and by a gamma factor (negative binomial); the
mean of a normal variable where another one, correlated with it, is large (selection on a normal).
With m hours x rate x ratio, s and a: mean m, variance m + m² ((1 + a) exp(s²) - 1), covariance of
two rows of a session m m' (exp(s²) - 1), and with (1 + a) as above where they share a cell.
"Within error" is four standard errors, worked out from the drawn values themselves.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from rodhours.simulate.season import (
    ARMS,
    MOOD,
    MOOD_SLOPE,
    OWN,
    RODS,
    TAIL,
    TAKE_SD,
    TAKES,
    Schedule,
    Truth,
    heavy_tailed_effects,
    season,
)

SESSIONS = 40_000
RATE, S, A, RATIO = 0.05, 0.6, 0.4, 1.5
HOURS = np.array([20.0, 30.0, 24.0])
VARIANT = np.array([0, 0, 1])
TRUTH = Truth(0, RATE, np.array([1.0, RATIO]), S, A)
MEANS = HOURS * RATE * np.array([1.0, 1.0, RATIO])


def a_schedule(sessions: int = SESSIONS, variant=VARIANT, cells_are_stints: bool = False):
    """So many sessions of three rods: the reference on two of them, unless said otherwise."""
    return Schedule(
        session=np.repeat(np.arange(sessions), 3),
        stint=np.arange(3 * sessions),
        variant=np.tile(variant, sessions),
        hours=np.tile(HOURS, sessions),
        variants=2,
        cells_are_stints=cells_are_stints,
    )


def drawn(arm: str, truth: Truth = TRUTH, schedule: Schedule | None = None) -> np.ndarray:
    """Fish, (sessions, rods)."""
    made = season(schedule or a_schedule(), truth, 11, (0,), arm, 1)
    return made.fish.reshape(-1, 3).astype(float)


def within_error(values: np.ndarray, expected: float) -> None:
    error = values.std(ddof=1) / np.sqrt(len(values))
    assert abs(values.mean() - expected) < 4 * error, (values.mean(), expected, error)


def products(fish: np.ndarray, i: int, j: int, means: np.ndarray = MEANS) -> np.ndarray:
    return (fish[:, i] - means[i]) * (fish[:, j] - means[j])


def test_the_models_own_seasons():
    """Mean, variance and covariances of the session model, within a cell and between cells."""
    fish = drawn(OWN)
    cell, session = (1 + A) * np.exp(S**2) - 1, np.exp(S**2) - 1
    for i in range(3):
        within_error(fish[:, i], MEANS[i])
        within_error(products(fish, i, i), MEANS[i] + MEANS[i] ** 2 * cell)
    within_error(products(fish, 0, 1), MEANS[0] * MEANS[1] * cell)
    within_error(products(fish, 0, 2), MEANS[0] * MEANS[2] * session)
    across = (fish[1:, 0] - MEANS[0]) * (fish[:-1, 0] - MEANS[0])
    within_error(across, 0.0)


def test_without_session_effect_counts_are_negative_binomial():
    """With s = 0 the counts of one row have scipy's negative binomial frequencies."""
    fish = drawn(OWN, Truth(0, RATE, np.array([1.0, RATIO]), 0.0, A))[:, 2]
    law = stats.nbinom(1 / A, 1 / (1 + A * MEANS[2]))
    top = 8
    found = np.bincount(np.minimum(fish, top).astype(int), minlength=top + 1)
    expected = np.append(law.pmf(np.arange(top)), law.sf(top - 1)) * len(fish)
    assert stats.chisquare(found, expected).pvalue > 0.001


def test_without_any_clumping_counts_are_poisson():
    """With s = a = 0 variance and mean are equal and rods know nothing of each other."""
    fish = drawn(OWN, Truth(0, RATE, np.array([1.0, RATIO]), 0.0, 0.0))
    for i in range(3):
        within_error(products(fish, i, i), MEANS[i])
    within_error(products(fish, 0, 1), 0.0)


def test_clumps_are_a_stints_where_no_session_has_two_variants():
    """The model's rule for its cells: then two rods of one session share no clump."""
    variant = np.zeros(3, dtype=int)
    means = HOURS * RATE
    fish = drawn(OWN, schedule=a_schedule(variant=variant, cells_are_stints=True))
    within_error(products(fish, 0, 1, means), means[0] * means[1] * (np.exp(S**2) - 1))
    within_error(
        products(fish, 0, 0, means), means[0] + means[0] ** 2 * ((1 + A) * np.exp(S**2) - 1)
    )


def test_clumps_by_rod():
    """A factor of variance 1 on each stint, in place of the cells' own."""
    fish = drawn(RODS)
    for i in range(3):
        within_error(fish[:, i], MEANS[i])
        within_error(products(fish, i, i), MEANS[i] + MEANS[i] ** 2 * (2 * np.exp(S**2) - 1))
    within_error(products(fish, 0, 1), MEANS[0] * MEANS[1] * (np.exp(S**2) - 1))


def test_rows_of_one_stint_share_its_clump():
    """A rod that was cast twice with one bait is one stint in the arm of clumps by rod."""
    one = a_schedule()
    joined = Schedule(
        one.session, one.stint // 3 * 3 + (one.stint % 3 == 2), one.variant, one.hours, 2, False
    )
    fish = drawn(RODS, schedule=joined)
    within_error(products(fish, 0, 1), MEANS[0] * MEANS[1] * (2 * np.exp(S**2) - 1))


def test_takes_that_differ():
    """The ratio of a typical trip is the truth; its log has standard deviation 0.5."""
    fish = drawn(TAKES)
    assert TAKE_SD == 0.5
    within_error(fish[:, 0], MEANS[0])
    within_error(fish[:, 2], MEANS[2] * np.exp(TAKE_SD**2 / 2))
    # The second factorial moment of a mixed Poisson is the second moment of its mean.
    second = MEANS[2] ** 2 * (1 + A) * np.exp(S**2) * np.exp(2 * TAKE_SD**2)
    within_error(fish[:, 2] * (fish[:, 2] - 1), second)


@pytest.mark.parametrize("s", [0.3, 0.5, 1.0, 1.5, 2.5])
def test_a_heavier_tail(s):
    """The log is gamma with the standard deviation asked for, and the effect has mean 1.

    Great effects carry so much of the mean that a sample of it settles nothing: the mean is
    tested below the 99.9 % point of the gamma law, where tilting it by e^(cG) leaves another
    gamma law, of scale 1 / (1 - c).
    """
    effect = heavy_tailed_effects(s, 400_000, np.random.default_rng(5))
    log = np.log(effect)
    within_error((log - log.mean()) ** 2, s * s)
    # Skewness 1, and less from s = 1.2 on, where the scale c is held at 0.6: k = (s / c)².
    c = min(s / 2, 0.6)
    k = (s / c) ** 2
    assert stats.skew(log) == pytest.approx(2 / np.sqrt(k), abs=0.05)
    point = stats.gamma.ppf(0.999, k)
    below = effect * (effect <= np.quantile(effect, 0.999))
    within_error(below, stats.gamma.cdf(point * (1 - c), k))
    # More great trips than the bell curve of the same mean and spread gives, four s out.
    great = np.exp(4 * s - s * s / 2)
    assert (effect > great).mean() > (20 if s <= 1.2 else 1.5) * stats.norm.sf(4)


def test_the_tail_arm_uses_it():
    """Mean fish stay, trips above ten times their usual catch become far more frequent."""
    usual, heavy = drawn(OWN), drawn(TAIL)
    within_error(heavy[:, 0], MEANS[0])
    assert (heavy.sum(axis=1) > 30).sum() > 1.5 * (usual.sum(axis=1) > 30).sum()


def test_by_mood():
    """Each variant keeps its stints; the favourite's sessions are better by the known amount.

    A stint has the favourite where slope z + whim is above the point that leaves a share p
    above it: the mean z there is slope / sqrt(1 + slope²) times φ(q) / p, q the normal quantile
    of 1 - p.
    """
    schedule = a_schedule()
    made = season(schedule, TRUTH, 11, (0,), MOOD, 1)
    assert (np.bincount(made.variant) == np.bincount(schedule.variant)).all()
    z = np.random.default_rng(np.random.SeedSequence(11, spawn_key=(0, 0))).standard_normal(
        SESSIONS
    )
    share = 1 / 3
    q = stats.norm.isf(share)
    expected = MOOD_SLOPE / np.sqrt(1 + MOOD_SLOPE**2) * stats.norm.pdf(q) / share
    mean_z = z[schedule.session][made.variant == 1].mean()
    assert mean_z == pytest.approx(expected, abs=0.02)


@pytest.mark.parametrize("arm", [OWN, *ARMS])
def test_a_season_is_its_own(arm):
    """A season depends on seed and number alone; only the mood changes who gets what."""
    schedule = a_schedule(sessions=50)

    def made(seed, number):
        return season(schedule, TRUTH, seed, (number,), arm, 1)

    first = made(3, 8)
    made(3, 1)
    assert (made(3, 8).fish == first.fish).all()
    assert (made(3, 8).variant == first.variant).all()
    assert not (made(4, 8).fish == first.fish).all()
    assert not (made(3, 9).fish == first.fish).all()
    assert (arm == MOOD) == bool((first.variant != schedule.variant).any())
