"""Weights as an angler reads them: pounds and ounces, or kilograms.

Weights are kilograms inside, as they were written; nothing but the last step knows another unit.
"""

from __future__ import annotations

import math

from rodhours.words.numbers import MISSING, number

KG_PER_LB = 0.45359237
"""The international pound, exact by definition (international yard and pound agreement, 1959)."""
OZ_PER_LB = 16
UNITS = ("lb", "kg")
UNITS_HELP = (
    "Show weights in pounds and ounces (lb) or kilograms (kg).  [default: as most weights of the "
    "log were written]"
)
WEIGHT_UNIT_HELP = (
    "What a weight without a unit means: lb, kg, g, oz; or decimal lb (22.4 is 22.4 lb), or lb.oz "
    "(22.4 is 22 lb 4 oz)."
)


def weight(kg: float | None, unit: str = "lb") -> str:
    """A weight to the nearest ounce or hundredth of a kilogram: `22 lb 4 oz`, `10.09 kg`.

    A dash where there is none; `unit` is lb or kg, anything else raises KeyError.
    """
    said = {"lb": _pounds, "kg": _kilograms}[unit]
    return MISSING if kg is None or not math.isfinite(kg) else said(kg)


def stated_weight(kg: float) -> str:
    """A weight as it was stated: in the unit in which it is a round figure, else in kilograms.

    `20 lb` for 9.071847 kg, `9.5 kg` for 9.5.
    """
    if math.isclose(kg, round(kg, 2), abs_tol=5e-7):
        return f"{round(kg, 2):,g} kg"
    ounces = kg / KG_PER_LB * OZ_PER_LB
    if math.isclose(ounces, round(ounces), abs_tol=1e-4):
        return _pounds(kg)
    return f"{number(kg, 3)} kg"


def _pounds(kg: float) -> str:
    pounds, ounces = divmod(round(kg / KG_PER_LB * OZ_PER_LB), OZ_PER_LB)
    if not pounds:
        return f"{ounces} oz"
    return f"{pounds:,} lb {ounces} oz" if ounces else f"{pounds:,} lb"


def _kilograms(kg: float) -> str:
    return f"{number(kg, 2)} kg"
