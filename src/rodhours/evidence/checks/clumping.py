"""How clumped the catch is: how much a good trip gives, and what that costs in certainty."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

from rodhours.evidence.session_model.fit import POISSON, Fit

MORE_THAN_CHANCE = 4.23
"""The 95 % point of the likelihood ratio for two spreads that may both be 0: a mixture of
chi-squares, 1/4 · 0 + 1/2 · 1 df + 1/4 · 2 df (Self & Liang 1987, JASA 82:605-610)."""


@dataclass(frozen=True)
class Clumping:
    """`session_sd` s and `clumping` a of the fit; a good trip is one in six, exp(s) times usual.

    `width_ratio` is the honest interval's width over the Poisson one's, on the log scale; None
    where one of the two has no limit on a side.
    """

    session_sd: float
    clumping: float
    good_trip: float
    width_ratio: float | None
    likelihood_ratio: float


def clumping(
    fitted: Fit,
    honest: tuple[float | None, float | None],
    poisson: tuple[float | None, float | None],
) -> Clumping | None:
    """The clumping of a fit, where it is more than chance; None where fish come one by one.

    `honest` and `poisson` are the lower and upper limits of the rate ratio of the two models.
    """
    alone = next((point for point in fitted.branches if point.branch == POISSON), None)
    if alone is None or not fitted.converged:
        return None
    statistic = 2.0 * (fitted.best.value - alone.value)
    if statistic <= MORE_THAN_CHANCE:
        return None
    width, plain = _width(honest), _width(poisson)
    return Clumping(
        session_sd=fitted.best.s,
        clumping=fitted.best.t**2,
        good_trip=exp(fitted.best.s),
        width_ratio=width / plain if width and plain else None,
        likelihood_ratio=statistic,
    )


def _width(limits: tuple[float | None, float | None]) -> float | None:
    low, high = limits
    return log(high / low) if low and high else None
