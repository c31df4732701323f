"""Exact limits of one and two rates against published tables and examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from reference import open_data, published
from rodhours.evidence.rates import one_rate_limits, two_rate_limits


@pytest.mark.parametrize("confidence", [0.90, 0.95, 0.99])
def test_limits_of_one_count_equal_the_table_of_exact_limits(confidence):
    """Every row of the table of exact limits holds to its printed digits.

    Source: method of Garwood 1936, recomputed with R's qchisq (reference/garwood_limits.csv).
    """
    table = open_data.garwood_limits()
    percent = round(100 * confidence)
    ours = np.array([one_rate_limits(n, 1.0, confidence) for n in table["n"]])
    theirs = table[[f"lo{percent}", f"hi{percent}"]].to_numpy()
    assert len(table) == 40
    np.testing.assert_allclose(ours, theirs, rtol=5e-8)


def test_limits_of_one_count_equal_the_tabulated_values():
    """Garwood 1936, as tabulated to 3 decimals in Breslow & Day 1987 vol II (from memory)."""
    block = published.GARWOOD_95
    checked = 0
    for name in block.digits:
        kind, side, count = name.rsplit("_", 2)
        if kind == "garwood95":
            low, high = one_rate_limits(int(count), 1.0, 0.95)
            assert block.agrees(name, low if side == "lo" else high), name
            checked += 1
    assert checked == 17
    assert block.agrees("garwood99_hi_0", one_rate_limits(0, 1.0, 0.99)[1])
    # One-sided at 95 % is two-sided at 90 %.
    assert block.agrees("upper95_onesided_0", one_rate_limits(0, 1.0, 0.90)[1])


def test_limits_are_per_unit_of_exposure():
    """15 events in 400: the exact limits of DescTools' PoissonCI, quoted by statsmodels' tests."""
    block = published.ONE_RATE_15_IN_400
    low, high = one_rate_limits(15, 400.0)
    assert low == pytest.approx(block["one_15_400_exact_lo"], rel=1e-12)
    assert high == pytest.approx(block["one_15_400_exact_hi"], rel=1e-12)


def test_no_event_has_a_lower_limit_of_nothing_and_a_finite_upper_one():
    """A blank's lower limit is 0, its upper one -log(alpha / 2) over the exposure."""
    assert one_rate_limits(0, 50.0) == (0.0, pytest.approx(-math.log(0.025) / 50.0, rel=1e-13))


def test_two_rates_of_the_fluoroscopy_study():
    """Boice & Monson 1977, as printed in Stata's [R] Epitab: ratio and exact limits."""
    block = published.XRAY
    answer = two_rate_limits(41, 28010, 15, 19017)
    assert block.agrees("xray_rr", answer.rate_ratio)
    assert block.agrees("xray_exact_lo", answer.conf_low)
    assert block.agrees("xray_exact_hi", answer.conf_high)


def test_two_rates_of_the_heart_disease_example():
    """Gu et al. 2008, example 1: exact one-sided p, and central limits quoted by statsmodels.

    The paper prints its exact and mid-p values in swapped order (noted in statsmodels' tests).
    """
    answer = two_rate_limits(60, 51477.5, 30, 54308.7)
    assert published.GU_EXAMPLE_1.agrees("chd_p1_upper", answer.p_value / 2)
    limits = published.GU_EXAMPLE_1_INTERVALS
    assert answer.conf_low == pytest.approx(limits["chd_exact_lo"], rel=1e-9)
    assert answer.conf_high == pytest.approx(limits["chd_exact_hi"], rel=1e-9)


def test_p_and_interval_never_disagree_in_the_first_trap():
    """2/17877 v 9/16660: p just above 0.05 and an interval that just covers 1.

    Source: Fay 2010, R Journal 2(1):53-58, and the vignette of rateratio.test.
    """
    block = published.FAY_9
    answer = two_rate_limits(2, 17877, 9, 16660)
    assert block.agrees("fay9_p2_central", answer.p_value)
    assert block.agrees("fay9_exact_lo", answer.conf_low)
    assert block.agrees("fay9_exact_hi", answer.conf_high)
    assert block.agrees("fay9_rr", answer.rate_ratio)


def test_p_and_interval_never_disagree_in_the_second_trap():
    """2/17877 v 10/20000: another p of this table is 0.042 while the interval covers 1.

    Source: Fay 2010, R Journal 2(1):53-58. Ours must be the p that goes with the interval.
    """
    block = published.FAY_10
    answer = two_rate_limits(2, 17877, 10, 20000)
    assert block.agrees("fay10_exact_lo", answer.conf_low)
    assert block.agrees("fay10_exact_hi", answer.conf_high)
    assert block.agrees("fay10_rr", answer.rate_ratio)
    assert block["fay10_p2_minlike"] < 0.05 < answer.p_value


def test_p_equals_the_level_at_which_a_limit_reaches_one():
    """For every split of totals up to 30, the interval at confidence 1 - p ends at 1.

    Holds wherever p < 1 (below 1e-6 the digits of 1 - p run out): p and interval come from
    one function (Fay 2010, R Journal 2(1):53-58).
    """
    checked = 0
    for total in (1, 2, 5, 11, 30):
        for count in range(total + 1):
            answer = two_rate_limits(count, 3.0, total - count, 2.0)
            if 1e-6 < answer.p_value < 1.0:
                at_p = two_rate_limits(count, 3.0, total - count, 2.0, 1.0 - answer.p_value)
                limit = at_p.conf_low if 2 * count > 3 * (total - count) else at_p.conf_high
                assert limit == pytest.approx(1.0, rel=1e-9)
                checked += 1
    assert checked > 40


def test_strata_of_the_british_doctors():
    """Exact limits by age and overall; Breslow & Day 1987 vol II and [R] Epitab (from memory)."""
    block = published.DOCTORS_STRATA
    rows = open_data.doctors()
    smokers = rows[rows["smoker"] == 1].reset_index(drop=True)
    others = rows[rows["smoker"] == 0].reset_index(drop=True)
    answers = [
        two_rate_limits(*smokers.loc[i, figures], *others.loc[i, figures])
        for figures in [["deaths", "person_years"]]
        for i in range(5)
    ]
    for stratum in (1, 2):
        answer = answers[stratum - 1]
        assert block.agrees(f"doc_stratum_rr{stratum}", answer.rate_ratio)
        assert block.agrees(f"doc_stratum_lo{stratum}", answer.conf_low)
        assert block.agrees(f"doc_stratum_hi{stratum}", answer.conf_high)
    assert block.agrees("doc_stratum_rr5", answers[4].rate_ratio)
    crude = two_rate_limits(
        smokers["deaths"].sum(),
        smokers["person_years"].sum(),
        others["deaths"].sum(),
        others["person_years"].sum(),
    )
    assert block.agrees("doc_crude_rr", crude.rate_ratio)
    assert block.agrees("doc_crude_lo", crude.conf_low)
    assert block.agrees("doc_crude_hi", crude.conf_high)


@pytest.mark.parametrize(
    ("column", "level"),
    [("min_larger_count_onesided05", 0.10), ("min_larger_count_twosided05", 0.05)],
)
def test_critical_counts_of_the_conditional_test(column, level):
    """The smallest split of each total that p calls unusual; one-sided 5 % is two-sided 10 %.

    Source: method of Przyborowski & Wilenski 1940, recomputed with R
    (reference/conditional_critical_counts.csv).
    """
    table = open_data.conditional_critical_counts()
    for total, critical in zip(table["total"], table[column], strict=True):
        unusual = [
            count
            for count in range((total + 1) // 2, total + 1)
            if two_rate_limits(count, 1.0, total - count, 1.0).p_value <= level
        ]
        assert (min(unusual) if unusual else None) == (None if math.isnan(critical) else critical)


def test_no_event_on_one_side_keeps_the_other_limit():
    """0 in 400 v 12 in 380 hours: 0 to the upper limit of Clopper & Pearson, in closed form.

    With no success in n the upper limit is 1 - (alpha / 2)^(1 / n) (Clopper & Pearson 1934).
    """
    share = 1.0 - 0.025 ** (1 / 12)
    expected = share / (1.0 - share) * 380 / 400
    answer = two_rate_limits(0, 400, 12, 380)
    assert (answer.rate_ratio, answer.conf_low) == (0.0, 0.0)
    assert answer.conf_high == pytest.approx(expected, rel=1e-12)
    swapped = two_rate_limits(12, 380, 0, 400)
    assert (swapped.rate_ratio, swapped.conf_high) == (None, None)
    assert swapped.conf_low == pytest.approx(1.0 / expected, rel=1e-12)
    assert swapped.p_value == pytest.approx(answer.p_value, rel=1e-12)
    assert answer.p_value == pytest.approx(2 * (380 / 780) ** 12, rel=1e-12)


def test_no_event_at_all_says_nothing():
    """Without any event there is no estimate, no limit and no p."""
    answer = two_rate_limits(0, 10.0, 0, 10.0)
    assert answer.rate_ratio is None
    assert (answer.conf_low, answer.conf_high, answer.p_value) == (None, None, None)


def test_limits_and_p_equal_those_of_a_binomial_test():
    """The same analysis by scipy's exact binomial test of the share of the total."""
    for count, exposure, reference, reference_exposure in [(7, 90, 3, 55.5), (88, 1, 140, 2)]:
        answer = two_rate_limits(count, exposure, reference, reference_exposure, 0.9)
        share = exposure / (exposure + reference_exposure)
        test = stats.binomtest(count, count + reference, share)
        limits = test.proportion_ci(0.9, method="exact")
        odds = exposure / reference_exposure
        assert answer.conf_low == pytest.approx(limits.low / (1 - limits.low) / odds, rel=1e-9)
        assert answer.conf_high == pytest.approx(limits.high / (1 - limits.high) / odds, rel=1e-9)
        tails = [
            stats.binomtest(count, count + reference, share, alternative=side).pvalue
            for side in ("less", "greater")
        ]
        assert answer.p_value == pytest.approx(min(1, 2 * min(tails)), rel=1e-9)
