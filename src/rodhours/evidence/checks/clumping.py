"""How clumped the catch is: how much a good trip gives, and what that costs in certainty."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

from rodhours.evidence.basis import Answer
from rodhours.evidence.fitted import Headline
from rodhours.evidence.result import INFORMATION, Note
from rodhours.evidence.session_model.fit import POISSON

MORE_THAN_CHANCE = 4.23
"""The 95 % point of the likelihood ratio for two spreads that may both be 0: a mixture of
chi-squares, 1/4 · 0 + 1/2 · 1 df + 1/4 · 2 df (Self & Liang 1987, JASA 82:605-610)."""


def clumping(headlines: Sequence[Headline], alpha: float) -> list[Note]:
    """One note for the fit: that of the comparison whose interval clumping widens most.

    None where fish come one by one, or nearly so. Numbers: `session_sd` s and `clumping` a of the
    fit; `good_trip`, what one trip in six gives, exp(s) times a usual one; `width_ratio`, the
    honest interval's width over the Poisson one's of the same rows and columns, on the log scale
    (None where one of the two has no limit on a side).
    """
    found: list[tuple[float, Note]] = []
    for one in headlines:
        basis = one.basis
        if not basis.fish.any() or not basis.rod_hours[one.variant] or not basis.fitted.converged:
            continue
        best = basis.fitted.best
        alone = next((at.value for at in basis.fitted.branches if at.branch == POISSON), None)
        if alone is None or 2.0 * (best.value - alone) <= MORE_THAN_CHANCE:
            continue
        width, plain = map(_width, (one.answer, basis.by_itself.answer(one.variant, alpha, alpha)))
        numbers = {
            "session_sd": best.s,
            "good_trip": exp(best.s),
            "clumping": best.t**2,
            "width_ratio": width / plain if width and plain else None,
        }
        note = Note("clumping", None, INFORMATION, numbers)
        found.append((numbers["width_ratio"] or 0.0, note))
    return [max(found, key=lambda pair: pair[0])[1]] if found else []


def _width(answer: Answer) -> float | None:
    low, high = answer.conf_low, answer.conf_high
    return log(high / low) if low and high else None
