"""Figures with their origin, eggs by class, doses said in other ways, amounts as scales show them.

Shares are in %, masses in g, volumes of liquids in ml. What common practice says is marked as
such: nobody measured it for us.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from rodhours.errors import UsageError

SHELL_SHARE = 0.10
"""Shell as a share of an egg by mass: Britannica, 'egg' (10/60/30 %); handbooks give 8 to 12 %."""
FINE_G, FINE_ML = 100.0, 5.0
"""Below these small kitchen scales and a syringe show tenths; above, 1 g and 0.5 ml."""


class Origin(StrEnum):
    """Where a figure comes from, as it is printed beside it: the firmest first."""

    ASKED = "as asked"
    MEASURED = "your measurement"
    RECIPE = "recipe"
    GEOMETRY = "geometry"
    PUBLISHED = "published"
    PRACTICE = "common practice"


@dataclass(frozen=True)
class Stated:
    """A figure and where it comes from."""

    value: float
    origin: Origin


def own_or(default: Stated, own: float | None) -> Stated:
    """The angler's own figure, where there is one, before the stated default."""
    return default if own is None else Stated(own, Origin.MEASURED)


class EggSize(StrEnum):
    """Weight classes of eggs."""

    S = "S"
    M = "M"
    L = "L"
    XL = "XL"


TYPICAL_EGG_G: dict[str, float] = {
    EggSize.S: 48.0,
    EggSize.M: 58.0,
    EggSize.L: 68.0,
    EggSize.XL: 78.0,
}
"""A typical egg in the shell, g: the middle of its class (M is 53 to 63, L 63 to 73; Commission
Delegated Regulation (EU) 2023/2465); S and XL, open on one side, are taken as wide as these."""


def egg_contents_g(egg_class: str) -> float:
    """What a typical egg of the class (S, M, L, XL) weighs without its shell, g."""
    return TYPICAL_EGG_G[egg_class] * (1 - SHELL_SHARE)


def share_of_dry_mix(on_top_pct: float) -> float:
    """The % of the finished dry mix that so many % added on top of it come to: 25 gives 20."""
    if not on_top_pct >= 0:
        raise UsageError(f"What is added on top must be 0 % or more, not {on_top_pct:g}.")
    return 100 * on_top_pct / (100 + on_top_pct)


def on_top_of_the_rest(share_pct: float) -> float:
    """The % on top of all other dry ingredients that give that share of the dry mix: 20 gives 25.

    UsageError unless 0 <= share < 100: pellet alone is on top of nothing.
    """
    if not 0 <= share_pct < 100:
        raise UsageError(
            f"A share of the dry mix must be 0 % up to under 100 %, not {share_pct:g}."
        )
    return 100 * share_pct / (100 - share_pct)


def steps_in_one(amount: float, unit: str) -> int:
    """In how many steps a kitchen measures one of a unit: g, ml, drops, or eggs beaten together."""
    if unit == "eggs":
        return 100
    return 10 if amount < {"g": FINE_G, "ml": FINE_ML}.get(unit, 0.0) else 1 + (unit == "ml")


def measured(amount: float, unit: str) -> float:
    """An amount (>= 0) as it can be measured: never nothing where there is anything."""
    steps = steps_in_one(amount, unit)
    # The nudge keeps a half that binary fractions put just under itself from rounding down.
    return max(math.floor(amount * steps + 0.5 + 1e-9), 1 if amount > 0 else 0) / steps
