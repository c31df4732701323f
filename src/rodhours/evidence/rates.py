"""Exact limits of one catch rate and of the ratio of two.

Scope: counts and exposures in, plain numbers out. They hold when every fish comes by itself,
so they serve as checks and as the fall-back where no model can be fitted, never as the answer.
"""

from __future__ import annotations

from scipy.special import betainc, betaincc, betainccinv, betaincinv, gammainccinv, gammaincinv

from rodhours.evidence.results import RatioEstimate


def one_rate_limits(count: int, exposure: float, confidence: float = 0.95) -> tuple[float, float]:
    """Exact limits of a Poisson rate per unit of exposure.

    `count` events (>= 0) in `exposure` (> 0, any unit). The chi-square form of the limits of
    Garwood 1936 (Biometrika 28:437-442): half of the chi-square quantiles with 2 count and
    2 count + 2 degrees of freedom.
    """
    tail = (1.0 - confidence) / 2.0
    low = float(gammaincinv(count, tail)) if count else 0.0
    high = float(gammainccinv(count + 1, tail))
    return low / exposure, high / exposure


def two_rate_limits(
    count: int,
    exposure: float,
    reference_count: int,
    reference_exposure: float,
    confidence: float = 0.95,
) -> RatioEstimate:
    """Exact limits and p of the ratio of two Poisson rates, rate over reference rate.

    Given the total, the count is binomial with odds ratio x exposure / reference exposure
    (Przyborowski & Wilenski 1940, Biometrika 31:313-323); limits of Clopper & Pearson 1934
    (Biometrika 26:404-413); p for a ratio of 1 is twice the smaller tail, at most 1, so that it
    is below 1 - confidence exactly when the limits leave out 1. Without events on the
    reference there is neither estimate nor upper limit (None), without any events nothing at
    all.
    """
    tail = (1.0 - confidence) / 2.0
    if count == 0 and reference_count == 0:
        return RatioEstimate(None, None, None, None)
    scale = reference_exposure / exposure
    ratio = count / reference_count * scale if reference_count else None
    # The share of the count in the total and its complement are inverted separately:
    # 1 - share would lose all digits where the share is near 1.
    low = 0.0
    if count:
        share = float(betaincinv(count, reference_count + 1, tail))
        low = share / float(betainccinv(reference_count + 1, count, tail)) * scale
    high = None
    if reference_count:
        share = float(betainccinv(count + 1, reference_count, tail))
        high = share / float(betaincinv(reference_count, count + 1, tail)) * scale
    level = exposure / (exposure + reference_exposure)
    at_least = float(betainc(count, reference_count + 1, level)) if count else 1.0
    at_most = float(betaincc(count + 1, reference_count, level)) if reference_count else 1.0
    return RatioEstimate(ratio, low, high, min(1.0, 2.0 * min(at_least, at_most)))
