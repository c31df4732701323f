"""The boundary of looks whose last trip is stated beforehand: constant, valid to that trip alone.

z is where the largest of a standardised Brownian motion, seen after each trip from the first look
to the last, lies with chance alpha. The chance of staying inside is carried from look to look as
a density (Armitage, McPherson & Rowe 1969, Journal of the Royal Statistical Society A 132:235-244);
from a first look after one trip of equal trips it is the boundary of Pocock 1977 (Biometrika
64:191-199). Under the session model its honesty is measured, as the running interval's is.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import chdtri, ndtri, stdtrit

FIRST_LOOK = 8
"""The trip after which one looks first."""
LAST_END = 200
"""No end further off than this is taken."""


def chance_of_crossing(z: float, first: int, last: int) -> float:
    """The chance that |B(n)| / sqrt(n) passes `z` at any n from `first` to `last`."""
    looks = np.arange(first, last + 1, dtype=np.float64)
    kept = np.sqrt(looks[:-1] / looks[1:])
    new = np.sqrt(1.0 - kept**2)
    # The density is smooth over the spread of one step: enough places for several a step.
    places, weights = np.polynomial.legendre.leggauss(30 + int(2.0 * z / new.min(initial=z)))
    at, weights = 0.5 * z * (places + 1.0), 0.5 * z * weights
    density = np.sqrt(2.0 / np.pi) * np.exp(-0.5 * at**2)
    for by, spread in zip(kept, new, strict=True):
        to, start = at[:, None], by * at
        near = np.exp(-0.5 * ((to - start) / spread) ** 2)
        mirrored = np.exp(-0.5 * ((to + start) / spread) ** 2)
        density = ((near + mirrored) @ (weights * density)) / (spread * np.sqrt(2.0 * np.pi))
    return float(1.0 - weights @ density)


@lru_cache(maxsize=64)
def boundary(alpha: float, first: int, last: int) -> float:
    """The z that is passed at any look from trip `first` to trip `last` with chance `alpha`."""
    # One look passes less often; many pass at most so many times as often (Bonferroni).
    looks = last - first + 1
    low, high = (float(-ndtri(0.5 * chance)) for chance in (1.01 * alpha, 0.99 * alpha / looks))
    return float(brentq(lambda z: chance_of_crossing(z, first, last) - alpha, low, high, xtol=1e-5))


def stated_cutoff(alpha: float, df: int, last: int) -> float:
    """The cutoff of L(theta) to the stated end, widened as a t quantile is than a normal one."""
    widened = float(stdtrit(df, 1.0 - alpha / 2.0)) ** 2 / float(chdtri(1, alpha))
    return boundary(alpha, FIRST_LOOK, last) ** 2 * widened
