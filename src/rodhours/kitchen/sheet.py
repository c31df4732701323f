"""The mixing sheet: every quantity of a batch as it is weighed, with where it comes from.

Scope: a batch and its lift in, a frozen sheet out. Rounded parts of the dry mix still add up to
the rounded whole within a gram.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from rodhours.kitchen.batch import Batch
from rodhours.kitchen.buoyancy import Lift
from rodhours.kitchen.constants import (
    MOST_BAITS_IN_A_LOAD,
    MOST_BAITS_IN_A_PORTION,
    POUND_G,
    SACHETS_PER_POUND,
    Origin,
    Stated,
)
from rodhours.kitchen.doses import ml_per_bait, ml_per_kg, on_top_of_the_rest
from rodhours.kitchen.scales import measured_ml, weighed
from rodhours.wording import kitchen as words


@dataclass(frozen=True)
class Quantity:
    """One line of the sheet: `amount` is rounded, `origins` says where it comes from."""

    what: str
    amount: float
    unit: str
    origins: tuple[Origin, ...]

    def to_dict(self) -> dict[str, Any]:
        return {
            "what": self.what,
            "amount": self.amount,
            "unit": self.unit,
            "from": words.origin([origin.value for origin in self.origins]),
        }


@dataclass(frozen=True)
class MixingSheet:
    """One variant's sheet: the batch, its lines, the lift of a bait and how to use it safely."""

    batch: Batch
    lift: Lift
    water_temp_c: float
    lift_density: Stated
    baits_weighed: bool
    quantities: tuple[Quantity, ...]
    explained: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def variant(self) -> str:
        """The label of the variant."""
        return self.batch.mix.variant

    def to_dict(self) -> dict[str, Any]:
        """The machine form that `rodhours mix --json` prints."""
        return {
            "schema": 1,
            "variant": self.variant,
            "baits": self.batch.baits,
            "quantities": [one.to_dict() for one in self.quantities],
            "lift_g": {
                "typical": round(self.lift.typical, 3),
                "low": round(self.lift.low, 3),
                "high": round(self.lift.high, 3),
            },
            "cautions": list(self.cautions),
        }


def mixing_sheet(
    batch: Batch,
    lift: Lift,
    water_temp_c: float,
    lift_density: Stated,
    baits_weighed: bool = False,
) -> MixingSheet:
    """The sheet of a batch whose baits have that lift, from paste of `lift_density` (kg/m³).

    `baits_weighed` where that density is the one of finished baits.
    """
    mix = batch.mix
    return MixingSheet(
        batch=batch,
        lift=lift,
        water_temp_c=water_temp_c,
        lift_density=lift_density,
        baits_weighed=baits_weighed,
        quantities=(*_dry(batch), *_wet(batch), *_paste(batch), *_handling(batch)),
        explained=words.explained(
            pellet_pct=mix.pellet_pct.value,
            on_top_pct=None
            if mix.pellet_pct.value >= 100
            else on_top_of_the_rest(mix.pellet_pct.value),
            dry_g_per_egg=batch.dry_g_per_egg.value,
            own_dry_g=batch.dry_g_per_egg.origin is Origin.MEASURED,
            egg_class=batch.egg_class,
            ml_per_egg=mix.attractor_ml_per_egg.value,
            ml_per_kg=ml_per_kg(mix.attractor_ml_per_egg.value, batch.dry_g_per_egg.value),
            ml_per_bait=ml_per_bait(mix.attractor_ml_per_egg.value, batch.baits_per_egg),
            paste_density=batch.paste_density.value,
            own_density=batch.paste_density.origin is Origin.MEASURED,
            waste_pct=batch.waste_pct,
            albumen_known=mix.albumen_g_per_kg is not None,
        ),
        cautions=words.CAUTIONS,
    )


def loads(baits: int, most: int) -> tuple[int, int]:
    """The fewest equal lots of at most so many baits: how many, and the most in one."""
    lots = math.ceil(baits / most)
    return lots, math.ceil(baits / lots)


def _scaled(batch: Batch) -> tuple[Origin, ...]:
    """Where the size of the whole batch comes from."""
    if batch.asked == "dry mix":
        return (Origin.ASKED,)
    if batch.asked == "eggs":
        return (batch.dry_g_per_egg.origin,)
    return _origins(
        Origin.GEOMETRY,
        batch.mix.size_mm.origin,
        batch.paste_density.origin,
        batch.dry_g_per_egg.origin,
    )


def _origins(*several: Origin) -> tuple[Origin, ...]:
    """Each once, in the order in which they are declared."""
    return tuple(origin for origin in Origin if origin in several)


def _dry(batch: Batch) -> list[Quantity]:
    mix, scaled = batch.mix, _scaled(batch)
    whole, pellet, albumen = weighed(batch.dry_g), weighed(batch.pellet_g), 0.0
    origins = _origins(mix.pellet_pct.origin, *scaled)
    if mix.albumen_g_per_kg is None:
        powder = Quantity(
            words.ALBUMEN,
            max(0.25, round(4 * batch.dry_g / POUND_G * SACHETS_PER_POUND.value) / 4),
            "sachets",
            (SACHETS_PER_POUND.origin,),
        )
    else:
        albumen = weighed(batch.albumen_g)
        powder = Quantity(
            words.ALBUMEN, albumen, "g", _origins(mix.albumen_g_per_kg.origin, *scaled)
        )
    rest = weighed(max(0.0, whole - pellet - albumen)) if batch.base_g > 1e-9 else 0.0
    return [
        Quantity(words.DRY_MIX, whole, "g", scaled),
        Quantity(words.BASE_MIX, rest, "g", origins),
        Quantity(words.PELLET, pellet, "g", origins),
        powder,
    ]


def _wet(batch: Batch) -> list[Quantity]:
    dose = batch.mix.attractor_ml_per_egg
    counted = (
        (Origin.ASKED,)
        if batch.asked == "eggs"
        else _origins(batch.dry_g_per_egg.origin, *_scaled(batch))
    )
    weight = _origins(batch.each_egg_g.origin, *counted)
    whole = math.ceil(round(batch.eggs, 6))
    return [
        Quantity(words.eggs(batch.egg_class), whole, "eggs", counted),
        Quantity(words.BEATEN_EGG, weighed(batch.egg_g), "g", weight),
        Quantity(
            words.ATTRACTOR,
            measured_ml(batch.attractor_ml),
            "ml",
            _origins(dose.origin, *counted),
        ),
    ]


def _paste(batch: Batch) -> list[Quantity]:
    mix = batch.mix
    of_bait = _origins(
        Origin.GEOMETRY, mix.size_mm.origin, mix.cork_mm.origin, batch.paste_density.origin
    )
    portions, most = loads(batch.baits, MOST_BAITS_IN_A_PORTION)
    made = _origins(*_scaled(batch), batch.dry_g_per_egg.origin, batch.each_egg_g.origin)
    lines = [
        Quantity(words.PASTE, weighed(batch.paste_g), "g", made),
        # Small scales show hundredths; a bait's worth is otherwise weighed ten at a time.
        Quantity(words.PASTE_A_BAIT, round(batch.paste_per_bait_g, 2), "g", of_bait),
        Quantity(words.PASTE_TEN_BAITS, weighed(10 * batch.paste_per_bait_g), "g", of_bait),
        Quantity(words.PORTIONS, portions, "portions", (Origin.PRACTICE,)),
        Quantity(words.paste_a_portion(most), weighed(most * batch.paste_per_bait_g), "g", of_bait),
    ]
    if mix.cork_mm.value:
        corks = Quantity(
            words.corks(mix.cork_mm.value), batch.baits, "corks", (mix.cork_mm.origin,)
        )
        lines.insert(0, corks)
    return lines


def _handling(batch: Batch) -> list[Quantity]:
    mix = batch.mix
    boils, most = loads(batch.baits, MOST_BAITS_IN_A_LOAD)
    return [
        Quantity(words.loads(most), boils, "loads", (Origin.PRACTICE,)),
        Quantity(words.BOILING, mix.boil_s.value, "s", (mix.boil_s.origin,)),
        Quantity(words.DRYING, mix.drying_days.value, "days", (mix.drying_days.origin,)),
    ]
