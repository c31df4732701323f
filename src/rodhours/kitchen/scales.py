"""Amounts as kitchen scales and syringes can measure them.

Scope: rounding only. Nothing that is there is ever rounded to nothing.
"""

from __future__ import annotations

import math

FINE_BELOW_G = 10.0


def weighed(grams: float) -> float:
    """To 1 g; under 10 g to 0.1 g."""
    if 0 <= grams < FINE_BELOW_G:
        return _to(grams, 10)
    return _to(grams, 1)


def measured_ml(millilitres: float) -> float:
    """To 0.5 ml; less than that to 0.1 ml."""
    return _to(millilitres, 2 if millilitres >= 0.5 else 10)


def _to(amount: float, steps_in_one: int) -> float:
    """To a whole number of steps, at least one of them where there is anything."""
    # The nudge keeps a half that binary fractions put just under itself from rounding down.
    steps = math.floor(amount * steps_in_one + 0.5 + 1e-9)
    return max(steps, 1 if amount > 0 else 0) / steps_in_one
