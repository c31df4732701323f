"""The words of the ledger of batches: the label of a bag, and what the batches can show."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.wording.numbers import listed, number, tallied

NOT_FOOD = "Bait, not food: keep away from children and pets. Contains egg."


def bag_label(batch: str, variant: str, date: str, baits: int | None) -> str:
    """What to write on the bag: the code first, so that it can be read at the water."""
    made = f"made {date}" + ("" if baits is None else f", {tallied(baits, 'bait')}")
    return f"{batch}\n{variant}, {made}\n{NOT_FOOD}"


def how_to_log(batch: str) -> str:
    """Where the code goes in the trip log."""
    return f"Write {batch} on the bag, and in the column batch of your stints."


def one_batch_of(variants: Sequence[str]) -> str:
    """What a variant with a single batch cannot show; nothing where there is none such."""
    if not variants:
        return ""
    return (
        f"There is one batch only of {listed(variants)}: what is special to that batch counts as "
        "the recipe’s, and a comparison cannot tell the two apart. Make another to the same "
        "recipe."
    )


def dry_to_an_egg(variant: str, grams: float, batches: int) -> str:
    """The angler's own figure, and what it comes from."""
    came_from = "1 batch" if batches == 1 else f"{batches:,} batches"
    return (
        f"{variant}: an egg took up {number(grams)} g of dry mix (your own figure, from "
        f"{came_from})."
    )


def off_recipe_says(batch: str, variant: str, off: Sequence[tuple[str, float, float]]) -> str:
    """Where a batch is off its recipe: column, as made, as the recipe has it, of each."""
    each = listed(
        f"{column} {as_made:.3g} instead of {asked:.4g}" for column, as_made, asked in off
    )
    return (
        f"Batch {batch} is off the recipe of {variant}: {each}. What it catches is not the "
        "recipe’s doing alone."
    )


SPREAD = (
    "Sizes in mm. Within: from bait to bait in one batch; between: from batch to batch, beyond "
    "that. A dash: too few baits measured to say."
)
NO_BATCHES = "No batch is recorded. Record one with: rodhours batch add VARIANT --date YYYY-MM-DD"
