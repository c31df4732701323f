"""The cutoff that stays honest however often one looks: the normal-mixture boundary.

Robbins 1970, Annals of Mathematical Statistics 41:1397-1409; Howard, Ramdas, McAuliffe & Sekhon
2021, Annals of Statistics 49:1055-1080. For a normal score it is a theorem; under the session
model its honesty is measured on simulated seasons (`tests/evidence/test_looks_honesty.py`).
"""

from __future__ import annotations

from math import inf, log

from scipy.special import chdtri, stdtrit

TAU = 0.7
"""Log rate ratios that the boundary is made narrowest for: about twice or half as fast."""


def mixture_cutoff(alpha: float, w: float) -> float:
    """The value that z² of a normal estimate crosses at any of its looks with chance `alpha`.

    `w` > 0 is (standard error / tau)² at this look. The likelihood ratio of a normal mixture of
    truths with spread tau is sqrt(w / (1 + w)) exp(z² / (2 (1 + w))), which by Ville's inequality
    ever reaches 1 / alpha with chance alpha at most; this is that solved for z².
    """
    if w <= 0.0:
        return inf
    return (1.0 + w) * (2.0 * log(1.0 / alpha) + log(1.0 + 1.0 / w))


def running_cutoff(alpha: float, df: int, spread: float, tau: float = TAU) -> float:
    """The cutoff R of L(theta) for the interval that may be looked at after every trip.

    The mixture's cutoff, widened as a t quantile with `df` degrees of freedom is wider than a
    normal one. `alpha` is that of the comparison (the family's share), `spread` > 0 the standard
    error of the log rate ratio from the curvature at the estimate.
    """
    widened = float(stdtrit(df, 1.0 - alpha / 2.0)) ** 2 / float(chdtri(1, alpha))
    return mixture_cutoff(alpha, (spread / tau) ** 2) * widened
