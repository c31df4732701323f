"""The numbers of the recipes: a value for each variant, the step, and what else differs.

Scope: the frame of recipes alone. Nothing here looks at a catch.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import floor, log10

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.session_model.data import Floats
from rodhours.near import unknown_name

USUAL: dict[str, tuple[str, float]] = {
    "pellet_pct": ("points", 10.0),
    "attractor_ml_per_egg": ("ml per egg", 1.0),
    "size_mm": ("mm", 1.0),
    "cork_mm": ("mm", np.inf),
    "albumen_g_per_kg": ("g per kg", 10.0),
    "boil_s": ("s", 10.0),
}
"""The unit of a column, and the step of its rate ratio where none is asked for."""

FURTHEST = 10.0
"""A step is at most so many times the observed range."""
TOGETHER = 0.95
"""Columns whose correlation over the variants is beyond this cannot be told apart."""


def recipe_table(recipes: pd.DataFrame) -> pd.DataFrame:
    """The frame of recipes by variant; UsageError without that column, or for one named twice."""
    if "variant" not in recipes.columns:
        raise UsageError("The frame of recipes has no column 'variant'.")
    names = recipes["variant"].astype("object")
    twice = names[names.duplicated() & names.notna()]
    if len(twice):
        raise UsageError(f"The variant '{twice.iloc[0]}' has more than one recipe.")
    return recipes[names.notna()].assign(variant=names).set_index("variant")


def numeric_column(table: pd.DataFrame, column: str) -> pd.Series:
    """The column as numbers by variant, NaN where a recipe does not say.

    UsageError where there is no such column, where it holds words, and where it is empty.
    """
    if column not in table.columns:
        usable = [name for name in table.columns if _numbers(table[name]) is not None]
        raise UsageError(unknown_name("recipe column", column, usable))
    numbers = _numbers(table[column])
    if numbers is None:
        raise UsageError(
            f"'{column}' holds words, not numbers, so there is no step to answer for. "
            "Compare the variants that differ in it instead: rodhours compare VARIANT REFERENCE"
        )
    if numbers.isna().all():
        raise UsageError(
            f"No recipe says its '{column}'. Fill it in in the variants table, or import that "
            "table: rodhours import FILE"
        )
    return numbers


def by_stints(stints: pd.DataFrame, column: str) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Stints and recipes in which each number of a column of stints stands as a variant.

    The variant that was fished is in the column `bait`. UsageError for a column of words.
    """
    values = _numbers(stints[column])
    if values is None:
        raise UsageError(f"'{column}' holds words, not numbers, so there is no step to answer for.")
    rows = stints[values.notna()]
    label = values[values.notna()].map("{:g}".format)
    recipes = pd.DataFrame({"variant": label, column: values[values.notna()]})
    return rows.assign(bait=rows["variant"], variant=label), recipes.drop_duplicates("variant")


def columns_that_differ(recipes: pd.DataFrame) -> list[str]:
    """The columns of the frame of recipes that are numbers and not the same on every variant."""
    found = []
    for name in recipes.columns.drop("variant"):
        numbers = _numbers(recipes[name])
        if numbers is not None and numbers.nunique() > 1:
            found.append(str(name))
    return found


def _numbers(values: pd.Series) -> pd.Series | None:
    """The values as floats; None where one is no finite number (empty ones are NaN)."""
    numbers = pd.to_numeric(values, errors="coerce").astype("float64")
    bad = (numbers.isna() & values.notna()) | np.isinf(numbers)
    return None if bad.any() else numbers


def step_of(column: str, values: Sequence[float], per: float | None) -> tuple[float, bool]:
    """The step, and whether it was chosen here from the range of the values.

    The usual step of the column, unless the range is shorter than that. A chosen step is the
    largest of 1, 2 and 5 times a power of ten within half the range. UsageError for a step that
    is not above 0, or longer than 10 times the range.
    """
    span = max(values) - min(values)
    if per is not None:
        if not (np.isfinite(per) and per > 0):
            raise UsageError(f"The step is a number above 0, such as --per 10, not {per:g}.")
        if per > FURTHEST * span:
            raise UsageError(
                f"A step of {per:g} goes far beyond what was fished: '{column}' went from "
                f"{min(values):g} to {max(values):g}. Take a smaller --per."
            )
        return float(per), False
    _, usual = USUAL.get(column, (None, np.inf))
    if usual <= span:
        return usual, False
    half = span / 2.0
    power = 10.0 ** floor(log10(half))
    # The small allowance keeps a half of 0.3 - 0.1 from counting as less than 0.1.
    return max(one * power for one in (1.0, 2.0, 5.0) if one * power <= half * (1 + 1e-9)), True


def other_columns(
    table: pd.DataFrame, column: str, variants: Sequence[str], rod_hours: Floats
) -> tuple[list[tuple[str, float | None]], list[str]]:
    """Which other recipe columns move with this one, each with its correlation (None for texts),
    and which else are not the same on every variant.

    `rod_hours` are the weights of the variants. Numbers move together where their correlation is
    beyond 0.95; words where each word goes with one value and each value with one word. Only
    recipes that fill the other column in are looked at.
    """
    own: Floats = table.loc[list(variants), column].to_numpy(dtype=np.float64)
    together: list[tuple[str, float | None]] = []
    different: list[str] = []
    for name in table.columns:
        if name == column:
            continue
        other = table.loc[list(variants), name]
        filled = other.notna().to_numpy()
        if other[filled].nunique() < 2:
            continue
        numbers = _numbers(other[filled])
        if numbers is not None:
            found = _correlation(own[filled], numbers.to_numpy(dtype=np.float64), rod_hours[filled])
            moves = found is not None and abs(found) > TOGETHER
        else:
            found, moves = None, _one_to_one(own[filled], other[filled])
        if moves:
            together.append((str(name), found))
        else:
            different.append(str(name))
    return together, different


def _correlation(one: Floats, other: Floats, weight: Floats) -> float | None:
    """Weighted correlation; None where one of the two does not vary."""
    one, other = (values - np.average(values, weights=weight) for values in (one, other))
    size = float(np.sqrt((weight @ one**2) * (weight @ other**2)))
    return float(weight @ (one * other)) / size if size > 0 else None


def _one_to_one(own: Floats, words: pd.Series) -> bool:
    pairs = pd.DataFrame({"own": own, "words": words.to_numpy()}).drop_duplicates()
    return bool(pairs["own"].nunique() == len(pairs) == pairs["words"].nunique())
