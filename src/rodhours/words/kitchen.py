"""The words of the kitchen: lines of the mixing sheet, lift, cautions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from rodhours.kitchen.amounts import Origin, on_top_of_the_rest, share_of_dry_mix
from rodhours.kitchen.batch import Batch
from rodhours.kitchen.lift import (
    CORK_DENSITY,
    CORK_DENSITY_HIGH,
    CORK_DENSITY_LOW,
    SIZE_TOLERANCE_MM,
    TUNGSTEN_DENSITY,
    Lift,
    WantedLift,
)
from rodhours.kitchen.order import Bought
from rodhours.kitchen.recipe import BASE, DRY, EGG, ON_TOP, Ingredient
from rodhours.kitchen.sheet import MixingSheet, Quantity
from rodhours.words.numbers import listed, tallied

NAMES = {
    "pellet": "ground pellet",
    "albumen": "egg-white powder",
    "attractor": "liquid attractor",
}
"""What the ingredients of the open format are called on a sheet; others go by their columns."""
PRACTICE = {
    "albumen_g_per_kg": "about a small sachet to a pound of dry mix",
    "attractor_ml_per_egg": "3 to 4 ml in a mix of one egg",
}
"""What anglers use where a recipe does not say: common practice, no source."""
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
    "Label bags and tubs (variant, date; bait, not food; egg, fish, nut), and keep them out of "
    "reach of children and pets. Throw away what is mouldy or smells sour.",
)
CAUTIONS_IN_SHORT = (
    "With care: boiling water and steam scald; raw egg can carry disease, wash hands and tools; "
    "egg, fish and nut may harm whoever has an allergy; flavours and oils burn skin and eyes; "
    "unplug the blender before a hand goes near; keep all of it from food, children and pets. "
    "More on the sheet: --sheet FILE, or --origins."
)
"""The cautions of a terminal; `CAUTIONS` stand on the sheet."""
LEGEND = (
    "Recipe: the variant's row of the variants table. Geometry: volumes of balls. Published: egg "
    "classes of the EU, shell 10 %. Common practice: no source; your own figure is better."
)
RULES = "Local law, rod licences and the rules of the fishery come before any recipe or rig."


def sheet_form(sheet: MixingSheet) -> dict[str, Any]:
    """The machine form of a sheet, equal to what `rodhours mix --json` prints."""
    lift = sheet.lift.lift_g
    return {
        "schema": 1,
        "variant": sheet.variant,
        "baits": sheet.batch.baits,
        "quantities": [
            {
                "what": what(line, sheet.batch),
                "amount": line.amount,
                "unit": line.unit,
                "from": origin(line.origins),
            }
            for line in sheet.quantities
        ],
        "lift_g": {
            "typical": round(lift.typical, 3),
            "low": round(lift.low, 3),
            "high": round(lift.high, 3),
        },
        "cautions": list(CAUTIONS),
    }


def order_form(sheets: Sequence[MixingSheet], bought: Sequence[Bought]) -> dict[str, Any]:
    """The machine form of several sheets with their buying list."""
    return {
        "schema": 1,
        "sheets": [sheet_form(sheet) for sheet in sheets],
        "buy": [
            {"what": one.name, "amount": one.amount, "unit": one.unit, "cost": one.cost}
            for one in bought
        ],
    }


def order_says(sheets: Sequence[MixingSheet]) -> str:
    """In which order to mix, and what is done once for all."""
    if len(sheets) == 1:
        return f"For {sheets[0].variant}."
    names = ", then ".join(sheet.variant for sheet in sheets)
    return (
        f"Mix {names}: what goes into a later one stays out of those before it. Blend the base mix "
        "and beat the eggs once for all of them, then weigh out each sheet’s share."
    )


def bought_row(one: Bought) -> list[str]:
    """A line of the buying list."""
    cost = "–" if one.cost is None else f"{one.cost:.2f}"
    return [NAMES.get(one.name, one.name), amount(one.amount, one.unit), cost]


def cost_says(sheets: Sequence[MixingSheet], bought: Sequence[Bought]) -> list[str]:
    """What it all costs, and a bait; nothing where no price is known."""
    known = [one.cost for one in bought if one.cost is not None]
    if not known:
        return []
    each = sum(known) / sum(sheet.batch.baits for sheet in sheets)
    without = [NAMES.get(one.name, one.name) for one in bought if one.cost is None]
    rest = f" Without {listed(without)}, of which no price is known." if without else ""
    return [
        f"All together {sum(known):.2f}, {each:.3f} a bait, in the currency of your prices.{rest}"
    ]


def what(line: Quantity, batch: Batch) -> str:
    """What a line of the sheet is about."""
    baits = tallied(line.baits or 0, "bait")
    for one in batch.recipe.ingredients:
        if one.column == line.code:
            part = {BASE: "of the base mix: ", DRY: "of that: "}[one.of] if one.unit == "g" else ""
            return part + what_of(one)
    return {
        "dry_mix": "dry mix, all together",
        "base_mix": "of that: base mix",
        "eggs": f"eggs to crack, class {batch.egg.egg_class}",
        "eggs_used": "of that to use",
        "beaten_egg": "beaten egg",
        "corks": f"cork balls, {batch.recipe.cork_mm.value:g} mm",
        "paste": "expected paste",
        "paste_a_bait": "paste for one bait",
        "paste_ten_baits": "paste for ten baits",
        "portions": "freezer portions",
        "paste_a_portion": f"paste in a portion ({baits})",
        "loads": f"boiling loads, up to {baits} each",
        "boiling": "boiling, each load",
        "drying": "drying in moving air",
    }[line.code]


def what_of(one: Ingredient) -> str:
    """An ingredient's name on a sheet."""
    return NAMES.get(one.name, one.name)


def origin(origins: Sequence[Origin]) -> str:
    """Where a figure comes from: `recipe, geometry, common practice`."""
    return ", ".join(origins)


def amount(value: float, unit: str) -> str:
    """An amount with its unit: `320 g`, `1 egg`, `2 portions`."""
    short = unit.removesuffix("s") if value == 1 and len(unit) > 1 else unit
    return f"{value:,.2f}".rstrip("0").rstrip(".") + f" {short}"


def title(sheet: MixingSheet) -> str:
    """The heading of a sheet."""
    return f"Mixing sheet: {sheet.variant}, {tallied(sheet.batch.baits, 'bait')}"


def subtitle(sheet: MixingSheet) -> str:
    """What is made: `16 mm over a 12 mm cork. Base mix: birdseed and semolina.`"""
    recipe = sheet.batch.recipe
    cork, base = recipe.cork_mm.value, recipe.base_mix
    core = f"over a {cork:g} mm cork" if cork else "without cork"
    return f"{recipe.size_mm.value:g} mm {core}{f'. Base mix: {base}' if base else ''}."


def sheet_sentences(sheet: MixingSheet) -> list[str]:
    """A sheet in sentences, without its lines and cautions."""
    return [title(sheet), subtitle(sheet), *explained(sheet.batch), *lift_sentences(sheet.lift)]


def explained(batch: Batch) -> list[str]:
    """What the figures of a sheet mean and rest on."""
    return [
        *_shares(batch),
        *_not_weighed(batch),
        *_liquids(batch),
        _dry_mix(batch),
        _paste(batch),
        LEGEND,
    ]


def _not_weighed(batch: Batch) -> list[str]:
    """Cells of the recipe that no line is made of, and those that it leaves empty."""
    recipe, texts = batch.recipe, []
    if recipe.unreckoned:
        cells = ", ".join(f"{name} {text}" for name, text in recipe.unreckoned.items())
        texts.append(f"Also in the recipe, not reckoned: {cells}.")
    if recipe.unrecorded:
        columns = ", ".join(
            name + (f" ({PRACTICE[name]}: common practice, no source)" if name in PRACTICE else "")
            for name in recipe.unrecorded
        )
        texts.append(
            f"The recipe does not say, so nothing is weighed of: {columns}. Fill in what you use, "
            "0 where there is none of it."
        )
    return texts


def _liquids(batch: Batch) -> list[str]:
    said = []
    for one in batch.recipe.ingredients:
        if one.unit != "g" and one.dose:
            a_kg = 1000 * one.rate / (batch.egg.dry_g.value if one.of == EGG else 1)
            said.append(
                f"{what_of(one)}: {a_kg:.3g} {one.unit} a kg of dry mix, "
                f"{batch.per_bait(one):.2g} {one.unit} a bait"
            )
    if not said:
        return []
    text = "; ".join(said)
    return [
        f"{text[0].upper()}{text[1:]}. Eggs differ: weigh the beaten egg, and keep to one class "
        "for all variants that you compare."
    ]


def _dry_mix(batch: Batch) -> str:
    takes_up = f"to take up {batch.egg.dry_g.value:.3g} g of dry mix"
    if batch.egg.dry_g.origin is Origin.MEASURED:
        return f"An egg is taken {takes_up}: your own figure."
    return (
        f"An egg of class {batch.egg.egg_class} is taken {takes_up} (common practice, no source). "
        "It differs from mix to mix: add dry mix to the egg until the paste rolls, and write it "
        "down (rodhours batch add), or give --dry-g-per-egg."
    )


def _paste(batch: Batch) -> str:
    density = batch.paste_density
    own = density.origin is Origin.MEASURED
    return (
        f"Paste of {density.value:,.0f} kg/m³ is "
        + (
            "what you gave. "
            if own
            else "a stand-in (common practice, no source): measure yours and give it as "
            "--paste-density. "
        )
        + f"{batch.waste_pct:g} % of the paste is allowed for waste."
    )


def _shares(batch: Batch) -> list[str]:
    """Shares of the dry mix, as they are and as they are called where they are put on top."""
    parts, on_top = [], []
    for one in batch.recipe.ingredients:
        share = 100 * one.rate
        if one.of == BASE or one.dose == 0 or share >= 100:
            continue
        if one.column.endswith(ON_TOP):
            on_top.append(f"{one.dose:.3g} % {one.name} ({share:.3g} % of the finished dry mix)")
        elif one.column.endswith("_pct"):
            called = on_top_of_the_rest(share)
            parts.append(
                f"{share:.3g} % {one.name} (on top of the rest the same is called {called:.3g} %, "
                f"{10 * called:.0f} g to each kg of it; {share:.3g} % put on top would be "
                f"{share_of_dry_mix(share):.3g} %)"
            )
    said = {"Of the finished dry mix by weight, part of it and not added on top": parts}
    said["On top of the rest"] = on_top
    return [f"{how}: {listed(each)}." for how, each in said.items() if each]


def in_short(sheet: MixingSheet) -> list[str]:
    """What a terminal says beneath the lines of a sheet; all of it stands on the sheet."""
    lift = sheet.lift
    weak = lift.lift_g.low <= 0
    holds = (
        f"Even the weakest holds up {_down(lift.holds_in_water_g)} g of hook and rig in the water: "
        "try each bait in a glass first, and fish no rig that could tether a fish after a break."
    )
    return [
        *_shares(sheet.batch),
        *_not_weighed(sheet.batch),
        f"One bait lifts {lift.lift_g.typical:.2f} g ({_down(lift.lift_g.low)} to "
        f"{lift.lift_g.high:.2f}) in water of {lift.water_temp_c:g} °C, with paste of "
        f"{lift.paste_kg_m3:,.0f} kg/m³ ({lift.paste_from}). {holds_text(lift) if weak else holds}",
        CAUTIONS_IN_SHORT,
        RULES,
    ]


def lift_sentences(lift: Lift) -> list[str]:
    """The lift in words: what gives a wanted one, how much, what it holds up, what it rests on."""
    wanted = [] if lift.wanted is None else [wanted_text(lift.wanted, lift)]
    return [*wanted, lift_text(lift), holds_text(lift), density_text(lift)]


def lift_text(lift: Lift) -> str:
    """The lift of a bait and its range, in g."""
    g = lift.lift_g
    return (
        f"One bait lifts {g.typical:.2f} g in water of {lift.water_temp_c:g} °C; between "
        f"{_down(g.low)} g and {g.high:.2f} g where the size is up to {SIZE_TOLERANCE_MM:g} mm "
        f"off and cork weighs what natural cork does ({CORK_DENSITY_LOW:g} to "
        f"{CORK_DENSITY_HIGH:g} kg/m³)."
    )


def holds_text(lift: Lift) -> str:
    """What a bait holds up: hook and rig, weighed in water and as putty of tungsten in air."""
    if lift.lift_g.typical <= 0:
        return "It sinks: it holds up no hook at all. Take a bigger cork or a thinner skin."
    if lift.lift_g.low <= 0:
        return (
            "The weakest of them sinks by itself: no hook weight is safe. Take a bigger cork or a "
            "thinner skin."
        )
    return (
        "Even the weakest holds up hook and rig that weigh up to "
        f"{_down(lift.holds_in_water_g)} g in the water; as putty of tungsten that is "
        f"{_down(lift.holds_putty_in_air_g)} g in air (reckoned as pure tungsten, "
        f"{TUNGSTEN_DENSITY:,.0f} kg/m³). Lead of such sizes is forbidden in many places: local "
        "law decides. Try every bait with its hook in a glass of water first: baits take up water "
        "and lose lift as they lie. Fish no rig that could tether a fish after a break: hook and "
        "weight must come free of each other."
    )


def density_text(lift: Lift) -> str:
    """The densities that a lift was worked out with."""
    text = (
        f"Paste taken as {lift.paste_kg_m3:,.0f} kg/m³ ({lift.paste_from}), cork as "
        f"{CORK_DENSITY.value:g} kg/m³ ({CORK_DENSITY.origin})."
    )
    if lift.baits_weighed:
        return text
    return (
        f"{text} Boiling and drying change size and weight: weigh 20 finished baits "
        "(--weight-of-20, --mean-mm) for a lift of your own."
    )


def wanted_text(wanted: WantedLift, lift: Lift) -> str:
    """What gives a wanted lift: a size over the same cork, a cork in the same size."""
    ways = []
    if wanted.size_mm is not None:
        ways.append(f"{wanted.size_mm:.1f} mm over the {lift.cork_mm:g} mm cork")
    if wanted.cork_mm is not None:
        ways.append(f"a cork of {wanted.cork_mm:.1f} mm in the {lift.size_mm:g} mm bait")
    if not ways:
        return f"Neither another size nor another cork gives {wanted.lift_g:g} g here."
    stock = " and ".join(f"{mm:g} mm gives {lifted:.2f} g" for mm, lifted in wanted.stock)
    sold = f" Corks are sold by whole mm (common practice, no source): {stock}." if stock else ""
    return f"For {wanted.lift_g:g} g: {', or '.join(ways)}.{sold}"


def _down(value: float) -> str:
    """To hundredths, never up: what is said to float must float."""
    return f"{math.floor(value * 100 + 1e-9) / 100:.2f}"
