"""What differs between two recipes: one thing, as a fair comparison has it, or several.

Pure functions of the frame of recipes (one row a variant: variant and its recipe columns).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.result import Note

NO_INGREDIENT = frozenset({"variant", "notes"})
"""Columns of the table of variants that say nothing of what is in a bait or how it is made."""
CLOSE = 1e-9
"""Numbers nearer to each other than this, relatively, are the same number."""

Value = str | float | None


@dataclass(frozen=True)
class Difference:
    """One recipe column in which two variants differ, each with its value there."""

    column: str
    variant: Value
    reference: Value

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        return {"column": self.column, "variant": self.variant, "reference": self.reference}


@dataclass(frozen=True)
class RecipeRow:
    """One recipe column laid side by side.

    `values` are in the order of the variants, None where not recorded. `differs` where two
    recorded values differ; `unsure` where some but not all are recorded.
    """

    column: str
    values: tuple[Value, ...]
    differs: bool
    unsure: bool


@dataclass(frozen=True)
class RecipePair:
    """Two recipes held against each other; `not_told` are columns that only one fills in."""

    variant: str
    reference: str
    differences: tuple[Difference, ...]
    not_told: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        return {
            "variant": self.variant,
            "reference": self.reference,
            "differences": [one.to_dict() for one in self.differences],
            "not_recorded_by_both": list(self.not_told),
            "more_than_one": len(self.differences) > 1,
        }


def recipe_pair(recipes: pd.DataFrame, variant: str, reference: str) -> RecipePair:
    """What two recipes differ in, and what cannot be told.

    UsageError where one of the two has no recipe, or more than one.
    """
    rows = side_by_side(recipes, (variant, reference))
    return RecipePair(
        variant,
        reference,
        tuple(Difference(row.column, row.values[0], row.values[1]) for row in rows if row.differs),
        tuple(row.column for row in rows if row.unsure),
    )


def recipe_differences(recipes: pd.DataFrame, a: str, b: str) -> tuple[Difference, ...]:
    """The columns in which `a` and `b` differ for certain, in the order of the frame.

    An empty cell means not recorded, so it differs from nothing. UsageError where one of the
    two has no recipe, or more than one.
    """
    return recipe_pair(recipes, a, b).differences


def side_by_side(recipes: pd.DataFrame, variants: Sequence[str]) -> tuple[RecipeRow, ...]:
    """Every recipe column that at least one of the variants fills in, in the frame's order.

    UsageError where one of the variants has no recipe, or more than one.
    """
    known = recipes["variant"].astype("object")
    places = []
    for variant in variants:
        found = [place for place, label in enumerate(known) if label == variant]
        if not found:
            had = ", ".join(str(label) for label in known) or "none"
            raise UsageError(f"There is no recipe for '{variant}' (recipes there are: {had}).")
        if len(found) > 1:
            raise UsageError(f"The variant '{variant}' has more than one recipe.")
        places.append(found[0])
    rows = []
    for column in recipes.columns:
        if column in NO_INGREDIENT:
            continue
        values = tuple(_value(recipes[column].iloc[place]) for place in places)
        filled = [value for value in values if value is not None]
        if not filled:
            continue
        differs = any(not _same(filled[0], other) for other in filled[1:])
        rows.append(RecipeRow(str(column), values, differs, len(filled) < len(values)))
    return tuple(rows)


def recipe_notes(
    recipes: pd.DataFrame, variants: Sequence[str], reference: str
) -> tuple[Note, ...]:
    """A note `recipes_differ` for each variant that differs from the reference in more than one.

    Numbers: `columns`, each with its name and the two values. Silent about variants without a
    recipe: nothing is known of them.
    """
    known = list(recipes["variant"])
    notes = []
    for variant in variants:
        if variant == reference or known.count(variant) != 1 or known.count(reference) != 1:
            continue
        differences = recipe_differences(recipes, variant, reference)
        if len(differences) > 1:
            columns = [one.to_dict() for one in differences]
            notes.append(Note("recipes_differ", variant, "caution", {"columns": columns}))
    return tuple(notes)


def _value(cell: Any) -> Value:
    """A cell as a text or a number; None where it is empty."""
    if cell is None or cell is pd.NA or (isinstance(cell, float) and math.isnan(cell)):
        return None
    if isinstance(cell, str):
        return cell.strip() or None
    return float(cell)


def _same(one: str | float, other: str | float) -> bool:
    """Texts but for capitals and spacing; numbers as numbers, written as texts or not."""
    first, second = _number(one), _number(other)
    if first is not None and second is not None:
        return math.isclose(first, second, rel_tol=CLOSE, abs_tol=CLOSE)
    return " ".join(str(one).casefold().split()) == " ".join(str(other).casefold().split())


def _number(value: str | float) -> float | None:
    try:
        found = float(value)
    except ValueError:
        return None
    return found if math.isfinite(found) else None
