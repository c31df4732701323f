"""The numbers of a recipe in words: an ingredient's name, its axis, a value, one step of it."""

from __future__ import annotations

from typing import NamedTuple


class _Ingredient(NamedTuple):
    name: str
    axis: str
    unit: str
    more: str
    """What each step is more of; `{}` is `point` or `points` where the unit counts."""


_KNOWN = {
    "pellet_pct": _Ingredient(
        "pellet", "pellet, % of dry weight", " % pellet", "point{} more pellet"
    ),
    "attractor_ml_per_egg": _Ingredient(
        "attractor",
        "attractor, ml per egg",
        " ml of attractor per egg",
        "ml more attractor per egg",
    ),
    "albumen_g_per_kg": _Ingredient(
        "albumen", "albumen, g per kg of dry mix", " g of albumen per kg", "g more albumen per kg"
    ),
    "size_mm": _Ingredient("size", "size, mm", " mm", "mm more in size"),
    "cork_mm": _Ingredient("cork", "cork, mm", " mm of cork", "mm more cork"),
    "age_days": _Ingredient("age of the bait", "age, days", " days", "day{} of age"),
    "boil_s": _Ingredient("boiling time", "boiling, s", " s of boiling", "s more boiling"),
}
_NAMES = {"base_mix": "base mix", **{column: words.name for column, words in _KNOWN.items()}}


def amount(value: float) -> str:
    """A number of the recipe as it would be written down: `20`, `2.5`, `1,200`."""
    text = f"{value:,.6f}".rstrip("0").rstrip(".")
    return text if text not in ("-0", "") else "0"


def name_of(column: str) -> str:
    """The ingredient’s name in a sentence; a column of the angler’s own keeps its name."""
    return _NAMES.get(column, column)


def axis_of(column: str) -> str:
    """The ingredient with its unit, for an axis."""
    return _KNOWN[column].axis if column in _KNOWN else column


def value_of(column: str, value: float) -> str:
    """A value with its unit: `20 % pellet`, `16 mm`, `hardness 3`."""
    if column in _KNOWN:
        return f"{amount(value)}{_KNOWN[column].unit}"
    return f"{column} {amount(value)}"


def step_of(column: str, per: float) -> str:
    """One step in words: `each 10 points more pellet`, `each ml more attractor per egg`."""
    if column not in _KNOWN:
        return f"each {amount(per)} more {column}"
    more = _KNOWN[column].more
    return f"each {more.format('')}" if per == 1 else f"each {amount(per)} {more.format('s')}"
