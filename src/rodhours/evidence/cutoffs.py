"""Where the profile likelihood is cut: a t quantile, and the few-fish guard where it is higher.

One function gives the limits and its inverse the p-value, so that the two never disagree. The guard
is made of the mid-P limits of a Poisson count and the likelihood-ratio distance to them: scalars,
a few microseconds each, for they sit in a hot path.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from scipy.special import (
    chdtrc,
    chdtri,
    gammainc,
    gammaincc,
    gammainccinv,
    gammaincinv,
    stdtr,
    stdtrit,
)

_MOST_STEPS = 50
_CLOSE = 1e-14


@lru_cache(maxsize=4096)
def mid_p_upper(y: int, alpha: float) -> float:
    """The mean at which P(Y < y) + P(Y = y) / 2 = alpha / 2: the mid-P upper Poisson limit.

    `y` events (>= 0), `alpha` in (0, 1] two-sided. Raises ValueError outside these bounds.
    """
    _check(y, alpha)
    if y == 0:
        return -math.log(alpha)
    # The logarithm of this tail is concave in the mean, and the exact limit lies outside the
    # root: Newton steps from there go down to the root without passing it.
    return _mid_p(float(gammainccinv(y + 1, alpha / 2.0)), y, alpha, _upper_tail, 1.0)


@lru_cache(maxsize=4096)
def mid_p_lower(y: int, alpha: float) -> float:
    """The mean at which P(Y > y) + P(Y = y) / 2 = alpha / 2: the mid-P lower Poisson limit.

    `y` events (>= 0; no events give 0), `alpha` in (0, 1] two-sided.
    Raises ValueError outside these bounds.
    """
    _check(y, alpha)
    if y == 0:
        return 0.0
    return _mid_p(float(gammaincinv(y, alpha / 2.0)), y, alpha, _lower_tail, -1.0)


def _mid_p(
    mean: float, y: int, alpha: float, tail_of: Callable[[float, int], float], way: float
) -> float:
    """Newton steps on the logarithm of a tail, from an exact limit down or up to the root."""
    for _ in range(_MOST_STEPS):
        tail = tail_of(mean, y)
        step = way * tail * math.log(2.0 * tail / alpha) / _middle(mean, y)
        mean += step
        if abs(step) <= _CLOSE * mean:
            break
    return mean


def deviance_distance(mu: float, y: int) -> float:
    """Twice the Poisson log-likelihood lost by the mean `mu` against the best one, `y`.

    2 (mu - y - y log(mu / y)); 2 mu without events, infinite for a mean of 0 with events.
    """
    if y == 0:
        return 2.0 * mu
    if mu <= 0.0:
        return math.inf
    away = (mu - y) / y
    # Near the count the difference form would cancel, near a mean of 0 the other one.
    log_ratio = math.log1p(away) if away > -0.5 else math.log(mu / y)
    return 2.0 * y * (away - log_ratio)


def guard_rate_upper(y: int, alpha: float) -> float:
    """The least cutoff for the upper limit of one rate with `y` fish.

    The mid-P upper limit is never below `y`: at alpha = 1 it is about y + 1/6.
    """
    return deviance_distance(mid_p_upper(y, alpha), y)


def guard_rate_lower(y: int, alpha: float) -> float:
    """The least cutoff for the lower limit of one rate with `y` fish; 0 without fish.

    At alpha near 1 the mid-P lower limit can lie above `y`, on the wrong side: that counts 0.
    """
    limit = mid_p_lower(y, alpha)
    return deviance_distance(limit, y) if 0.0 < limit < y else 0.0


def guard_upper(y: int, reference_y: int, alpha: float) -> float:
    """The least cutoff for the upper limit of a rate ratio, `y` fish against `reference_y`."""
    return max(guard_rate_upper(y, alpha), guard_rate_lower(reference_y, alpha))


def guard_lower(y: int, reference_y: int, alpha: float) -> float:
    """The least cutoff for the lower limit of a rate ratio, `y` fish against `reference_y`."""
    return max(guard_rate_lower(y, alpha), guard_rate_upper(reference_y, alpha))


def guard_p_upper(statistic: float, y: int, reference_y: int) -> float:
    """The alpha (at most 1) at which `guard_upper` equals `statistic` (>= 0)."""
    return min(1.0, max(_p_rate_upper(statistic, y), _p_rate_lower(statistic, reference_y)))


def guard_p_lower(statistic: float, y: int, reference_y: int) -> float:
    """The alpha (at most 1) at which `guard_lower` equals `statistic` (>= 0)."""
    return min(1.0, max(_p_rate_lower(statistic, y), _p_rate_upper(statistic, reference_y)))


def _p_rate_upper(statistic: float, y: int) -> float:
    """The alpha whose mid-P upper limit lies at the distance `statistic` above `y`."""
    if y == 0:
        return math.exp(-statistic / 2.0)
    return 2.0 * _upper_tail(y * _ratio_above(statistic / (2.0 * y)), y)


def _p_rate_lower(statistic: float, y: int) -> float:
    """The alpha whose mid-P lower limit lies at that distance below `y`; none without fish."""
    if y == 0:
        return 0.0
    return 2.0 * _lower_tail(y * _ratio_below(statistic / (2.0 * y)), y)


def _ratio_above(distance: float) -> float:
    """The r > 1 with r - 1 - log r = `distance`; convex, so Newton comes down from above."""
    above = math.sqrt(2.0 * distance) + distance
    for _ in range(_MOST_STEPS):
        if above == 0.0:
            break
        step = (above - math.log1p(above) - distance) * (1.0 + above) / above
        above -= step
        if abs(step) <= _CLOSE * above:
            break
    return 1.0 + above


def _ratio_below(distance: float) -> float:
    """The r < 1 with r - 1 - log r = `distance`; solved in log r, where it is almost straight."""
    log_ratio = -math.sqrt(2.0 * distance) - distance
    for _ in range(_MOST_STEPS):
        if log_ratio == 0.0:
            break
        slope = math.expm1(log_ratio)
        step = (slope - log_ratio - distance) / slope
        log_ratio -= step
        if abs(step) <= -_CLOSE * log_ratio:
            break
    return math.exp(log_ratio)


def _upper_tail(mean: float, y: int) -> float:
    """P(Y < y) + P(Y = y) / 2 for y > 0, as the mean of P(Y < y) and P(Y <= y)."""
    return 0.5 * (float(gammaincc(y, mean)) + float(gammaincc(y + 1, mean)))


def _lower_tail(mean: float, y: int) -> float:
    """P(Y > y) + P(Y = y) / 2 for y > 0, as the mean of P(Y > y) and P(Y >= y)."""
    return 0.5 * (float(gammainc(y, mean)) + float(gammainc(y + 1, mean)))


def _middle(mean: float, y: int) -> float:
    """The slope of the two tails in the mean: (P(Y = y - 1) + P(Y = y)) / 2."""
    at_y = math.exp(y * math.log(mean) - mean - math.lgamma(y + 1.0))
    return 0.5 * at_y * (1.0 + y / mean)


def _check(y: int, alpha: float) -> None:
    if y < 0:
        raise ValueError(f"a count is 0 or more, not {y}")
    if not 0.0 < alpha <= 1.0:
        raise ValueError(f"alpha is between 0 and 1, not {alpha}")


@dataclass(frozen=True)
class Cutoff:
    """Cutoffs of L(theta) for a rate ratio.

    `df` are the degrees of freedom of the t quantile (None: the chi-square cutoff of a model
    in which every fish comes by itself); `fish` and `reference_fish` are the counts that the
    few-fish guard looks at (None: no guard).
    """

    df: int | None
    fish: int | None = None
    reference_fish: int | None = None

    def at(self, alpha: float, side: int) -> float:
        """The cutoff for the upper (side > 0) or lower limit at confidence 1 − alpha."""
        cut = (
            float(chdtri(1, alpha))
            if self.df is None
            else float(stdtrit(self.df, 1.0 - alpha / 2.0)) ** 2
        )
        if self.fish is None or self.reference_fish is None:
            return cut
        guard: Callable[[int, int, float], float] = guard_upper if side > 0 else guard_lower
        return max(cut, guard(self.fish, self.reference_fish, alpha))

    def p_value(self, statistic: float, side: int) -> float:
        """The alpha at which the cutoff on that side equals the statistic, at most 1."""
        p = (
            float(chdtrc(1, statistic))
            if self.df is None
            else 2.0 * float(stdtr(self.df, -(statistic**0.5)))
        )
        if self.fish is not None and self.reference_fish is not None:
            guard = guard_p_upper if side > 0 else guard_p_lower
            p = max(p, guard(statistic, self.fish, self.reference_fish))
        return min(1.0, p)
