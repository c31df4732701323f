"""Quantities of one batch, unrounded, from the eggs, the baits or the dry mix at hand.

The finished dry mix is everything dry: base mix and the ingredients that are shares of it. Paste
is dry mix, beaten egg and liquids; of the paste made, the share `waste_pct` ends in no bait.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from rodhours.errors import UsageError
from rodhours.kitchen.amounts import EggSize, Origin, Stated, egg_contents_g, own_or
from rodhours.kitchen.lift import KG_M3_PER_G_CM3, PASTE_DENSITY, check_bait, skin_cm3
from rodhours.kitchen.recipe import BASE, DRY, EGG, Ingredient, Recipe

USUAL_WASTE_PCT = 10.0
USUAL_EGG_CLASS = EggSize.M
MOST = 1_000_000
"""Baits, eggs or grams in one batch: more is a slip of the keyboard."""
DRY_G_PER_EGG = Stated(80.0, Origin.PRACTICE)
"""Dry mix that an egg of class M takes up (common practice, no source). It differs from mix to
mix: weigh it once."""
LIQUID_G = {"ml": 1.0, "drops": 0.05}
"""g of a liquid in a ml and in a drop, 20 to the ml (common practice, no source); oils are nearer
0.92 g to the ml (Codex Standard CXS 210-1999)."""
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
    """One batch, unrounded: masses in g, `eggs` in eggs of the class of `egg`.

    Base mix and dry ingredients make dry_g; dry_g, egg_g and liquids make paste_g; what of the
    paste is not baits x paste_per_bait_g is waste, and less than one bait's worth.
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
    def base_g(self) -> float:
        """What the other dry ingredients leave to the base mix."""
        return self.dry_g * self.recipe.base_share

    @property
    def egg_g(self) -> float:
        """Beaten egg."""
        return self.eggs * self.egg.contents_g.value

    def amount(self, one: Ingredient) -> float:
        """So much of an ingredient, in its unit."""
        return one.rate * {DRY: self.dry_g, BASE: self.base_g, EGG: self.eggs}[one.of]

    def per_bait(self, one: Ingredient) -> float:
        """So much of an ingredient in one bait: waste takes its share of everything."""
        return self.amount(one) / self.paste_g * self.paste_per_bait_g

    @property
    def paste_g(self) -> float:
        """All the paste."""
        return self.eggs * paste_g_per_egg(self.recipe, self.egg)

    @property
    def paste_per_bait_g(self) -> float:
        """The paste around one cork."""
        recipe = self.recipe
        return bait_paste_g(recipe.size_mm.value, recipe.cork_mm.value, self.paste_density.value)


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
    of_egg_g: float | None = None,
) -> Egg:
    """An egg of a class, and the angler's own figure for what it takes up, if there is one.

    By default an egg of class M takes up 80 g; others in proportion to their contents, and the
    own figure too where it is said of eggs with contents of `of_egg_g`. UsageError for figures
    that no egg has.
    """
    contents = egg_contents_g(egg_class)
    usual = Stated(dry_per_g_of_egg() * contents, DRY_G_PER_EGG.origin)
    if dry_g_per_egg is not None and of_egg_g is not None:
        dry_g_per_egg *= contents / of_egg_g
    dry = own_or(usual, dry_g_per_egg)
    if not (math.isfinite(dry.value) and dry.value > 0):
        raise UsageError(f"The dry mix for one egg must be above 0 g, not {dry.value:g}.")
    return Egg(egg_class, Stated(contents, Origin.PUBLISHED), dry)


def dry_per_g_of_egg() -> float:
    """The dry mix that a gram of egg takes up by the stated default."""
    return DRY_G_PER_EGG.value / egg_contents_g(USUAL_EGG_CLASS)


def paste_g_per_egg(recipe: Recipe, egg: Egg) -> float:
    """The paste that one egg makes: dry mix, egg and liquids."""
    whole = {DRY: egg.dry_g.value, EGG: 1.0}
    liquids = sum(
        one.rate * whole[one.of] * LIQUID_G[one.unit]
        for one in recipe.ingredients
        if one.unit in LIQUID_G
    )
    return egg.dry_g.value + egg.contents_g.value + liquids


def bait_paste_g(size_mm: float, cork_mm: float, paste_density: float) -> float:
    """The paste of one bait from its two diameters. UsageError where no bait has these."""
    check_bait(size_mm, cork_mm, paste_density)
    return skin_cm3(size_mm, cork_mm) * paste_density / KG_M3_PER_G_CM3


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
    each = bait_paste_g(recipe.size_mm.value, recipe.cork_mm.value, density.value)
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
