"""A recipe as a mixing sheet needs it, from its row of the variants table.

A figure that the row does not have is a stated default with its origin, or an error that names
the column to fill; an empty cell is never taken for none.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from rodhours.errors import UsageError
from rodhours.kitchen.amounts import Origin, Stated
from rodhours.kitchen.lift import PASTE_DENSITY, check_bait

# Common practice, no source.
ATTRACTOR_ML_PER_EGG = Stated(3.5, Origin.PRACTICE)
"""The middle of 3 to 4 ml in a one-egg mix."""
PRACTICE_CORK_MM = 12.0
SIZE_OVER_12_MM_CORK = Stated(15.5, Origin.PRACTICE)
"""The middle of 15 to 16 mm over a 12 mm cork ball."""
BOIL_S = Stated(105.0, Origin.PRACTICE)
"""The middle of 90 to 120 s."""
DRYING_DAYS = Stated(2.0, Origin.PRACTICE)


@dataclass(frozen=True)
class Recipe:
    """One recipe: shares by weight of the finished dry mix, doses, sizes and handling.

    `albumen_g_per_kg` is None where the recipe does not say.
    """

    variant: str
    base_mix: str | None
    pellet_pct: Stated
    attractor_ml_per_egg: Stated
    albumen_g_per_kg: Stated | None
    cork_mm: Stated
    size_mm: Stated
    boil_s: Stated
    drying_days: Stated


def recipe_of(
    row: Mapping[str, Any], size_mm: float | None = None, cork_mm: float | None = None
) -> Recipe:
    """The recipe in a row of the variants frame; `size_mm` and `cork_mm` go before the row's.

    `drying_days` is read where the table has such a column. UsageError names what is missing or
    does not go together.
    """
    variant = str(row["variant"])
    pellet = _cell(row, "pellet_pct")
    if pellet is None:
        raise _fill(variant, "pellet_pct", "0 where there is no pellet in it")
    cork = _chosen(row, "cork_mm", cork_mm)
    if cork is None:
        raise _fill(variant, "cork_mm", "0 where there is no cork in it, or give --cork-mm")
    size = _chosen(row, "size_mm", size_mm)
    if size is None and cork.value == PRACTICE_CORK_MM:
        size = SIZE_OVER_12_MM_CORK
    if size is None:
        raise _fill(variant, "size_mm", "or give --size-mm")
    check_bait(size.value, cork.value, PASTE_DENSITY.value)
    albumen = _cell(row, "albumen_g_per_kg")
    named = pellet.value / 100 + (0.0 if albumen is None else albumen.value / 1000)
    if named > 1:
        raise UsageError(
            f"Pellet and egg-white powder of '{variant}' come to more than the whole dry mix: "
            "check pellet_pct and albumen_g_per_kg in the variants table."
        )
    base = row.get("base_mix")
    return Recipe(
        variant,
        base if isinstance(base, str) else None,
        pellet,
        _cell(row, "attractor_ml_per_egg") or ATTRACTOR_ML_PER_EGG,
        albumen,
        cork,
        size,
        _cell(row, "boil_s") or BOIL_S,
        _cell(row, "drying_days") or DRYING_DAYS,
    )


def _cell(row: Mapping[str, Any], column: str) -> Stated | None:
    value = row.get(column)
    try:
        number = math.nan if value is None else float(value)
    except (TypeError, ValueError):
        return None
    return Stated(number, Origin.RECIPE) if math.isfinite(number) else None


def _chosen(row: Mapping[str, Any], column: str, asked: float | None) -> Stated | None:
    return _cell(row, column) if asked is None else Stated(asked, Origin.ASKED)


def _fill(variant: str, column: str, how: str) -> UsageError:
    return UsageError(
        f"The recipe of '{variant}' does not say {column}: fill that column of the variants table "
        f"({how}) and import it again."
    )
