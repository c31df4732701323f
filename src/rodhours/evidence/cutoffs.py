"""Where the profile likelihood is cut: a t quantile, and the few-fish guard where it is higher.

One function gives the limits and its inverse the p-value, so that the two never disagree.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from scipy.special import chdtrc, chdtri, stdtr, stdtrit

from rodhours.evidence.guard import guard_lower, guard_p_lower, guard_p_upper, guard_upper


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
