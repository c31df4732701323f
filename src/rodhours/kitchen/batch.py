"""Quantities of one batch, unrounded, from the eggs, the baits or the dry mix at hand.

The finished dry mix is everything dry: base mix, ground pellet and egg-white powder. Paste is dry
mix, beaten egg and attractor; of the paste made, the share `waste_pct` does not end in a bait.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rodhours.errors import UsageError
from rodhours.kitchen.amounts import EggSize, Origin, Stated, egg_contents_g, own_or
from rodhours.kitchen.lift import KG_M3_PER_G_CM3, PASTE_DENSITY, check_bait, skin_cm3
from rodhours.kitchen.recipe import Recipe

USUAL_WASTE_PCT = 10.0
USUAL_EGG_CLASS = EggSize.M
MOST = 1_000_000
"""Baits, eggs or grams in one batch: more is a slip of the keyboard."""
DRY_G_PER_EGG = Stated(80.0, Origin.PRACTICE)
"""Dry mix that an egg of class M takes up (common practice, no source). It differs from mix to
mix: weigh it once."""
ATTRACTOR_DENSITY = 1.0
"""g per ml (common practice, no source); oils are nearer 0.92 (Codex Standard CXS 210-1999)."""
BAITS, EGGS, DRY_MIX = "baits", "eggs", "dry mix"


@dataclass(frozen=True)
class Asked:
    """What a batch is scaled from: so many baits, eggs, or grams of dry mix."""

    what: str
    amount: float


@dataclass(frozen=True)
class Egg:
    """An egg of a class: its contents without the shell, and the dry mix that it takes up, g."""

    egg_class: str
    contents_g: Stated
    dry_g: Stated


@dataclass(frozen=True)
class Batch:
    """One batch, unrounded: masses in g, attractor in ml, `eggs` in eggs of the class of `egg`.

    base_g + pellet_g + albumen_g = dry_g; dry_g + egg_g + attractor = paste_g; what of the paste
    is not baits x paste_per_bait_g is waste, and less than one bait's worth.
    """

    recipe: Recipe
    asked: Asked
    egg: Egg
    paste_density: Stated
    waste_pct: float
    baits: int
    eggs: float

    @property
    def dry_g(self) -> float:
        """The finished dry mix."""
        return self.eggs * self.egg.dry_g.value

    @property
    def pellet_g(self) -> float:
        """Ground pellet in the dry mix."""
        return self.dry_g * self.recipe.pellet_pct.value / 100

    @property
    def albumen_g(self) -> float:
        """Egg-white powder in the dry mix; 0 where the recipe does not say."""
        share = self.recipe.albumen_g_per_kg
        return 0.0 if share is None else self.dry_g * share.value / 1000

    @property
    def base_g(self) -> float:
        """The rest of the dry mix."""
        return self.dry_g - self.pellet_g - self.albumen_g

    @property
    def egg_g(self) -> float:
        """Beaten egg."""
        return self.eggs * self.egg.contents_g.value

    @property
    def attractor_ml(self) -> float:
        """Liquid attractor."""
        return self.eggs * self.recipe.attractor_ml_per_egg.value

    @property
    def paste_g(self) -> float:
        """All the paste."""
        return self.eggs * paste_g_per_egg(self.recipe, self.egg)

    @property
    def paste_per_bait_g(self) -> float:
        """The paste around one cork."""
        return bait_paste_g(self.recipe, self.paste_density)

    @property
    def baits_per_egg(self) -> float:
        """Baits that one egg makes, waste taken off."""
        return self.paste_g * (1 - self.waste_pct / 100) / self.paste_per_bait_g / self.eggs


def asked_for(
    baits: int | None = None, eggs: float | None = None, dry_g: float | None = None
) -> Asked:
    """The one of the three that was given. UsageError for none, several, and no such amount."""
    given = {BAITS: baits, EGGS: eggs, DRY_MIX: dry_g}
    asked = [Asked(what, amount) for what, amount in given.items() if amount is not None]
    if len(asked) != 1:
        raise UsageError("Give one of --baits, --eggs and --dry-g: the rest follows from it.")
    what, amount = asked[0].what, asked[0].amount
    if not (math.isfinite(amount) and 0 < amount <= MOST):
        raise UsageError(
            f"The {what} to start from must be above 0 and up to {MOST:,}, not {amount:,.10g}."
        )
    return asked[0]


def egg_of(
    egg_class: str = USUAL_EGG_CLASS,
    dry_g_per_egg: float | None = None,
    egg_g_per_egg: float | None = None,
) -> Egg:
    """An egg by the angler's own figures, or by the stated defaults of its class.

    By default an egg of class M takes up 80 g, others in proportion to their contents. UsageError
    for figures that no egg has.
    """
    contents = Stated(egg_contents_g(egg_class), Origin.PUBLISHED)
    share = contents.value / egg_contents_g(USUAL_EGG_CLASS)
    dry = own_or(Stated(DRY_G_PER_EGG.value * share, DRY_G_PER_EGG.origin), dry_g_per_egg)
    if not (math.isfinite(dry.value) and dry.value > 0):
        raise UsageError(f"The dry mix for one egg must be above 0 g, not {dry.value:g}.")
    contents = own_or(contents, egg_g_per_egg)
    if not (math.isfinite(contents.value) and contents.value > 0):
        raise UsageError(f"An egg must weigh more than 0 g, not {contents.value:g}.")
    return Egg(egg_class, contents, dry)


def paste_g_per_egg(recipe: Recipe, egg: Egg) -> float:
    """The paste that one egg makes: dry mix, egg and attractor."""
    attractor = recipe.attractor_ml_per_egg.value * ATTRACTOR_DENSITY
    return egg.dry_g.value + egg.contents_g.value + attractor


def bait_paste_g(recipe: Recipe, paste_density: Stated) -> float:
    """The paste of one bait from its two diameters. UsageError where no bait has these."""
    size, cork = recipe.size_mm.value, recipe.cork_mm.value
    check_bait(size, cork, paste_density.value)
    return skin_cm3(size, cork) * paste_density.value / KG_M3_PER_G_CM3


def make_batch(
    recipe: Recipe,
    asked: Asked,
    egg: Egg | None = None,
    waste_pct: float = USUAL_WASTE_PCT,
    paste_density: float | None = None,
) -> Batch:
    """The quantities of a batch; `paste_density` is the angler's own, in kg/m³.

    Baits from eggs or dry mix are whole ones, rounded down. UsageError for amounts that make no
    batch.
    """
    egg = egg_of() if egg is None else egg
    if not 0 <= waste_pct < 100:
        raise UsageError(f"Waste must be 0 up to under 100 % of the paste, not {waste_pct:g}.")
    density = own_or(PASTE_DENSITY, paste_density)
    each = bait_paste_g(recipe, density)
    per_egg, kept = paste_g_per_egg(recipe, egg), 1 - waste_pct / 100
    if asked.what == BAITS:
        baits, eggs = int(asked.amount), asked.amount * each / kept / per_egg
    else:
        eggs = asked.amount if asked.what == EGGS else asked.amount / egg.dry_g.value
        # Whole baits; the nudge keeps a batch scaled from its own eggs at the same number.
        baits = math.floor(eggs * per_egg * kept / each * (1 + 1e-9))
    if baits < 1:
        raise UsageError(f"That is {eggs * per_egg:.1f} g of paste: not enough for one bait.")
    return Batch(recipe, asked, egg, density, waste_pct, baits, eggs)
