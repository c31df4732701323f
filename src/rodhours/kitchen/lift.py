"""The lift of a cork-cored bait in water, what it holds up, and what gives a wanted lift.

Net lift = weight of the water displaced less the weight of cork and paste, as grams that scales
would show. Densities are in kg/m³, diameters in mm, volumes in cm³.
"""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from rodhours.errors import UsageError
from rodhours.evidence.result import Result
from rodhours.kitchen.amounts import Origin, Stated, own_or

CORK_DENSITY = Stated(170.0, Origin.PUBLISHED)
"""A measured specimen: Gibson, Easterling & Ashby 1981, Proc R Soc Lond A 377:99-117 (quoted
from memory)."""
CORK_DENSITY_LOW, CORK_DENSITY_HIGH = 120.0, 240.0
"""The spread of natural cork: Gibson & Ashby, Cellular Solids; Silva et al. 2005, Int Mater Rev
50:345-365 (quoted from memory)."""
TUNGSTEN_DENSITY = 19300.0
"""CRC Handbook of Chemistry and Physics, 20 °C (quoted from memory). Putty is tungsten in something
lighter: no putty weighs more in water than pure tungsten of the same weight in air."""
PASTE_DENSITY = Stated(1100.0, Origin.PRACTICE)
"""A stand-in until it is measured: no published value of a bait paste is known to us."""
LIGHTEST_PASTE, HEAVIEST_PASTE = 300.0, 3000.0
SIZE_TOLERANCE_MM = 0.5
"""How far a finished bait made by hand lies from the size that was aimed at, either way: common
practice, no source."""
USUAL_TEMP_C = 12.0
COLDEST_C, WARMEST_C = 0.0, 40.0
MM3_PER_CM3 = 1000.0
KG_M3_PER_G_CM3 = 1000.0


def ball_cm3(diameter_mm: float) -> float:
    """The volume of a ball, pi d³ / 6."""
    return math.pi * diameter_mm**3 / 6 / MM3_PER_CM3


def ball_mm(volume_cm3: float) -> float:
    """The diameter of a ball of that volume (>= 0)."""
    return math.cbrt(6 * volume_cm3 * MM3_PER_CM3 / math.pi)


def skin_cm3(size_mm: float, cork_mm: float) -> float:
    """The volume between a cork ball and the surface of the bait around it."""
    return ball_cm3(size_mm) - ball_cm3(cork_mm)


def water_density(celsius: float) -> float:
    """The density of air-free water at 101.325 kPa in kg/m³, 0 to 40 °C.

    Tanaka et al. 2001, Metrologia 38:301-309, equation 1 (the table recommended by the CIPM).
    UsageError outside that range.
    """
    if not COLDEST_C <= celsius <= WARMEST_C:
        raise UsageError(
            f"The water temperature must be {COLDEST_C:g} to {WARMEST_C:g} °C, not {celsius:g}."
        )
    fall = (celsius - 3.983035) ** 2 * (celsius + 301.797) / (522528.9 * (celsius + 69.34881))
    return 999.974950 * (1 - fall)


@dataclass(frozen=True)
class LiftRange:
    """Net lift in water, g; below 0 the bait sinks."""

    typical: float
    low: float
    high: float


@dataclass(frozen=True)
class WantedLift:
    """What gives a wanted lift: another size or another cork, None where there is none.

    `stock` are the corks next to it in whole mm, each with the lift that it gives in that bait.
    """

    lift_g: float
    size_mm: float | None
    cork_mm: float | None
    stock: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, repr=False)
class Lift(Result):
    """The lift of one bait, with the paste that it was worked out from.

    `holds_in_water_g` is the largest weight in water of hook and rig that even the weakest bait
    holds up, `holds_putty_in_air_g` the same as putty of tungsten weighed in air; `from_size_g`
    is how far making tolerance alone carries the lift from `typical`, either way.
    `baits_weighed` where the density of the paste is that of finished baits.
    """

    size_mm: float
    cork_mm: float
    water_temp_c: float
    paste_kg_m3: float
    paste_from: Origin
    lift_g: LiftRange
    holds_in_water_g: float
    holds_putty_in_air_g: float
    from_size_g: float
    wanted: WantedLift | None = None
    baits_weighed: bool = False

    KEYS: ClassVar[tuple[str, ...]] = (
        "size_mm",
        "cork_mm",
        "water_temp_c",
        "paste_kg_m3",
        "paste_from",
        "lift_g",
        "holds_in_water_g",
        "holds_putty_in_air_g",
        "wanted",
    )


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
    paste: Stated = PASTE_DENSITY,
    water_temp_c: float = USUAL_TEMP_C,
    size_tolerance_mm: float = SIZE_TOLERANCE_MM,
) -> Lift:
    """The lift of a bait of that size over that cork (0 is none), with its range.

    Typical: the size as given and cork of 170 kg/m³. The range runs over every size within the
    tolerance (never under the cork) and cork from 120 to 240 kg/m³; the lift is monotone in both,
    so its ends lie at corners. UsageError for sizes or densities that no bait has.
    """
    check_bait(size_mm, cork_mm, paste.value)
    water = water_density(water_temp_c)

    def of(size: float, cork_density: float = CORK_DENSITY.value) -> float:
        return net_lift(size, cork_mm, paste.value, cork_density, water)

    typical = of(size_mm)
    sizes = max(cork_mm, size_mm - size_tolerance_mm), size_mm + size_tolerance_mm
    corners = [of(size, cork) for size in sizes for cork in (CORK_DENSITY_LOW, CORK_DENSITY_HIGH)]
    holds = max(0.0, min(corners))
    return Lift(
        size_mm,
        cork_mm,
        water_temp_c,
        paste.value,
        paste.origin,
        LiftRange(typical, min(corners), max(corners)),
        holds,
        # In water tungsten loses its own volume of water.
        holds / (1 - water / TUNGSTEN_DENSITY),
        max(abs(of(size) - typical) for size in sizes),
    )


def size_for_lift(
    wanted_g: float,
    cork_mm: float,
    paste_density: float = PASTE_DENSITY.value,
    water_temp_c: float = USUAL_TEMP_C,
) -> float | None:
    """The finished diameter in mm that gives the wanted typical lift over that cork; None where
    no size does: paste only adds to what the bare cork lifts, or only takes from it."""
    check_bait(cork_mm + 1, cork_mm, paste_density)
    water = water_density(water_temp_c)
    bare = ball_cm3(cork_mm) * (water - CORK_DENSITY.value) / KG_M3_PER_G_CM3
    per_cm3 = (water - paste_density) / KG_M3_PER_G_CM3
    skin = (wanted_g - bare) / per_cm3 if per_cm3 else -1.0
    return ball_mm(ball_cm3(cork_mm) + skin) if skin > 0 else None


def cork_for_lift(
    wanted_g: float,
    size_mm: float,
    paste_density: float = PASTE_DENSITY.value,
    water_temp_c: float = USUAL_TEMP_C,
) -> float | None:
    """The cork diameter in mm that gives the wanted typical lift at that finished size; None where
    it is less than without cork, or more than as cork alone."""
    check_bait(size_mm, 0.0, paste_density)
    water = water_density(water_temp_c)
    whole = ball_cm3(size_mm)
    of_paste = whole * (water - paste_density) / KG_M3_PER_G_CM3
    of_cork = whole * (water - CORK_DENSITY.value) / KG_M3_PER_G_CM3
    if not of_paste <= wanted_g < of_cork:
        return None
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


def lift_asked(
    size_mm: float,
    cork_mm: float,
    water_temp_c: float = USUAL_TEMP_C,
    paste_density: float | None = None,
    weight_of_20: float | None = None,
    mean_mm: float | None = None,
    wanted_g: float | None = None,
) -> Lift:
    """The lift of a bait from the density of its paste: of 20 baits as weighed, as given, or the
    stand-in. `mean_mm` is the mean diameter of those baits, without it `size_mm`; `wanted_g` asks
    which size or cork gives that lift.
    """
    if weight_of_20 is not None:
        mean = size_mm if mean_mm is None else mean_mm
        paste_density = density_of_weighed(weight_of_20, 20, mean, cork_mm)
    elif mean_mm is not None:
        raise UsageError("--mean-mm goes with --weight-of-20: the weight of those baits, in g.")
    paste = own_or(PASTE_DENSITY, paste_density)
    wanted = None
    if wanted_g is not None:
        size = size_for_lift(wanted_g, cork_mm, paste.value, water_temp_c)
        cork = cork_for_lift(wanted_g, size_mm, paste.value, water_temp_c)
        stock = () if cork is None else (math.floor(cork), math.ceil(cork))
        lifts = [
            (float(mm), lift(size_mm, mm, paste, water_temp_c).lift_g.typical)
            for mm in sorted({*stock})
            if 0 < mm < size_mm
        ]
        wanted = WantedLift(wanted_g, size, cork, tuple(lifts))
    found = lift(size_mm, cork_mm, paste, water_temp_c)
    return replace(found, wanted=wanted, baits_weighed=weight_of_20 is not None)


def lift_known(size_mm: Any, cork_mm: Any, paste: Stated | None) -> Lift | None:
    """The lift of a bait as far as it is known: None without a diameter, or where no bait has
    these; paste at the stand-in where nothing is known of it."""
    with suppress(TypeError, ValueError):
        return lift(float(size_mm), float(cork_mm), paste or PASTE_DENSITY)
    return None


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
        raise UsageError(
            f"The density of paste must be {LIGHTEST_PASTE:g} to {HEAVIEST_PASTE:g} kg/m³, not "
            f"{paste_density:g}."
        )
