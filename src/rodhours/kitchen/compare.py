"""What differs: between recipes, in lift, and between a batch as made and its recipe.

A fair comparison differs in one thing. Pure functions of the frame of recipes (one row a variant:
variant and its recipe columns).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from itertools import combinations
from typing import Any, ClassVar

import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.result import CAUTION, Note, Result
from rodhours.kitchen.amounts import Stated, steps_in_one
from rodhours.kitchen.lift import SIZE_TOLERANCE_MM, Lift, lift_known
from rodhours.kitchen.recipe import ingredients_of

NO_INGREDIENT = frozenset({"variant", "notes"})
"""Columns of the table of variants that say nothing of what is in a bait or how it is made."""
CLOSE = 1e-9
"""Numbers nearer to each other than this, relatively, are the same number."""
WEIGHED = {
    "pellet_pct": ("pellet_g", "dry_g", "g", 100.0, 1.0),
    "attractor_ml_per_egg": ("attractor_ml", "eggs", "ml", 1.0, 0.5),
    "albumen_g_per_kg": ("albumen_g", "dry_g", "g", 1000.0, 5.0),
}
"""Of what the ledger has: the part, the whole, the part's unit, the column's figure for a rate of
1, and how far from its recipe a batch may be."""
WITHIN = {"boil_s": 10.0, "size_mm": SIZE_TOLERANCE_MM}
"""How far off in other columns. What kitchen scales, spoons and clocks are good for: a judgement
of this project, no source."""

Value = str | float | None


@dataclass(frozen=True)
class Difference:
    """One recipe column in which two variants differ, each with its value there."""

    column: str
    variant: Value
    reference: Value


@dataclass(frozen=True)
class RecipeColumn:
    """One recipe column of all variants; a value is None where it is not recorded."""

    column: str
    values: Mapping[str, Value]
    differs: bool
    not_recorded_by_all: bool


@dataclass(frozen=True)
class RecipePair:
    """Two recipes held against each other, and the columns that only one of them fills in."""

    variant: str
    reference: str
    differences: tuple[Difference, ...]
    not_recorded_by_both: tuple[str, ...]
    more_than_one: bool


@dataclass(frozen=True, repr=False)
class RecipesCompared(Result):
    """Recipes side by side, what each pair differs in, and variants fished without a recipe."""

    variants: tuple[str, ...]
    columns: tuple[RecipeColumn, ...]
    pairs: tuple[RecipePair, ...]
    without_recipe: tuple[str, ...]

    KEYS: ClassVar[tuple[str, ...]] = ("variants", "columns", "pairs", "without_recipe")


def compare_recipes(
    recipes: pd.DataFrame,
    variant: str | None = None,
    reference: str | None = None,
    fished: Collection[str] = (),
) -> RecipesCompared:
    """A variant held against a reference; without one all recipes, each held against the reference
    where it has a recipe, else each against each. `fished` are the variants of the log.

    UsageError where there is no such recipe, and for a variant with nothing to hold it against.
    """
    known = [str(label) for label in recipes["variant"]]
    if not known:
        raise UsageError(
            "The logbook holds no recipe yet. Fill in a variants table and import it: "
            "rodhours import FILE"
        )
    if variant is None:
        shown = known
        pairs = [(later, first) for first, later in combinations(known, 2)]
        if reference in known:
            pairs = [(label, reference) for label in known if label != reference]
    elif reference is None or reference == variant:
        raise UsageError(
            f"Name the variant to hold {variant} against: rodhours recipes {variant} REFERENCE"
        )
    else:
        shown, pairs = [variant, reference], [(variant, reference)]
    return RecipesCompared(
        tuple(shown),
        side_by_side(recipes, shown),
        tuple(recipe_pair(recipes, one, other) for one, other in pairs),
        tuple(sorted(set(fished) - set(known))),
    )


def recipe_pair(recipes: pd.DataFrame, variant: str, reference: str) -> RecipePair:
    """What two recipes differ in for certain, in the order of the frame, and what cannot be told.

    An empty cell means not recorded, so it differs from nothing. UsageError where one of the two
    has no recipe, or more than one.
    """
    columns = side_by_side(recipes, (variant, reference))
    differences = tuple(
        Difference(each.column, each.values[variant], each.values[reference])
        for each in columns
        if each.differs
    )
    unsure = tuple(each.column for each in columns if each.not_recorded_by_all)
    return RecipePair(variant, reference, differences, unsure, len(differences) > 1)


def side_by_side(recipes: pd.DataFrame, variants: Sequence[str]) -> tuple[RecipeColumn, ...]:
    """Every recipe column that at least one of the variants fills in, in the frame's order.

    UsageError where one of the variants has no recipe, or more than one.
    """
    known = list(recipes["variant"].astype("object"))
    for variant in variants:
        if variant not in known:
            had = ", ".join(str(label) for label in known) or "none"
            raise UsageError(f"There is no recipe for '{variant}' (recipes there are: {had}).")
        if known.count(variant) > 1:
            raise UsageError(f"The variant '{variant}' has more than one recipe.")
    columns = []
    for column in recipes.columns:
        if column in NO_INGREDIENT:
            continue
        cells = recipes[column]
        values = {variant: _value(cells.iloc[known.index(variant)]) for variant in variants}
        filled = [value for value in values.values() if value is not None]
        if filled:
            differs = any(not _same(filled[0], other) for other in filled[1:])
            columns.append(RecipeColumn(str(column), values, differs, len(filled) < len(values)))
    return tuple(columns)


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
        pair = recipe_pair(recipes, variant, reference)
        if pair.more_than_one:
            columns = [asdict(difference) for difference in pair.differences]
            notes.append(Note("recipes_differ", variant, CAUTION, {"columns": columns}))
    return tuple(notes)


def lift_notes(
    recipes: pd.DataFrame,
    variants: Sequence[str],
    reference: str,
    paste: Mapping[str, Stated] | None = None,
) -> tuple[Note, ...]:
    """A note `lift_differs` for each variant whose typical lift is not the reference's.

    Cork is taken alike for all, paste at the density measured of each bait (`paste`, kg/m³) where
    both have one, else alike too, so that a difference comes from the two diameters alone.
    Numbers: `lift_g` and `reference_lift_g`, `difference_g` (variant less reference), the
    `tolerance_g` it is beyond (what `tolerance_mm` of making tolerance does to either bait).
    Silent where a recipe lacks a diameter, or says such as no bait has.
    """
    measured, notes = paste or {}, []
    rows = recipes.drop_duplicates("variant", keep=False).set_index("variant")

    def known(label: str, of: Mapping[str, Stated]) -> Lift | None:
        row = rows.loc[label] if label in rows.index else {}
        return lift_known(row.get("size_mm"), row.get("cork_mm"), of.get(label))

    for variant in variants:
        each = measured if {variant, reference} <= measured.keys() else {}
        own, bait = known(reference, each), known(variant, each)
        if variant == reference or bait is None or own is None:
            continue
        lifts = bait.lift_g.typical, own.lift_g.typical
        numbers = {
            "lift_g": lifts[0],
            "reference_lift_g": lifts[1],
            "difference_g": lifts[0] - lifts[1],
            "tolerance_g": max(bait.from_size_g, own.from_size_g),
            "tolerance_mm": SIZE_TOLERANCE_MM,
        }
        if abs(numbers["difference_g"]) > numbers["tolerance_g"]:
            notes.append(Note("lift_differs", variant, CAUTION, numbers))
    return tuple(notes)


@dataclass(frozen=True)
class OffRecipe:
    """A recipe column in which a batch is off by more than the tolerance, `as_made` and asked."""

    column: str
    as_made: float
    recipe: float


def off_recipe(batch: Mapping[Any, Any], recipe: Mapping[Any, Any]) -> tuple[OffRecipe, ...]:
    """The columns in which a batch is off its recipe; what one of the two lacks is left out.

    Both are rows of their tables, by the names of the columns. Shares are of the dry mix, doses
    of the eggs, size is the mean of the diameters measured. Beyond the tolerance a batch may be
    off by one step of scales and syringe in either of two amounts: a small one by more.
    """
    asked = {one.name: one.rate for one in ingredients_of(recipe)} if recipe else {}
    off = []
    for column, (part, whole, unit, times, within) in WEIGHED.items():
        amount, of = _number(batch.get(part)), _number(batch.get(whole))
        rate = asked.get(part.rsplit("_", 1)[0])
        if amount is None or of is None or of <= 0 or rate is None:
            continue
        step = 1 / steps_in_one(amount, unit)
        step += rate / steps_in_one(of, "eggs" if whole == "eggs" else "g")
        # A hair's breadth more, so that a batch right at the tolerance is not off by rounding.
        if abs(amount - rate * of) > (within / times * of + step) * (1 + 1e-9):
            off.append(OffRecipe(column, times * amount / of, times * rate))
    sizes = batch.get("diameters_mm") or ()
    made = {"boil_s": batch.get("boil_s"), "size_mm": sum(sizes) / len(sizes) if sizes else None}
    for column, cell in made.items():
        as_made, wanted = _number(cell), _number(recipe.get(column))
        if as_made is None or wanted is None:
            continue
        if abs(as_made - wanted) > WITHIN[column] * (1 + 1e-9):
            off.append(OffRecipe(column, as_made, wanted))
    return tuple(off)


def off_recipe_batches(
    batches: pd.DataFrame, recipes: pd.DataFrame
) -> dict[tuple[str, str], tuple[OffRecipe, ...]]:
    """What each batch is off its recipe in, by its code and its variant; those that are alone."""
    known = {row["variant"]: row for row in recipes.to_dict("records")}
    made = {
        (str(row["batch"]), str(row["variant"])): off_recipe(row, known.get(row["variant"], {}))
        for row in batches.to_dict("records")
    }
    return {of: off for of, off in made.items() if off}


def _value(cell: Any) -> Value:
    """A cell as a text or a number; None where it is empty."""
    if isinstance(cell, str):
        return cell.strip() or None
    return None if pd.isna(cell) else float(cell)


def _same(value: str | float, other: str | float) -> bool:
    """Texts but for capitals and spacing; numbers as numbers, written as texts or not."""
    first, second = _number(value), _number(other)
    if first is not None and second is not None:
        return math.isclose(first, second, rel_tol=CLOSE, abs_tol=CLOSE)
    return str(value).casefold().split() == str(other).casefold().split()


def _number(cell: Any) -> float | None:
    """A cell as a finite number; None for words and where nothing is recorded."""
    with suppress(TypeError, ValueError):
        number = float(cell)
        return number if math.isfinite(number) else None
    return None
