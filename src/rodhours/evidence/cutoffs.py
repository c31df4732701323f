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
    lambertw,
    stdtr,
    stdtrit,
)

_MOST_STEPS = 50
_CLOSE = 1e-14


@lru_cache(maxsize=4096)
def mid_p_upper(y: int, alpha: float) -> float:
    """The mean at which P(Y < y) + P(Y = y) / 2 = alpha / 2: the mid-P upper Poisson limit.

    `y` events (>= 0), `alpha` in (0, 1] two-sided.
    """
    if y == 0:
        return -math.log(alpha)
    # The logarithm of this tail is concave in the mean, and the exact limit lies outside the
    # root: Newton steps from there go down to the root without passing it.
    return _mid_p(float(gammainccinv(y + 1, alpha / 2.0)), y, alpha, _upper_tail, 1.0)


@lru_cache(maxsize=4096)
def mid_p_lower(y: int, alpha: float) -> float:
    """The mean at which P(Y > y) + P(Y = y) / 2 = alpha / 2: the mid-P lower Poisson limit, 0 for
    no events; arguments as above."""
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


def guard(y: int, reference_y: int, alpha: float) -> float:
    """The least cutoff for the upper limit of a rate ratio, `y` fish against `reference_y`.

    That for the lower limit is the guard of the two the other way round.
    """
    return max(guard_rate_upper(y, alpha), guard_rate_lower(reference_y, alpha))


def guard_p(statistic: float, y: int, reference_y: int) -> float:
    """The alpha (at most 1) at which `guard` equals `statistic` (>= 0).

    The mean at a distance d = statistic / (2 y) of y events is y times the root r of
    r - 1 - log r = d, on either side of 1: r = -W(-exp(-1 - d)), Lambert's W.
    """
    p = math.exp(-statistic / 2.0) if not y else 2.0 * _upper_tail(_mean_at(statistic, y, -1), y)
    if reference_y:
        p = max(p, 2.0 * _lower_tail(_mean_at(statistic, reference_y, 0), reference_y))
    return min(1.0, p)


def _mean_at(statistic: float, y: int, branch: int) -> float:
    return -y * float(lambertw(-math.exp(-1.0 - statistic / (2.0 * y)), branch).real)


def rate_cutoffs(fish: int, df: int, alpha: float) -> tuple[float, float]:
    """Cutoffs of L for the lower and the upper limit of one rate: t², or the guard if higher."""
    quantile = float(stdtrit(df, 1.0 - alpha / 2.0)) ** 2
    guards = guard_rate_lower(fish, alpha), guard_rate_upper(fish, alpha)
    return max(quantile, guards[0]), max(quantile, guards[1])


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
        counts = self._counts(side)
        return max(cut, guard(*counts, alpha)) if counts else cut

    def p_value(self, statistic: float, side: int) -> float:
        """The alpha at which the cutoff on that side equals the statistic, at most 1."""
        p = (
            float(chdtrc(1, statistic))
            if self.df is None
            else 2.0 * float(stdtr(self.df, -(statistic**0.5)))
        )
        counts = self._counts(side)
        return min(1.0, max(p, guard_p(statistic, *counts)) if counts else p)

    def _counts(self, side: int) -> tuple[int, int] | None:
        if self.fish is None or self.reference_fish is None:
            return None
        return (self.fish, self.reference_fish) if side > 0 else (self.reference_fish, self.fish)
