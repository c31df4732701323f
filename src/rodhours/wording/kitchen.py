"""The words of the kitchen: lines of the mixing sheet, lift, cautions.

Scope: plain numbers and strings in, sentences out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

DRY_MIX = "dry mix, all together"
BASE_MIX = "of that: base mix"
PELLET = "of that: ground pellet"
ALBUMEN = "of that: egg-white powder"
BEATEN_EGG = "beaten egg"
ATTRACTOR = "liquid attractor"
PASTE = "expected paste"
PASTE_A_BAIT = "paste for one bait"
PASTE_TEN_BAITS = "paste for ten baits"
PORTIONS = "freezer portions"
BOILING = "boiling, each load"
DRYING = "drying in moving air"

CAUTIONS = (
    "Boiling water and steam scald: lower baits in with a ladle, keep handles turned in, let the "
    "pan cool before you empty it.",
    "Raw egg can carry disease: keep it off food and worktops, and wash hands and tools with soap "
    "and hot water afterwards.",
    "Egg, fish and nut are in these mixes or may be: nobody with such an allergy should handle "
    "the powder, the paste or the baits.",
    "Concentrated flavours and essential oils burn skin and eyes: wear gloves and glasses, measure "
    "with a syringe, air the room, keep them from flames.",
    "Blender and sieve are for bait alone: clean them after use and keep them apart from food. "
    "Unplug the blender before a hand goes near its blades; keep dust of the mix out of your "
    "lungs.",
    "Label bags and tubs as bait (variant, date, not food), and keep them from children and pets.",
)
LEGEND = (
    "Recipe: the variant's row of the variants table. Geometry: volumes of balls. Published: egg "
    "classes of the EU, shell 10 %. Common practice: no source; your own figure is better."
)
RULES = "Local law, rod licences and the rules of the fishery come before any recipe or rig."


def origin(origins: Sequence[str]) -> str:
    """Where a figure comes from: `recipe, geometry, common practice`."""
    return ", ".join(origins)


def eggs(egg_class: str) -> str:
    """The line of the eggs."""
    return f"eggs to crack, class {egg_class}"


def corks(cork_mm: float) -> str:
    """The line of the corks."""
    return f"cork balls, {cork_mm:g} mm"


def paste_a_portion(baits: int) -> str:
    """The line of a freezer portion."""
    return f"paste in a portion ({_baits(baits)})"


def loads(baits: int) -> str:
    """The line of the boiling loads."""
    return f"boiling loads, up to {_baits(baits)} each"


def title(variant: str, baits: int) -> str:
    """The heading of a sheet."""
    return f"Mixing sheet: {variant}, {_baits(baits)}"


def subtitle(size_mm: float, cork_mm: float, base_mix: str | None) -> str:
    """What is made: `16 mm over 12 mm cork, from birdseed and semolina`."""
    core = f"over a {cork_mm:g} mm cork" if cork_mm else "without cork"
    return f"{size_mm:g} mm {core}{f'. Base mix: {base_mix}' if base_mix else ''}."


def amount(value: float, unit: str) -> str:
    """An amount with its unit: `320 g`, `1 egg`, `2 portions`."""
    short = unit.removesuffix("s") if value == 1 and len(unit) > 1 else unit
    return f"{value:,.2f}".rstrip("0").rstrip(".") + f" {short}"


def explained(
    *,
    pellet_pct: float,
    on_top_pct: float | None,
    dry_g_per_egg: float,
    own_dry_g: bool,
    egg_class: str,
    ml_per_egg: float,
    ml_per_kg: float,
    ml_per_bait: float,
    paste_density: float,
    own_density: bool,
    waste_pct: float,
    albumen_known: bool,
) -> tuple[str, ...]:
    """What the figures of a sheet mean and rest on, a few sentences each.

    `on_top_pct` is None where everything dry is pellet; densities are in kg/m³.
    """
    texts = [_pellet(pellet_pct, on_top_pct)]
    if not albumen_known:
        texts.append(
            "The recipe does not say how much egg-white powder (column albumen_g_per_kg): about a "
            "small sachet to a pound of dry mix is common practice, no source. Weigh what you use, "
            "take it off the base mix, and write it down."
        )
    texts.append(
        f"Attractor at {ml_per_egg:.3g} ml an egg is {ml_per_kg:.3g} ml a kg of dry mix and "
        f"{ml_per_bait:.2g} ml a bait. Eggs differ: weigh the beaten egg, and keep to one class "
        "for all variants that you compare."
    )
    texts.append(
        f"An egg is taken to take up {dry_g_per_egg:.3g} g of dry mix: your own figure."
        if own_dry_g
        else f"An egg of class {egg_class} is taken to take up {dry_g_per_egg:.3g} g of dry mix "
        "(common practice, no source). It differs from mix to mix: add dry mix to the egg until "
        "the paste rolls, and write it down (rodhours batch add), or give --dry-g-per-egg."
    )
    texts.append(
        f"Paste of {paste_density:,.0f} kg/m³ "
        + (
            "is what you gave. "
            if own_density
            else "is a stand-in (common practice, no source): measure yours and give it as "
            "--paste-density. "
        )
        + f"{waste_pct:g} % of the paste is allowed for waste."
    )
    return tuple(texts)


def _pellet(share: float, on_top: float | None) -> str:
    if share == 0:
        return (
            "No pellet in this one. Shares are by weight of the finished dry mix: pellet is part "
            "of it, never added on top."
        )
    if on_top is None:
        return "The dry mix is pellet alone. Shares are by weight of the finished dry mix."
    return (
        f"Pellet is part of the dry mix, not added on top: {share:.3g} % is by weight of the "
        f"finished dry mix. Counted on top of the other dry ingredients the same would be called "
        f"{on_top:.3g} % ({10 * on_top:.0f} g to each kg of them); {share:.3g} % put on top would "
        f"come to only {100 * share / (100 + share):.3g} % of the dry mix."
    )


def lift_text(
    typical: float,
    low: float,
    high: float,
    water_temp_c: float,
    tolerance_mm: float,
) -> str:
    """The lift of a bait and its range, in g."""
    return (
        f"One bait lifts {_grams(typical)} in water of {water_temp_c:g} °C; between {_down(low)} g "
        f"and {_grams(high)} where the size is up to {tolerance_mm:g} mm off and cork weighs what "
        "natural cork does (120 to 240 kg/m³)."
    )


def holds_text(typical: float, low: float, lead_g: float) -> str:
    """What a bait holds up: hook and rig, weighed in water and as lead in air."""
    if typical <= 0:
        return "It sinks: it holds up no hook at all. Take a bigger cork or a thinner skin."
    if low <= 0:
        return (
            "The weakest of them sinks by itself: no hook weight is safe. Take a bigger cork or a "
            "thinner skin."
        )
    return (
        f"Even the weakest holds up hook and rig that weigh up to {_down(low)} g in the water, "
        f"which as lead is {_down(lead_g)} g in air. Try every bait with its hook in a glass of "
        "water first: baits take up water and lose lift as they lie."
    )


def density_text(paste_density: float, origin_of: str, weighed: bool) -> str:
    """The densities that a lift was worked out with; `weighed` where finished baits were."""
    text = (
        f"Paste taken as {paste_density:,.0f} kg/m³ ({origin_of}), cork as 170 kg/m³ (published)."
    )
    if weighed:
        return text
    return (
        f"{text} Boiling and drying change size and weight: weigh 20 finished baits "
        "(--weight-of-20, --mean-mm) for a lift of your own."
    )


def wanted_text(
    wanted_g: float, size_mm: float | None, at_cork: float, cork_mm: float | None, at_size: float
) -> str:
    """What gives a wanted lift; a size or cork that does not exist is None."""
    ways = []
    if size_mm is not None:
        ways.append(f"{size_mm:.1f} mm over the {at_cork:g} mm cork")
    if cork_mm is not None:
        ways.append(f"a cork of {cork_mm:.1f} mm in the {at_size:g} mm bait")
    if not ways:
        return f"Neither another size nor another cork gives {wanted_g:g} g here."
    return f"For {wanted_g:g} g: {', or '.join(ways)}."


def _baits(how_many: int) -> str:
    return f"{how_many:,} bait" if how_many == 1 else f"{how_many:,} baits"


def _grams(value: float) -> str:
    return f"{value:.2f} g"


def _down(value: float) -> str:
    """To hundredths, never up: what is said to float must float."""
    return f"{math.floor(value * 100 + 1e-9) / 100:.2f}"
