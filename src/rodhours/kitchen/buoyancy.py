"""The lift of a cork-cored bait in water, what it holds up, and what gives a wanted lift.

Net lift = weight of the water displaced less the weight of cork and paste, as grams that scales
would show. Scope: numbers in, frozen numbers out; densities in kg/m³, diameters in mm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from rodhours.errors import UsageError
from rodhours.kitchen.constants import (
    CORK_DENSITY,
    CORK_DENSITY_HIGH,
    CORK_DENSITY_LOW,
    LEAD_DENSITY,
    PASTE_DENSITY,
    SIZE_TOLERANCE_MM,
)
from rodhours.kitchen.geometry import ball_cm3, ball_mm, skin_cm3
from rodhours.kitchen.water import water_density

USUAL_TEMP_C = 12.0
KG_M3_PER_G_CM3 = 1000.0
LIGHTEST_PASTE, HEAVIEST_PASTE = 300.0, 3000.0


@dataclass(frozen=True)
class Lift:
    """Net lift in water, g; below 0 the bait sinks. `low` and `high` are its range.

    `from_size_g` is how far making tolerance alone carries it from `typical`, either way.
    """

    typical: float
    low: float
    high: float
    from_size_g: float
    water_kg_m3: float

    @property
    def holds_g(self) -> float:
        """The largest weight in water of hook and rig that even the weakest bait holds up, g."""
        return max(0.0, self.low)

    @property
    def lead_in_air_g(self) -> float:
        """The same as lead weighed in air, g: in water lead loses its own volume of water."""
        return self.holds_g / (1 - self.water_kg_m3 / LEAD_DENSITY)


def net_lift(
    size_mm: float,
    cork_mm: float,
    paste_density: float,
    cork_density: float,
    water_kg_m3: float,
) -> float:
    """Net lift of one bait in g: V_cork (water - cork) + V_skin (water - paste)."""
    cork = ball_cm3(cork_mm) * (water_kg_m3 - cork_density)
    skin = skin_cm3(size_mm, cork_mm) * (water_kg_m3 - paste_density)
    return (cork + skin) / KG_M3_PER_G_CM3


def lift(
    size_mm: float,
    cork_mm: float,
    paste_density: float = PASTE_DENSITY.value,
    water_temp_c: float = USUAL_TEMP_C,
    size_tolerance_mm: float = SIZE_TOLERANCE_MM,
) -> Lift:
    """The lift of a bait of that size over that cork (0 is none), with its range.

    Typical: the size as given and cork of 170 kg/m³. The range runs over every size within the
    tolerance (never under the cork) and cork from 120 to 240 kg/m³; the lift is monotone in both,
    so its ends lie at corners. UsageError for sizes or densities that no bait has.
    """
    check_bait(size_mm, cork_mm, paste_density)
    water = water_density(water_temp_c)
    smallest = max(cork_mm, size_mm - size_tolerance_mm)
    sizes = (smallest, size_mm + size_tolerance_mm)
    typical = net_lift(size_mm, cork_mm, paste_density, CORK_DENSITY.value, water)
    corners = [
        net_lift(size, cork_mm, paste_density, cork, water)
        for size in sizes
        for cork in (CORK_DENSITY_LOW, CORK_DENSITY_HIGH)
    ]
    moved = [
        abs(net_lift(size, cork_mm, paste_density, CORK_DENSITY.value, water) - typical)
        for size in sizes
    ]
    return Lift(typical, min(corners), max(corners), max(moved), water)


def size_for_lift(
    wanted_g: float,
    cork_mm: float,
    paste_density: float = PASTE_DENSITY.value,
    water_temp_c: float = USUAL_TEMP_C,
) -> float:
    """The finished diameter in mm that gives the wanted typical lift over that cork.

    UsageError where no size does.
    """
    check_bait(cork_mm + 1, cork_mm, paste_density)
    water = water_density(water_temp_c)
    bare = ball_cm3(cork_mm) * (water - CORK_DENSITY.value) / KG_M3_PER_G_CM3
    per_cm3 = (water - paste_density) / KG_M3_PER_G_CM3
    skin = (wanted_g - bare) / per_cm3 if per_cm3 else -1.0
    if skin <= 0:
        raise UsageError(
            f"No size gives a lift of {wanted_g:g} g over a {cork_mm:g} mm cork: the bare cork "
            f"lifts {bare:.2f} g, and this paste only {'takes from' if per_cm3 <= 0 else 'adds to'}"
            f" that. Choose another cork."
        )
    return ball_mm(ball_cm3(cork_mm) + skin)


def cork_for_lift(
    wanted_g: float,
    size_mm: float,
    paste_density: float = PASTE_DENSITY.value,
    water_temp_c: float = USUAL_TEMP_C,
) -> float:
    """The cork diameter in mm that gives the wanted typical lift at that finished size.

    UsageError where no cork does.
    """
    check_bait(size_mm, 0.0, paste_density)
    water = water_density(water_temp_c)
    whole = ball_cm3(size_mm)
    of_paste = whole * (water - paste_density) / KG_M3_PER_G_CM3
    of_cork = whole * (water - CORK_DENSITY.value) / KG_M3_PER_G_CM3
    if not of_paste <= wanted_g < of_cork:
        raise UsageError(
            f"No cork gives a {size_mm:g} mm bait a lift of {wanted_g:g} g: it lies between "
            f"{of_paste:.2f} g without cork and {of_cork:.2f} g as cork alone."
        )
    return ball_mm((wanted_g - of_paste) * KG_M3_PER_G_CM3 / (paste_density - CORK_DENSITY.value))


def density_of_weighed(total_g: float, how_many: int, mean_size_mm: float, cork_mm: float) -> float:
    """The density of the skin in kg/m³, from so many finished baits weighed together.

    The mass of one bait less that of its cork (taken as 170 kg/m³), over the volume of its skin.
    UsageError where that gives no density that a paste can have.
    """
    check_bait(mean_size_mm, cork_mm, PASTE_DENSITY.value)
    if how_many < 1 or not total_g > 0:
        raise UsageError("Weigh at least one bait; its weight is above 0 g.")
    cork_g = ball_cm3(cork_mm) * CORK_DENSITY.value / KG_M3_PER_G_CM3
    density = (total_g / how_many - cork_g) / skin_cm3(mean_size_mm, cork_mm) * KG_M3_PER_G_CM3
    if not LIGHTEST_PASTE <= density <= HEAVIEST_PASTE:
        raise UsageError(
            f"{how_many} baits of {mean_size_mm:g} mm over {cork_mm:g} mm corks weighing "
            f"{total_g:g} g would have a skin of {density:.0f} kg/m³, which no paste has. Check "
            "the weight (all baits together, in g) and the mean diameter (mm)."
        )
    return density


def lift_differs(
    one: Lift, other: Lift, tolerance: float | None = None
) -> Mapping[str, float] | None:
    """The numbers of a difference in typical lift beyond the tolerance (g); None within it.

    Keys: one_g, other_g, difference_g (one less other), tolerance_g. Without a tolerance it is
    the larger of what making tolerance alone does to either bait.
    """
    within = max(one.from_size_g, other.from_size_g) if tolerance is None else tolerance
    difference = one.typical - other.typical
    if abs(difference) <= within:
        return None
    return {
        "one_g": one.typical,
        "other_g": other.typical,
        "difference_g": difference,
        "tolerance_g": within,
    }


def check_bait(size_mm: float, cork_mm: float, paste_density: float) -> None:
    """UsageError unless the cork fits into the bait with paste around it."""
    if not (math.isfinite(size_mm) and 0 < size_mm <= 100):
        raise UsageError(f"The size of a bait must be above 0 and up to 100 mm, not {size_mm:g}.")
    if not (math.isfinite(cork_mm) and cork_mm >= 0):
        raise UsageError(f"A cork's diameter must be 0 mm (none) or more, not {cork_mm:g}.")
    if cork_mm >= size_mm:
        raise UsageError(
            f"A {cork_mm:g} mm cork leaves no room for paste in a {size_mm:g} mm bait."
        )
    if not LIGHTEST_PASTE <= paste_density <= HEAVIEST_PASTE:
        hint = (
            f" {paste_density:g} g/cm³ would be {paste_density * KG_M3_PER_G_CM3:g}."
            if 0.3 <= paste_density <= 3
            else ""
        )
        raise UsageError(
            f"The density of paste must be {LIGHTEST_PASTE:g} to {HEAVIEST_PASTE:g} kg/m³, not "
            f"{paste_density:g}.{hint}"
        )
