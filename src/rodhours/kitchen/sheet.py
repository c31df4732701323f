"""The mixing sheet: every quantity of a batch as it is weighed, with where it comes from.

Rounded parts of the dry mix still add up to the rounded whole within a gram.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

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
    quantities = (*_dry(batch), *_wet(batch), *_paste(batch), *_handling(batch))
    return MixingSheet(batch, lift, quantities)


def loads(baits: int, most: int) -> tuple[int, int]:
    """The fewest equal lots of at most so many baits: how many, and the most in one."""
    lots = math.ceil(baits / most)
    return lots, math.ceil(baits / lots)


def _origins(*several: Origin) -> tuple[Origin, ...]:
    """Each once, in the order in which they are declared."""
    return tuple(origin for origin in Origin if origin in several)


def _scaled(batch: Batch) -> tuple[Origin, ...]:
    """Where the size of the whole batch comes from."""
    if batch.asked.what == DRY_MIX:
        return (Origin.ASKED,)
    takes_up = batch.egg.dry_g.origin
    if batch.asked.what == EGGS:
        return (takes_up,)
    size = batch.recipe.size_mm.origin
    return _origins(Origin.GEOMETRY, size, batch.paste_density.origin, takes_up)


def _part(batch: Batch, one: Ingredient, *origins: Origin) -> Quantity:
    amount = measured(batch.amount(one), one.unit)
    return Quantity(one.column, amount, one.unit, _origins(Origin.RECIPE, *origins))


def _grams(code: str, grams: float, *origins: Origin, baits: int | None = None) -> Quantity:
    return Quantity(code, measured(grams, "g"), "g", _origins(*origins), baits)


def _dry(batch: Batch) -> list[Quantity]:
    scaled = _scaled(batch)
    whole = _grams("dry_mix", batch.dry_g, *scaled)
    of = {name: [one for one in batch.recipe.ingredients if one.of == name] for name in (DRY, BASE)}
    parts = [_part(batch, one, *scaled) for one in of[DRY] if one.unit == "g"]
    rest = max(0.0, whole.amount - sum(part.amount for part in parts)) if batch.base_g else 0.0
    base = _grams("base_mix", rest, Origin.RECIPE, *scaled)
    return [whole, base, *(_part(batch, one, *scaled) for one in of[BASE]), *parts]


def _wet(batch: Batch) -> list[Quantity]:
    egg, scaled = batch.egg, _scaled(batch)
    counted = (Origin.ASKED,) if batch.asked.what == EGGS else (egg.dry_g.origin, *scaled)
    used = Quantity("eggs_used", measured(batch.eggs, "eggs"), "eggs", _origins(*counted))
    crack = replace(used, code="eggs", amount=math.ceil(used.amount))
    liquids = [one for one in batch.recipe.ingredients if one.unit != "g"]
    return [
        crack,
        *([used] if used.amount < crack.amount else []),
        _grams("beaten_egg", batch.egg_g, egg.contents_g.origin, *counted),
        *(_part(batch, one, *(counted if one.of == EGG else scaled)) for one in liquids),
    ]


def _paste(batch: Batch) -> list[Quantity]:
    recipe, egg, each = batch.recipe, batch.egg, batch.paste_per_bait_g
    size, cork = recipe.size_mm, recipe.cork_mm
    of_bait = (Origin.GEOMETRY, size.origin, cork.origin, batch.paste_density.origin)
    made = (*_scaled(batch), egg.dry_g.origin, egg.contents_g.origin)
    portions, most = loads(batch.baits, MOST_BAITS_IN_A_PORTION)
    corks = [Quantity("corks", batch.baits, "corks", (cork.origin,))] if cork.value else []
    return [
        *corks,
        _grams("paste", batch.paste_g, *made),
        # Small scales show hundredths; a bait's worth is otherwise weighed ten at a time.
        Quantity("paste_a_bait", round(each, 2), "g", _origins(*of_bait)),
        _grams("paste_ten_baits", 10 * each, *of_bait),
        Quantity("portions", portions, "portions", (Origin.PRACTICE,)),
        _grams("paste_a_portion", most * each, *of_bait, baits=most),
    ]


def _handling(batch: Batch) -> list[Quantity]:
    recipe = batch.recipe
    boils, most = loads(batch.baits, MOST_BAITS_IN_A_LOAD)
    return [
        Quantity("loads", boils, "loads", (Origin.PRACTICE,), most),
        Quantity("boiling", recipe.boil_s.value, "s", (recipe.boil_s.origin,)),
        Quantity("drying", recipe.drying_days.value, "days", (recipe.drying_days.origin,)),
    ]
