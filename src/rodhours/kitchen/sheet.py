"""The mixing sheet: every quantity of a batch as it is weighed, with where it comes from.

Rounded parts of the dry mix still add up to the rounded whole within a gram.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rodhours.evidence.result import Result
from rodhours.kitchen.amounts import Origin, Stated, measured_ml, weighed
from rodhours.kitchen.batch import DRY_MIX, EGGS, Batch
from rodhours.kitchen.lift import Lift

POUND_G = 453.59237
"""Exact: NIST SP 811 (2008) Appendix B.8; international yard and pound agreement, 1959."""
# Common practice, no source.
SACHETS_PER_POUND = Stated(1.0, Origin.PRACTICE)
"""Small sachets of egg-white powder to a pound of dry mix."""
MOST_BAITS_IN_A_LOAD = 35
"""30 to 35 baits boil together without taking the water off the boil."""
MOST_BAITS_IN_A_PORTION = 40
"""Paste is frozen in balls of 30 to 40 baits' worth."""


@dataclass(frozen=True)
class Quantity:
    """One line of the sheet: `amount` is rounded, `origins` says where it comes from.

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


def _dry(batch: Batch) -> list[Quantity]:
    recipe, scaled = batch.recipe, _scaled(batch)
    whole, pellet, albumen = weighed(batch.dry_g), weighed(batch.pellet_g), 0.0
    origins = _origins(recipe.pellet_pct.origin, *scaled)
    if recipe.albumen_g_per_kg is None:
        sachets = max(0.25, round(4 * batch.dry_g / POUND_G * SACHETS_PER_POUND.value) / 4)
        powder = Quantity("albumen", sachets, "sachets", (SACHETS_PER_POUND.origin,))
    else:
        albumen = weighed(batch.albumen_g)
        said_by = _origins(recipe.albumen_g_per_kg.origin, *scaled)
        powder = Quantity("albumen", albumen, "g", said_by)
    rest = weighed(max(0.0, whole - pellet - albumen)) if batch.base_g > 1e-9 else 0.0
    return [
        Quantity("dry_mix", whole, "g", scaled),
        Quantity("base_mix", rest, "g", origins),
        Quantity("pellet", pellet, "g", origins),
        powder,
    ]


def _wet(batch: Batch) -> list[Quantity]:
    egg, dose = batch.egg, batch.recipe.attractor_ml_per_egg
    counted = (
        (Origin.ASKED,) if batch.asked.what == EGGS else _origins(egg.dry_g.origin, *_scaled(batch))
    )
    beaten, liquid = weighed(batch.egg_g), measured_ml(batch.attractor_ml)
    return [
        Quantity("eggs", math.ceil(round(batch.eggs, 6)), "eggs", counted),
        Quantity("beaten_egg", beaten, "g", _origins(egg.contents_g.origin, *counted)),
        Quantity("attractor", liquid, "ml", _origins(dose.origin, *counted)),
    ]


def _paste(batch: Batch) -> list[Quantity]:
    recipe, egg, each = batch.recipe, batch.egg, batch.paste_per_bait_g
    size, cork = recipe.size_mm, recipe.cork_mm
    of_bait = _origins(Origin.GEOMETRY, size.origin, cork.origin, batch.paste_density.origin)
    made = _origins(*_scaled(batch), egg.dry_g.origin, egg.contents_g.origin)
    portions, most = loads(batch.baits, MOST_BAITS_IN_A_PORTION)
    corks = [Quantity("corks", batch.baits, "corks", (cork.origin,))] if cork.value else []
    return [
        *corks,
        Quantity("paste", weighed(batch.paste_g), "g", made),
        # Small scales show hundredths; a bait's worth is otherwise weighed ten at a time.
        Quantity("paste_a_bait", round(each, 2), "g", of_bait),
        Quantity("paste_ten_baits", weighed(10 * each), "g", of_bait),
        Quantity("portions", portions, "portions", (Origin.PRACTICE,)),
        Quantity("paste_a_portion", weighed(most * each), "g", of_bait, most),
    ]


def _handling(batch: Batch) -> list[Quantity]:
    recipe = batch.recipe
    boils, most = loads(batch.baits, MOST_BAITS_IN_A_LOAD)
    return [
        Quantity("loads", boils, "loads", (Origin.PRACTICE,), most),
        Quantity("boiling", recipe.boil_s.value, "s", (recipe.boil_s.origin,)),
        Quantity("drying", recipe.drying_days.value, "days", (recipe.drying_days.origin,)),
    ]
