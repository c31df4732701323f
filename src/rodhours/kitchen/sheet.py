"""The mixing sheet: every quantity of a batch as it is weighed, with where it comes from.

Rounded parts of the dry mix still add up to the rounded whole within a gram.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rodhours.evidence.result import Result
from rodhours.kitchen.amounts import Origin, measured
from rodhours.kitchen.batch import DRY_MIX, EGGS, Batch
from rodhours.kitchen.lift import Lift
from rodhours.kitchen.recipe import BASE, DRY, EGG, Ingredient

# Common practice, no source.
MOST_BAITS_IN_A_LOAD = 35
"""30 to 35 baits boil together without taking the water off the boil."""
MOST_BAITS_IN_A_PORTION = 40
"""Paste is frozen in balls of 30 to 40 baits' worth."""


@dataclass(frozen=True)
class Quantity:
    """One line of the sheet: `amount` is rounded, `origins` says where it comes from.

    `code` is the column of an ingredient, or what else the line is about;
    `baits` is for how many baits a load or portion is.
    """

    code: str
    amount: float
    unit: str
    origins: tuple[Origin, ...]
    baits: int | None = None


@dataclass(frozen=True, repr=False)
class MixingSheet(Result):
    """One variant's sheet: the batch, its lines, and the lift of a bait.

    Its machine form names the lines and has the cautions, so it is made in the words.
    """

    batch: Batch
    lift: Lift
    quantities: tuple[Quantity, ...]

    @property
    def variant(self) -> str:
        """The label of the variant."""
        return self.batch.recipe.variant


def mixing_sheet(batch: Batch, lift: Lift) -> MixingSheet:
    """The sheet of a batch whose baits have that lift."""
    recipe, egg, density = batch.recipe, batch.egg, batch.paste_density.origin
    size, cork = recipe.size_mm.origin, recipe.cork_mm
    takes_up, ask = egg.dry_g.origin, batch.asked.what
    # Where the size of the whole batch comes from, and its eggs.
    scaled = {DRY_MIX: [Origin.ASKED], EGGS: [takes_up]}.get(
        ask, [Origin.GEOMETRY, size, density, takes_up]
    )
    counted = [Origin.ASKED] if ask == EGGS else [takes_up, *scaled]
    of_bait = Origin.GEOMETRY, size, cork.origin, density
    lines: list[Quantity] = []

    def add(
        code: str, amount: float, unit: str, *origins: Origin, baits: int | None = None
    ) -> None:
        lines.append(
            Quantity(code, amount, unit, tuple(one for one in Origin if one in origins), baits)
        )

    def grams(code: str, amount: float, *origins: Origin, baits: int | None = None) -> None:
        add(code, measured(amount, "g"), "g", *origins, baits=baits)

    def weigh(parts: list[Ingredient]) -> None:
        for one in parts:
            of = counted if one.of == EGG else scaled
            add(one.column, measured(batch.amount(one), one.unit), one.unit, Origin.RECIPE, *of)

    solid = [one for one in recipe.ingredients if one.unit == "g"]
    dry = [one for one in solid if one.of == DRY]
    grams("dry_mix", batch.dry_g, *scaled)
    rest = measured(batch.dry_g, "g") - sum(measured(batch.amount(one), "g") for one in dry)
    grams("base_mix", max(0.0, rest) if batch.base_g else 0.0, Origin.RECIPE, *scaled)
    weigh([one for one in solid if one.of == BASE])
    weigh(dry)
    used = measured(batch.eggs, "eggs")
    add("eggs", math.ceil(used), "eggs", *counted)
    if used < math.ceil(used):
        add("eggs_used", used, "eggs", *counted)
    grams("beaten_egg", batch.egg_g, egg.contents_g.origin, *counted)
    weigh([one for one in recipe.ingredients if one.unit != "g"])
    if cork.value:
        add("corks", batch.baits, "corks", cork.origin)
    grams("paste", batch.paste_g, *scaled, takes_up, egg.contents_g.origin)
    # Small scales show hundredths; a bait's worth is otherwise weighed ten at a time.
    add("paste_a_bait", round(batch.paste_per_bait_g, 2), "g", *of_bait)
    grams("paste_ten_baits", 10 * batch.paste_per_bait_g, *of_bait)
    portions, most = loads(batch.baits, MOST_BAITS_IN_A_PORTION)
    add("portions", portions, "portions", Origin.PRACTICE)
    grams("paste_a_portion", most * batch.paste_per_bait_g, *of_bait, baits=most)
    boils, most = loads(batch.baits, MOST_BAITS_IN_A_LOAD)
    add("loads", boils, "loads", Origin.PRACTICE, baits=most)
    add("boiling", recipe.boil_s.value, "s", recipe.boil_s.origin)
    add("drying", recipe.drying_days.value, "days", recipe.drying_days.origin)
    return MixingSheet(batch, lift, tuple(lines))


def loads(baits: int, most: int) -> tuple[int, int]:
    """The fewest equal lots of at most so many baits: how many, and the most in one."""
    lots = math.ceil(baits / most)
    return lots, math.ceil(baits / lots)
