"""The few-fish guard against sums of Poisson probabilities and published mid-P limits."""

from __future__ import annotations

import math

import pytest
from scipy import optimize, stats

from reference import published
from rodhours.evidence.cutoffs import (
    deviance_distance,
    guard,
    guard_p,
    guard_rate_lower,
    guard_rate_upper,
    mid_p_lower,
    mid_p_upper,
)

COUNTS = [1, 2, 3, 7, 15, 80, 1000, 10**6]
LEVELS = [1e-9, 1e-4, 0.05 / 6, 0.05, 0.32, 0.9]
PAIRS = [(0, 3), (3, 0), (1, 1), (2, 9), (9, 2), (40, 35), (1000, 1200)]


def test_mid_p_limit_of_the_published_example():
    """15 events: the mid-P upper limit of R's ratesci, quoted by statsmodels' tests.

    Its search stopped at a tolerance of about 1e-6 of the rate: agreement to 5 digits.
    """
    expected = published.ONE_RATE_15_IN_400["one_15_400_midp_hi"]
    assert mid_p_upper(15, 0.05) / 400 == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("alpha", LEVELS)
@pytest.mark.parametrize("y", COUNTS)
def test_mid_p_limits_put_half_of_alpha_in_each_tail(y, alpha):
    """P(Y < y) + P(Y = y) / 2 = alpha / 2 above, P(Y > y) + P(Y = y) / 2 = alpha / 2 below.

    The definition (statistics of the guard), by scipy's Poisson distribution.
    """
    above = stats.poisson(mid_p_upper(y, alpha))
    assert above.cdf(y - 1) + above.pmf(y) / 2 == pytest.approx(alpha / 2, rel=1e-8)
    below = stats.poisson(mid_p_lower(y, alpha))
    assert below.sf(y) + below.pmf(y) / 2 == pytest.approx(alpha / 2, rel=1e-8)


def test_mid_p_limits_without_fish():
    """No fish: exp(-mean) / 2 = alpha / 2 gives -log(alpha) above, and 0 below."""
    assert mid_p_upper(0, 0.05) == pytest.approx(-math.log(0.05), rel=1e-15)
    assert mid_p_lower(0, 0.05) == 0.0


def test_distance_is_twice_the_log_likelihood_lost():
    """Twice the difference of two Poisson log-likelihoods, by scipy."""
    for mu, y in [(3.2, 0), (3.2, 1), (0.4, 5), (10.0, 10), (7.5, 12), (1e-9, 2)]:
        lost = stats.poisson.logpmf(y, max(y, 1e-300)) - stats.poisson.logpmf(y, mu)
        assert deviance_distance(mu, y) == pytest.approx(2 * lost, rel=1e-9, abs=1e-12)
    assert deviance_distance(0.0, 0) == 0.0
    assert deviance_distance(0.0, 2) == math.inf


def test_distance_close_to_the_count_keeps_its_digits():
    """Near y the distance is (mu - y)^2 / y to leading order, also for a million fish."""
    assert deviance_distance(1e6 + 1, 10**6) == pytest.approx(1e-6 * (1 - 2e-6 / 3), rel=1e-9)


def test_guard_counts_a_limit_on_the_wrong_side_as_nothing():
    """At alpha = 1 both limits are where the tails are halves, above the count of one fish.

    A lower limit above the count is on the wrong side: 0, not the distance to it.
    """
    assert mid_p_lower(1, 1.0) > 1.0
    assert all(mid_p_upper(y, 1.0) > y for y in COUNTS)
    assert guard_rate_lower(1, 1.0) == 0.0


@pytest.mark.parametrize("alpha", LEVELS)
@pytest.mark.parametrize(("y", "reference_y"), PAIRS)
def test_p_is_the_level_at_which_the_guard_is_met(y, reference_y, alpha):
    """p and interval come from one function: the p of a cutoff is the alpha it was made for."""
    assert guard_p(guard(y, reference_y, alpha), y, reference_y) == pytest.approx(alpha, rel=1e-9)


@pytest.mark.parametrize("alpha", [0.001, 0.05, 0.2])
@pytest.mark.parametrize(("y", "reference_y"), PAIRS)
def test_guard_is_the_larger_of_two_distances(y, reference_y, alpha):
    """The definition, with limits searched by scipy on sums of Poisson probabilities."""

    def upper(count):
        if count == 0:
            return 2 * -math.log(alpha)
        tail = lambda mu: stats.poisson.cdf(count - 1, mu) + stats.poisson.pmf(count, mu) / 2  # noqa: E731
        root = optimize.brentq(lambda mu: tail(mu) - alpha / 2, count, 3 * count + 40, xtol=1e-12)
        return 2 * (root - count - count * math.log(root / count))

    def lower(count):
        if count == 0:
            return 0.0
        tail = lambda mu: stats.poisson.sf(count, mu) + stats.poisson.pmf(count, mu) / 2  # noqa: E731
        root = optimize.brentq(lambda mu: tail(mu) - alpha / 2, 1e-9, count, xtol=1e-14)
        return 2 * (root - count - count * math.log(root / count))

    assert guard(y, reference_y, alpha) == pytest.approx(
        max(upper(y), lower(reference_y)), rel=1e-7
    )
    assert guard_rate_upper(y, alpha) == pytest.approx(upper(y), rel=1e-7)
    assert guard_rate_lower(y, alpha) == pytest.approx(lower(y), rel=1e-7)
