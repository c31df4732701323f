"""The words of the ledger of batches: the label of a bag, and what the batches can show."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.kitchen.compare import OffRecipe
from rodhours.kitchen.ledger import DryPerEgg, Ledger, LedgerBatch
from rodhours.words.numbers import listed, number, tallied

NOT_FOOD = (
    "Bait, not food. Egg, fish, nut in it or may be. Out of reach of children and pets; throw away "
    "when mouldy or sour."
)
SPREAD = (
    "Sizes in mm. Within: from bait to bait in one batch; between: from batch to batch, beyond "
    "that. A dash: too few baits measured to say."
)
NO_BATCHES = "No batch is recorded. Record one with: rodhours batch add VARIANT --date YYYY-MM-DD"


def bag_label(batch: str, variant: str, date: str, baits: int | None) -> str:
    """What to write on the bag: the code first, so that it can be read at the water."""
    made = f"made {date}" + ("" if baits is None else f", {tallied(baits, 'bait')}")
    return f"{batch}\n{variant}, {made}\n{NOT_FOOD}"


def how_to_log(batch: str) -> str:
    """Where the code goes in the trip log."""
    return f"Write {batch} on the bag, and in the column batch of your stints."


def sentences(ledger: Ledger) -> list[str]:
    """The angler's own figures, and what variants with a single batch cannot show."""
    own = [
        dry_to_an_egg(each.variant, each.dry_g_per_egg)
        for each in ledger.variants
        if each.dry_g_per_egg is not None
    ]
    own += [text for batch in ledger.batches for text in (measured_lift(batch), of_paste(batch))]
    single = [each.variant for each in ledger.variants if each.batches == 1]
    return [*filter(None, own), *([one_batch_of(single)] if single else [])]


def measured_lift(batch: LedgerBatch) -> str:
    """The lift of a batch measured in a glass, beside the reckoned one; nothing without it."""
    if batch.lift_g is None:
        return ""
    after = "" if batch.lift_after_h is None else f" after {batch.lift_after_h:g} h in the water"
    reckoned = batch.lift_reckoned_g
    beside = "" if reckoned is None else f"; reckoned fresh: {number(reckoned, 2)} g"
    return f"{batch.batch}: lift measured{after} {number(batch.lift_g, 2)} g{beside}."


def of_paste(batch: LedgerBatch) -> str:
    """Which lot of paste a batch comes from; nothing where that is not recorded."""
    if batch.paste_lot is None:
        return ""
    days = batch.days_frozen
    return f"{batch.batch}: from paste {batch.paste_lot}" + (
        "." if days is None else f", {tallied(days, 'day')} after it was made."
    )


def one_batch_of(variants: Sequence[str]) -> str:
    """What variants with a single batch cannot show."""
    return (
        f"There is one batch only of {listed(variants)}: what is special to that batch counts as "
        "the recipe’s, and a comparison cannot tell the two apart. Make another to the same "
        "recipe."
    )


def dry_to_an_egg(variant: str, own: DryPerEgg) -> str:
    """The angler's own figure, and what it comes from."""
    came_from = "1 batch" if own.batches == 1 else f"{own.batches:,} batches"
    return (
        f"{variant}: an egg took up {number(own.grams)} g of dry mix (your own figure, from "
        f"{came_from})."
    )


def off_recipe_says(batch: str, variant: str, off: Sequence[OffRecipe]) -> str:
    """Where a batch is off its recipe: each column as made and as the recipe has it."""
    each = listed(
        f"{one.column} {one.as_made:.{3 if one.as_made < 1000 else 6}g} instead of {one.recipe:.6g}"
        for one in off
    )
    return (
        f"Batch {batch} is off the recipe of {variant}: {each}. What it catches is not the "
        "recipe’s doing alone."
    )


def in_the_future(batch: str, date: str) -> str:
    """A day of making that is still to come."""
    return (
        f"{date} is still to come. If it was a slip, take it off again: rodhours batch remove "
        f"{batch}"
    )


def not_those_baits(batch: str, paste_g: float, baits: int, worth_g: float) -> str:
    """Paste that does not fit the baits made of it."""
    return (
        f"About {number(paste_g)} g of paste for {tallied(baits, 'bait')} that hold about "
        f"{number(worth_g)} g: if it was a slip, take it off again (rodhours batch remove {batch})."
    )


def fished_before_made(batch: str, days: int) -> str:
    """A batch whose dates cannot both be right."""
    return (
        f"Batch {batch} was fished {days:,} days before it was made: one of the two dates is wrong."
    )
