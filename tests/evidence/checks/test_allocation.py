"""Where the hours went: distances against matrix forms, chances against general software."""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest
from scipy import stats

from rodhours.evidence.checks.allocation import (
    chance_between,
    chance_of_slope,
    chance_of_time,
    chance_within,
    is_apart,
    standardised_difference,
    standardised_mean_difference,
)


@pytest.mark.parametrize("levels", [2, 3, 7])
def test_the_standardised_difference_is_the_mahalanobis_distance_of_the_shares(levels):
    """Yang & Dalton 2012: sqrt((T − C)' S^-1 (T − C)) without the first level, S the mean of the
    two multinomial covariances; worked here with the matrix itself."""
    rng = np.random.default_rng(levels)
    for _ in range(20):
        p, q = rng.dirichlet(np.ones(levels)), rng.dirichlet(np.ones(levels))
        matrix = sum(np.diag(one) - np.outer(one, one) for one in (p, q))[1:, 1:] / 2.0
        gap = (p - q)[1:]
        assert standardised_difference(p, q) == pytest.approx(
            float(np.sqrt(gap @ np.linalg.solve(matrix, gap))), rel=1e-8
        )


def test_two_levels_give_the_usual_difference_of_proportions():
    """(0.7 − 0.4) / sqrt((0.7·0.3 + 0.4·0.6) / 2) = 0.6325 (Austin 2009, worked by hand)."""
    found = standardised_difference(np.array([0.7, 0.3]), np.array([0.4, 0.6]))
    assert found == pytest.approx(0.3 / 0.225**0.5)


def test_nothing_in_common_has_no_distance():
    """Variants that share no level are infinitely far apart; equal ones not at all."""
    assert standardised_difference(np.array([1.0, 0.0]), np.array([0.0, 1.0])) is None
    assert standardised_difference(np.array([0.5, 0.5, 0]), np.array([0.5, 0.5, 0])) == 0


def test_a_difference_of_means_is_in_spreads():
    """Means 2 and 1, variances 1 and 3: 1 / sqrt(2), by hand."""
    values = np.array([1.0, 3.0, -2.0, 1.0, 4.0])
    one, other = np.array([1.0, 1, 0, 0, 0]), np.array([0.0, 0, 1, 1, 1])
    expected = (2.0 - 1.0) / np.sqrt((1.0 + 6.0) / 2.0)
    assert standardised_mean_difference(values, one, other) == pytest.approx(expected)
    flat = np.array([2.0, 2.0, 3.0])
    assert standardised_mean_difference(flat, np.array([1.0, 1, 0]), np.array([0.0, 0, 1])) is None
    assert standardised_mean_difference(flat, np.array([1.0, 0, 0]), np.array([0.0, 1, 0])) == 0


def test_mostly_in_one_level_is_apart_only_where_the_reference_is_not():
    """More than 80 % and at least 20 points more."""
    assert is_apart(0.4, 0.85, 0.6)
    assert not is_apart(0.4, 0.85, 0.7)
    assert not is_apart(0.4, 0.75, 0.1)
    assert is_apart(0.6, 0.5, 0.3)
    assert is_apart(None, 0.5, 0.0)


def test_the_chance_by_level_is_that_of_an_analysis_of_variance():
    """scipy's one-way F test on the sessions' contrasts."""
    rng = np.random.default_rng(1)
    for _ in range(10):
        level = np.repeat([0, 1, 2], [5, 8, 9])
        contrast = rng.normal(size=22) + 0.5 * level
        groups = [contrast[level == one] for one in range(3)]
        assert chance_between(contrast, level) == pytest.approx(
            stats.f_oneway(*groups).pvalue, rel=1e-8
        )


def test_rare_levels_are_taken_together():
    """Levels of one or two sessions make one level: waters visited once tell nothing alone."""
    rng = np.random.default_rng(2)
    contrast = rng.normal(size=12)
    level = np.array([0] * 4 + [1] * 4 + [2, 3, 4, 4])
    together = np.minimum(level, 2)
    assert chance_between(contrast, level) == pytest.approx(chance_between(contrast, together))
    assert chance_between(contrast[:4], np.arange(4)) == 1.0


def test_the_chance_of_a_slope_is_that_of_a_correlation():
    """scipy's test of Pearson's correlation."""
    rng = np.random.default_rng(3)
    x = rng.normal(size=15)
    y = rng.normal(size=15) + 0.3 * x
    assert chance_of_slope(y, x[:, None]) == pytest.approx(stats.pearsonr(x, y).pvalue, rel=1e-8)
    assert chance_of_slope(y, np.full((15, 1), 4.0)) == 1.0


def test_the_chance_over_time_is_the_f_test_of_a_line_and_a_wave():
    """statsmodels' least squares with day, sine and cosine of the year."""
    import statsmodels.api as sm

    rng = np.random.default_rng(4)
    days = np.sort(rng.integers(19500, 20200, 30)).astype(float)
    contrast = rng.normal(size=30) + np.sin(2 * np.pi * days / 365.25)
    angle = 2 * np.pi * days / 365.25
    x = sm.add_constant(np.column_stack((days - days.mean(), np.sin(angle), np.cos(angle))))
    expected = sm.OLS(contrast, x).fit().f_pvalue
    assert chance_of_time(contrast, days) == pytest.approx(expected, rel=1e-6)


def test_within_sessions_mean_and_covariance_are_those_of_all_permutations():
    """Every way of dealing the contrasts over the levels of each session, counted out."""
    rng = np.random.default_rng(5)
    session = np.array([0, 0, 0, 1, 1, 2, 2, 2])
    level = np.array([0, 1, 2, 0, 1, 0, 1, 2])
    contrast = rng.normal(size=8)
    members = [np.flatnonzero(session == one) for one in range(3)]
    sums = np.array(
        [
            np.bincount(level, np.concatenate([contrast[list(one)] for one in deal]), 3)
            for deal in product(*(permutations(one) for one in members))
        ]
    )
    gap = np.bincount(level, contrast, 3) - sums.mean(axis=0)
    covariance = np.cov(sums.T, bias=True)
    statistic = gap @ np.linalg.pinv(covariance, rcond=1e-9) @ gap
    assert chance_within(contrast, session, level) == pytest.approx(
        stats.chi2.sf(statistic, 2), rel=1e-8
    )


def test_one_rod_a_session_cannot_be_dealt_out():
    """Without a second level in any session nothing can be said within sessions."""
    assert chance_within(np.array([0.5, -0.5]), np.array([0, 1]), np.array([0, 1])) == 1.0
