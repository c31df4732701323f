"""Did a batch come out as its recipe says? Quantities as weighed against the recipe's figures.

Pure functions of one batch and one recipe, as mappings under the names of their tables. A batch
off its recipe differs from the other variants in more than what is tested.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rodhours.kitchen.constants import SIZE_TOLERANCE_MM

WITHIN = {
    "pellet_pct": 1.0,
    "attractor_ml_per_egg": 0.5,
    "albumen_g_per_kg": 5.0,
    "boil_s": 10.0,
    "size_mm": SIZE_TOLERANCE_MM,
}
"""How far from its recipe a batch may be in each column's unit: what kitchen scales, spoons and
clocks are good for. A judgement of this project, no source."""


@dataclass(frozen=True)
class OffRecipe:
    """A recipe column in which a batch is off by more than the tolerance, `as_made` and asked."""

    column: str
    as_made: float
    recipe: float


def off_recipe(batch: Mapping[Any, Any], recipe: Mapping[Any, Any]) -> tuple[OffRecipe, ...]:
    """The columns in which a batch is off its recipe; what one of the two lacks is left out.

    Pellet is compared as % of the dry mix, attractor as ml per egg, egg white as g per kg of dry
    mix, size as the mean of the diameters measured.
    """
    made = {
        "pellet_pct": _per(batch.get("pellet_g"), batch.get("dry_g"), 100.0),
        "attractor_ml_per_egg": _per(batch.get("attractor_ml"), batch.get("eggs"), 1.0),
        "albumen_g_per_kg": _per(batch.get("albumen_g"), batch.get("dry_g"), 1000.0),
        "boil_s": _number(batch.get("boil_s")),
        "size_mm": _mean(batch.get("diameters_mm") or ()),
    }
    found = []
    for column, as_made in made.items():
        asked = _number(recipe.get(column))
        # A hair's breadth more, so that a batch right at the tolerance is not off by rounding.
        if (
            as_made is not None
            and asked is not None
            and abs(as_made - asked) > WITHIN[column] * (1 + 1e-9)
        ):
            found.append(OffRecipe(column, as_made, asked))
    return tuple(found)


def _number(value: Any) -> float | None:
    if not isinstance(value, (int, float)) or not math.isfinite(value):
        return None
    return float(value)


def _per(part: Any, whole: Any, times: float) -> float | None:
    one, other = _number(part), _number(whole)
    return None if one is None or other is None or other <= 0 else times * one / other


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if len(values) else None
