"""The verdict on one comparison, from its limits and its fish. Never "significant"."""

from __future__ import annotations

AHEAD, BEHIND, LEVEL = "ahead", "behind", "level"
UNSETTLED, TOO_LITTLE = "unsettled", "too little to say"
SETTLED = (AHEAD, BEHIND, LEVEL)
VERDICTS = (*SETTLED, UNSETTLED, TOO_LITTLE)
"""All, those that say most first."""

FEWEST_FISH = 5
WIDEST = 16.0
"""An interval whose limits differ by more than this factor says too little."""


def verdict(
    conf_low: float | None,
    conf_high: float | None,
    fish: int,
    reference_fish: int,
    margin: float = 1.25,
) -> str:
    """The verdict, in the order of its rules.

    Limits are those of the rate ratio (None where there is no limit on that side), fish the
    counts of the two in that basis, `margin` (> 1) the ratio within which two are level.
    """
    if fish + reference_fish < FEWEST_FISH:
        return TOO_LITTLE
    if conf_low is not None and conf_low > 1.0:
        return AHEAD
    if conf_high is not None and conf_high < 1.0:
        return BEHIND
    if conf_low is None or conf_high is None or conf_high > WIDEST * conf_low:
        return TOO_LITTLE
    if conf_low >= 1.0 / margin and conf_high <= margin:
        return LEVEL
    return UNSETTLED


def is_small(verdict: str, low: float | None, high: float | None, margin: float) -> bool:
    """Whether one is ahead or behind by less than the margin, both limits known."""
    if verdict not in (AHEAD, BEHIND) or low is None or high is None:
        return False
    return 1.0 / margin <= low and high <= margin
