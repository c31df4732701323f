"""A recipe as a mixing sheet needs it, from its row of the variants table.

What a column's name ends in says how its ingredient is reckoned, the same for all of them. A
filled cell is weighed, handled or listed, an empty one never taken for none.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from rodhours.errors import UsageError
from rodhours.kitchen.amounts import Origin, Stated
from rodhours.kitchen.lift import PASTE_DENSITY, check_bait

# Common practice, no source.
BOIL_S = Stated(105.0, Origin.PRACTICE)
"""The middle of 90 to 120 s."""
DRYING_DAYS = Stated(2.0, Origin.PRACTICE)

DRY, BASE, EGG = "dry mix", "base mix", "egg"
ENDINGS = {
    "_pct": ("g", DRY, 0.01),
    "_pct_on_top": ("g", DRY, 0.01),
    "_g_per_kg": ("g", DRY, 0.001),
    "_ml_per_kg": ("ml", DRY, 0.001),
    "_ml_per_egg": ("ml", EGG, 1.0),
    "_drops_per_egg": ("drops", EGG, 1.0),
}
"""What a column's name ends in: the unit weighed in, of what, and a dose of 1 as a rate of it."""
ON_TOP = "_pct_on_top"
SPOKEN_FOR = ("variant", "base_mix", "cork_mm", "size_mm", "boil_s", "drying_days")
"""Columns that have a place of their own on the sheet."""


@dataclass(frozen=True)
class Ingredient:
    """One ingredient: so many of `unit` to each g of dry mix or base mix, or to each egg.

    `dose` is the cell of its column. Grams of the dry mix are part of it, those of the base mix
    part of that; ml and drops come on top.
    """

    column: str
    name: str
    dose: float
    unit: str
    of: str
    rate: float


@dataclass(frozen=True)
class Recipe:
    """One recipe: ingredients, sizes, handling, and what of its row is in none of these.

    `unreckoned` are filled cells by column; `unrecorded` are the columns of ingredients that
    the recipe leaves empty.
    """

    variant: str
    base_mix: str | None
    ingredients: tuple[Ingredient, ...]
    unreckoned: Mapping[str, str]
    unrecorded: tuple[str, ...]
    cork_mm: Stated
    size_mm: Stated
    boil_s: Stated
    drying_days: Stated

    @property
    def base_share(self) -> float:
        """The base mix as a share of the dry mix, 0 to 1: what the other dry ingredients leave."""
        named = sum(one.rate for one in self.ingredients if (one.unit, one.of) == ("g", DRY))
        return max(0.0, 1 - named) if named < 1 - 1e-9 else 0.0


def recipe_of(
    row: Mapping[str, Any], size_mm: float | None = None, cork_mm: float | None = None
) -> Recipe:
    """The recipe in a row of the variants frame; `size_mm` and `cork_mm` go before the row's.

    UsageError names what is missing or does not go together.
    """
    variant = str(row["variant"])
    ingredients = ingredients_of(row)
    _check_shares(variant, ingredients)
    if not any(one.name == "pellet" for one in ingredients):
        raise _fill(variant, "pellet_pct", "0 where there is no pellet in it")
    cork = _chosen(row, "cork_mm", cork_mm)
    if cork is None:
        raise _fill(variant, "cork_mm", "0 where there is no cork in it, or give --cork-mm")
    size = _chosen(row, "size_mm", size_mm)
    if size is None:
        raise _fill(variant, "size_mm", "or give --size-mm")
    check_bait(size.value, cork.value, PASTE_DENSITY.value)
    reckoned = {one.column for one in ingredients}
    left = [name for name in map(str, row) if name not in (*SPOKEN_FOR, *reckoned)]
    base = row.get("base_mix")
    return Recipe(
        variant,
        base if isinstance(base, str) else None,
        ingredients,
        {name: _text(row[name]) for name in left if not _is_empty(row[name])},
        tuple(
            name for name in left if _is_empty(row[name]) and _ending(name) and name != "pellet_pct"
        ),
        cork,
        size,
        _cell(row, "boil_s") or BOIL_S,
        _cell(row, "drying_days") or DRYING_DAYS,
    )


def ingredients_of(row: Mapping[Any, Any]) -> tuple[Ingredient, ...]:
    """Every ingredient whose cell holds a number, in the order of the row.

    What is added on top comes on top of everything else in the dry mix: of shares p on top, each
    is p / (100 + all of them) of the finished mix. UsageError for less than nothing.
    """
    doses = {
        str(name): stated.value
        for name in row
        if _ending(str(name)) and (stated := _cell(row, name)) is not None
    }
    below = [name for name, dose in doses.items() if dose < 0]
    if below:
        raise UsageError(f"'{row['variant']}' has {below[0]} {doses[below[0]]:g}: below 0.")
    on_top = sum(dose for name, dose in doses.items() if _ending(name) == ON_TOP)
    found = []
    for column, dose in doses.items():
        ending = str(_ending(column))
        unit, of, rate = ENDINGS[ending]
        name = column.removesuffix(ending)
        if ending == "_pct" and re.match("base_(?!mix$)", name):
            name, of = name.removeprefix("base_"), BASE
        if ending == ON_TOP:
            rate = 1 / (100 + on_top)
        found.append(Ingredient(column, name.replace("_", " "), dose, unit, of, dose * rate))
    return tuple(found)


def _check_shares(variant: str, ingredients: tuple[Ingredient, ...]) -> None:
    """UsageError where parts are more than their whole, or an ingredient is there twice."""
    for whole in (DRY, BASE):
        parts = [one for one in ingredients if (one.unit, one.of) == ("g", whole)]
        share = sum(one.rate for one in parts)
        if share > 1 + 1e-9:
            raise UsageError(
                f"The parts of the {whole} of '{variant}' come to {100 * share:.4g} %, more than "
                f"the whole of it: check {', '.join(one.column for one in parts)} in the variants "
                "table."
            )
        for name, times in Counter(one.name for one in parts).items():
            if times > 1:
                twice = " and ".join(one.column for one in parts if one.name == name)
                raise UsageError(f"'{variant}' has {name} in both {twice}: fill one of them.")


def _ending(column: str) -> str | None:
    """How the ingredient of a column is reckoned; None where the column is no ingredient."""
    return next((end for end in ENDINGS if column.endswith(end) and column != end), None)


def _is_empty(value: Any) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def _text(value: Any) -> str:
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _cell(row: Mapping[Any, Any], column: str) -> Stated | None:
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
