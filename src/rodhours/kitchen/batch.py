"""Quantities of one batch, from the eggs, the baits or the dry mix at hand.

The finished dry mix is everything dry: base mix, ground pellet and egg-white powder. Paste is dry
mix, beaten egg and attractor; of the paste made, the share `waste` does not end in a bait.
Scope: exact numbers; `sheet` rounds them for the scales.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rodhours.errors import UsageError
from rodhours.kitchen.buoyancy import KG_M3_PER_G_CM3, check_bait
from rodhours.kitchen.constants import (
    ATTRACTOR_DENSITY,
    DRY_G_PER_EGG,
    PASTE_DENSITY,
    Origin,
    Stated,
)
from rodhours.kitchen.doses import egg_contents_g
from rodhours.kitchen.geometry import skin_cm3
from rodhours.kitchen.mix import Mix

USUAL_WASTE_PCT = 10.0
USUAL_EGG_CLASS = "M"
MOST = 1_000_000
"""Baits, eggs or grams in one batch: more is a slip of the keyboard."""


@dataclass(frozen=True)
class Batch:
    """One batch, unrounded: masses in g, attractor in ml, `eggs` in eggs of `egg_class`.

    base_g + pellet_g + albumen_g = dry_g; dry_g + egg_g + attractor_g = paste_g;
    baits x paste_per_bait_g + left_g = paste_g. `asked` is what it was scaled from: baits, eggs
    or dry mix.
    """

    mix: Mix
    asked: str
    baits: int
    dry_g: float
    base_g: float
    pellet_g: float
    albumen_g: float
    eggs: float
    egg_class: str
    each_egg_g: Stated
    egg_g: float
    attractor_ml: float
    attractor_g: float
    paste_g: float
    paste_per_bait_g: float
    waste_pct: float
    dry_g_per_egg: Stated
    paste_density: Stated

    @property
    def left_g(self) -> float:
        """Paste that does not end in a bait, g: waste, and less than one bait's worth."""
        return self.paste_g - self.baits * self.paste_per_bait_g

    @property
    def baits_per_egg(self) -> float:
        """Baits that one egg makes, waste taken off."""
        return self.paste_g * (1 - self.waste_pct / 100) / self.paste_per_bait_g / self.eggs


def default_dry_g_per_egg(egg_class: str = USUAL_EGG_CLASS) -> Stated:
    """The stated default for eggs of that class: 80 g for class M, others by their contents."""
    share = egg_contents_g(egg_class) / egg_contents_g(USUAL_EGG_CLASS)
    return Stated(DRY_G_PER_EGG.value * share, DRY_G_PER_EGG.origin)


def make_batch(
    mix: Mix,
    *,
    baits: int | None = None,
    eggs: float | None = None,
    dry_g: float | None = None,
    waste_pct: float = USUAL_WASTE_PCT,
    egg_class: str = USUAL_EGG_CLASS,
    dry_g_per_egg: float | None = None,
    egg_g_per_egg: float | None = None,
    paste_density: float | None = None,
) -> Batch:
    """The quantities of a batch from exactly one of `baits`, `eggs` and `dry_g`.

    `dry_g_per_egg` is the angler's own figure for the dry mix that an egg takes up,
    `egg_g_per_egg` for an egg without its shell, `paste_density` for the density of the paste in
    kg/m³; without them the stated defaults (for eggs of `egg_class`) stand. Baits from eggs or dry
    mix are whole ones, rounded down. UsageError for amounts that make no batch.
    """
    given = {"baits": baits, "eggs": eggs, "dry mix": dry_g}
    asked = [name for name, value in given.items() if value is not None]
    if len(asked) != 1:
        raise UsageError("Give one of --baits, --eggs and --dry-g: the rest follows from it.")
    amount = given[asked[0]]
    if amount is None or not (math.isfinite(amount) and 0 < amount <= MOST):
        raise UsageError(
            f"The {asked[0]} to start from must be above 0 and up to {MOST:,}, not {amount:,.10g}."
        )
    if not 0 <= waste_pct < 100:
        raise UsageError(f"Waste must be 0 up to under 100 % of the paste, not {waste_pct:g}.")
    takes_up = (
        default_dry_g_per_egg(egg_class)
        if dry_g_per_egg is None
        else Stated(dry_g_per_egg, Origin.MEASURED)
    )
    if not (math.isfinite(takes_up.value) and takes_up.value > 0):
        raise UsageError(f"The dry mix for one egg must be above 0 g, not {takes_up.value:g}.")
    density = PASTE_DENSITY if paste_density is None else Stated(paste_density, Origin.MEASURED)
    check_bait(mix.size_mm.value, mix.cork_mm.value, density.value)
    each = skin_cm3(mix.size_mm.value, mix.cork_mm.value) * density.value / KG_M3_PER_G_CM3
    egg = (
        Stated(egg_contents_g(egg_class), Origin.PUBLISHED)
        if egg_g_per_egg is None
        else Stated(egg_g_per_egg, Origin.MEASURED)
    )
    contents = egg.value
    if not (math.isfinite(contents) and contents > 0):
        raise UsageError(f"An egg must weigh more than 0 g, not {contents:g}.")
    liquid = mix.attractor_ml_per_egg.value
    per_egg = takes_up.value + contents + liquid * ATTRACTOR_DENSITY.value
    kept = 1 - waste_pct / 100
    if baits is not None:
        used = baits * each / kept / per_egg
    else:
        used = eggs if eggs is not None else float(dry_g or 0) / takes_up.value
    paste = used * per_egg
    # Whole baits; the nudge keeps a batch scaled from its own eggs at the same number.
    made = baits if baits is not None else math.floor(paste * kept / each * (1 + 1e-9))
    if made < 1:
        raise UsageError(f"That is {paste:.1f} g of paste: not enough for one bait.")
    dry = used * takes_up.value
    pellet = dry * mix.pellet_pct.value / 100
    albumen = 0.0 if mix.albumen_g_per_kg is None else dry * mix.albumen_g_per_kg.value / 1000
    return Batch(
        mix=mix,
        asked=asked[0],
        baits=made,
        dry_g=dry,
        base_g=dry - pellet - albumen,
        pellet_g=pellet,
        albumen_g=albumen,
        eggs=used,
        egg_class=egg_class,
        each_egg_g=egg,
        egg_g=used * contents,
        attractor_ml=used * liquid,
        attractor_g=used * liquid * ATTRACTOR_DENSITY.value,
        paste_g=paste,
        paste_per_bait_g=each,
        waste_pct=waste_pct,
        dry_g_per_egg=takes_up,
        paste_density=density,
    )
