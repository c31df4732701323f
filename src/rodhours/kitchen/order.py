"""Several sheets as one order: which is mixed first, what is bought, and what it costs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rodhours.kitchen.amounts import measured
from rodhours.kitchen.recipe import BASE, DRY
from rodhours.kitchen.sheet import MixingSheet


@dataclass(frozen=True)
class Bought:
    """One line of the buying list; `cost` is None where no price is known."""

    name: str
    amount: float
    unit: str
    cost: float | None


def mixing_order(sheets: Sequence[MixingSheet]) -> list[MixingSheet]:
    """Those with the least in them first: what is in a later one cannot get into an earlier one."""

    def added(sheet: MixingSheet) -> tuple[int, float, float]:
        recipe = sheet.batch.recipe
        within = [one for one in recipe.ingredients if one.dose > 0]
        dry = sum(one.rate for one in within if (one.unit, one.of) == ("g", DRY))
        wet = sum(one.rate for one in within if one.unit != "g")
        return len(within), dry, wet

    return sorted(sheets, key=added)


def buying_list(
    sheets: Sequence[MixingSheet], prices: Mapping[tuple[str, str], float] | None = None
) -> list[Bought]:
    """What all sheets take together, unrounded amounts added up; prices are of one unit. Eggs are
    whole ones."""
    sums: dict[tuple[str, str], float] = {}
    for sheet in sheets:
        batch = sheet.batch
        parts = [(one.name, one.unit, batch.amount(one)) for one in batch.recipe.ingredients]
        inside = sum(batch.amount(one) for one in batch.recipe.ingredients if one.of == BASE)
        rest = [("base mix", "g", batch.base_g - inside), ("eggs", "eggs", batch.eggs)]
        if batch.recipe.cork_mm.value:
            name = f"cork balls, {batch.recipe.cork_mm.value:g} mm"
            rest.append((name, "corks", float(batch.baits)))
        for name, unit, amount in (*rest, *parts):
            if amount > 1e-9:
                sums[name, unit] = sums.get((name, unit), 0.0) + amount
    if ("eggs", "eggs") in sums:
        sums["eggs", "eggs"] = float(math.ceil(sums["eggs", "eggs"] - 1e-9))
    known = prices or {}
    each = {key: known.get((key[0].split(",")[0], key[1])) for key in sums}
    return [
        Bought(name, measured(amount, unit), unit, None if price is None else price * amount)
        for ((name, unit), amount), price in zip(sums.items(), each.values(), strict=True)
    ]
