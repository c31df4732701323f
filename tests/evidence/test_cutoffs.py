"""Where the profile is cut, and the p-value as its inverse; by scipy and `brute_force`."""

from __future__ import annotations

import math

import pytest
from scipy import optimize, stats

import brute_force
from rodhours.evidence.cutoffs import Cutoff

COUNTS = [(0, 7), (7, 0), (1, 4), (4, 1), (3, 3), (12, 30), (400, 500)]


@pytest.mark.parametrize("alpha", [0.2, 0.05, 0.01, 0.05 / 6])
@pytest.mark.parametrize(("fish", "other"), COUNTS)
@pytest.mark.parametrize("df", [3, 10, 200])
def test_cutoff_is_the_larger_of_t_squared_and_the_guard(df, fish, other, alpha):
    """Section 1: c = max(t² of df, guard of the side); scipy's t and Poisson."""
    for side in (-1, 1):
        ours = Cutoff(df, fish, other).at(alpha, side)
        assert ours == pytest.approx(brute_force.cutoff(alpha, side, df, fish, other), rel=1e-6)


def test_cutoff_of_independent_fish_is_chi_square():
    """Section 3: the column as if every fish came by itself is cut at chi-square, both ways."""
    for alpha in (0.2, 0.05, 0.001):
        for side in (-1, 1):
            value = Cutoff(None).at(alpha, side)
            assert value == pytest.approx(stats.chi2.ppf(1 - alpha, 1), rel=1e-10)
            assert Cutoff(None).p_value(value, side) == pytest.approx(alpha, rel=1e-10)


@pytest.mark.parametrize("df", [3, 200])
@pytest.mark.parametrize(("fish", "other"), COUNTS[::2])
def test_p_is_the_alpha_whose_cutoff_is_the_statistic(fish, other, df):
    """Section 1: p solves c_α = L(0) on the side of 1, by scipy's root finder; else it is 1."""
    for side in (-1, 1):
        for statistic in (0.3, 2.0, 5.0, 11.0):
            ours = Cutoff(df, fish, other).p_value(statistic, side)
            theirs = brute_force.p_value(statistic, side, df, fish, other)
            assert ours == pytest.approx(theirs, rel=1e-5)


def test_guard_matters_with_few_fish_and_fades():
    """Section 1: it matters below about 10 fish and fades out; many degrees of freedom."""
    t_squared = stats.t.ppf(0.975, 200) ** 2
    above = [Cutoff(200, fish, 10**4).at(0.05, 1) / t_squared for fish in (0, 2, 9, 300)]
    assert above[0] == pytest.approx(-2 * math.log(0.05) / t_squared)
    assert above[0] > 1.5
    assert above[1] > 1.01
    assert above[3] < 1.005


def test_a_p_of_one_where_nothing_was_lost():
    """L(0) = 0: the estimate is 1, p = 1 on either side."""
    for df, fish, other in [(5, 3, 3), (None, None, None), (50, 0, 3)]:
        for side in (-1, 1):
            assert Cutoff(df, fish, other).p_value(0.0, side) == 1.0


def test_cutoffs_fall_as_alpha_grows():
    """Less confidence, nearer limits: so the equation for p has one answer."""
    for fish, other in COUNTS:
        for side in (-1, 1):
            values = [Cutoff(8, fish, other).at(alpha / 100, side) for alpha in range(1, 100)]
            assert values == sorted(values, reverse=True)


def test_family_cutoff_against_dunnett():
    """Section 1: Bonferroni's cutoff is a little above Dunnett's two-sided point, by under 1 %.

    Dunnett's point for 2 comparisons with equal correlation 1/2 and many degrees of freedom:
    the value at which both of two correlated normals stay within it with 95 %; scipy's
    multivariate normal.
    """

    def inside(value):
        normal = stats.multivariate_normal(cov=[[1, 0.5], [0.5, 1]])
        return normal.cdf([value] * 2, lower_limit=[-value] * 2) - 0.95

    dunnett = optimize.brentq(inside, 2.0, 2.5)
    ours = Cutoff(10**6, 10**6, 10**6).at(0.025, 1) ** 0.5
    assert dunnett < ours < 1.02 * dunnett
