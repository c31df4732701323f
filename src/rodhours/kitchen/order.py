"""Several sheets as one order: which is mixed first, what is bought, and what it costs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rodhours.kitchen.amounts import measured
from rodhours.kitchen.batch import Batch
from rodhours.kitchen.recipe import BASE, DRY
from rodhours.kitchen.sheet import MixingSheet

Prices = Mapping[tuple[str, str], float]
"""The price of one unit, by what is bought and its unit."""


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


def needed(batch: Batch) -> dict[tuple[str, str], float]:
    """What a batch takes, by name and unit, unrounded; what it takes none of is left out."""
    inside = sum(batch.amount(one) for one in batch.recipe.ingredients if one.of == BASE)
    amounts = {("base mix", "g"): batch.base_g - inside, ("eggs", "eggs"): batch.eggs}
    if batch.recipe.cork_mm.value:
        amounts[f"cork balls, {batch.recipe.cork_mm.value:g} mm", "corks"] = float(batch.baits)
    for one in batch.recipe.ingredients:
        amounts[one.name, one.unit] = amounts.get((one.name, one.unit), 0.0) + batch.amount(one)
    return {key: amount for key, amount in amounts.items() if amount > 1e-9}


def cost_a_bait(batch: Batch, prices: Prices) -> float | None:
    """What one bait of a batch costs, eggs not rounded up; None where a price is missing."""
    costs = [_cost(*one, prices) for one in needed(batch).items()]
    known = [cost for cost in costs if cost is not None]
    return sum(known) / batch.baits if len(known) == len(costs) else None


def buying_list(sheets: Sequence[MixingSheet], prices: Prices | None = None) -> list[Bought]:
    """What all sheets take together; prices are of one unit. Eggs are whole ones."""
    sums: dict[tuple[str, str], float] = {}
    for sheet in sheets:
        for key, amount in needed(sheet.batch).items():
            sums[key] = sums.get(key, 0.0) + amount
    if ("eggs", "eggs") in sums:
        sums["eggs", "eggs"] = float(math.ceil(sums["eggs", "eggs"] - 1e-9))
    return [
        Bought(name, measured(amount, unit), unit, _cost((name, unit), amount, prices or {}))
        for (name, unit), amount in sums.items()
    ]


def _cost(key: tuple[str, str], amount: float, prices: Prices) -> float | None:
    price = prices.get((key[0].split(",")[0], key[1]))
    return None if price is None else price * amount
