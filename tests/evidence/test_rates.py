"""Exact limits of one and two rates against published tables and examples."""

from __future__ import annotations

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


def test_limits_are_per_unit_of_exposure():
    """15 events in 400: the exact limits of DescTools' PoissonCI, quoted by statsmodels' tests."""
    block = published.ONE_RATE_15_IN_400
    low, high = one_rate_limits(15, 400.0)
    assert low == pytest.approx(block["one_15_400_exact_lo"], rel=1e-12)
    assert high == pytest.approx(block["one_15_400_exact_hi"], rel=1e-12)


def test_two_rates_of_the_fluoroscopy_study():
    """Boice & Monson 1977, as printed in Stata's [R] Epitab: ratio and exact limits."""
    block = published.XRAY
    answer = two_rate_limits(41, 28010, 15, 19017)
    assert block.agrees("xray_rr", answer.rate_ratio)
    assert block.agrees("xray_exact_lo", answer.conf_low)
    assert block.agrees("xray_exact_hi", answer.conf_high)


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
