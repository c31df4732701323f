"""The same dose said in other ways: pellet in or on top of the dry mix, attractor per egg,
per kg of dry mix or per bait; and what an egg weighs without its shell.

Scope: pure conversions; shares in %, masses in g, volumes in ml.
"""

from __future__ import annotations

from rodhours.errors import UsageError
from rodhours.kitchen.constants import EGG_CLASSES, SHELL_SHARE


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


def ml_per_kg(ml_per_egg: float, dry_g_per_egg: float) -> float:
    """Attractor per kg of dry mix, where an egg takes up so much dry mix."""
    return ml_per_egg / dry_g_per_egg * 1000


def ml_per_egg(per_kg: float, dry_g_per_egg: float) -> float:
    """Attractor per egg from a dose per kg of dry mix."""
    return per_kg * dry_g_per_egg / 1000


def ml_per_bait(ml_per_egg: float, baits_per_egg: float) -> float:
    """Attractor in one bait, where an egg makes so many."""
    return ml_per_egg / baits_per_egg


def ml_per_egg_from_bait(per_bait: float, baits_per_egg: float) -> float:
    """Attractor per egg from a dose per bait."""
    return per_bait * baits_per_egg


def egg_contents_g(egg_class: str) -> float:
    """What a typical egg of the class (S, M, L, XL) weighs without its shell, g."""
    if egg_class not in EGG_CLASSES:
        raise UsageError(f"Eggs come as {', '.join(EGG_CLASSES)}, not '{egg_class}'.")
    return EGG_CLASSES[egg_class].typical_g * (1 - SHELL_SHARE)
