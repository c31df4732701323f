"""`rodhours mix`: the mixing sheet of a variant."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import (
    DEFAULT_LOGBOOK,
    ForceOption,
    JsonOption,
    LogbookOption,
    asks,
    require_places,
)
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import UsageError
from rodhours.kitchen.amounts import EggSize
from rodhours.kitchen.batch import USUAL_EGG_CLASS, USUAL_WASTE_PCT
from rodhours.kitchen.lift import USUAL_TEMP_C

if TYPE_CHECKING:
    from rodhours.kitchen.sheet import MixingSheet


@dataclass(frozen=True)
class Paste:
    """What the lift of a bait is worked out from."""

    water_temp_c: Annotated[float, typer.Option(help="Water temperature, °C.")] = USUAL_TEMP_C
    paste_density: Annotated[
        float | None,
        typer.Option(
            help="Density of your paste, kg/m³ (water is 1000).  [default: 1100, a stand-in]"
        ),
    ] = None
    weight_of_20: Annotated[
        float | None,
        typer.Option(
            help="What 20 finished baits weigh together, g: the lift is worked out from it."
        ),
    ] = None
    mean_mm: Annotated[
        float | None,
        typer.Option(help="The mean diameter of those 20 baits, mm.  [default: the size]"),
    ] = None


@dataclass(frozen=True)
class Amounts:
    """What a batch starts from, and what else than its recipe it goes by."""

    baits: Annotated[int | None, typer.Option(help="Make so many baits.")] = None
    eggs: Annotated[float | None, typer.Option(help="Start from so many eggs.")] = None
    dry_g: Annotated[float | None, typer.Option(help="Start from so much finished dry mix, g.")] = (
        None
    )
    size_mm: Annotated[
        float | None,
        typer.Option(help="Diameter of the bait, mm.  [default: the recipe's]"),
    ] = None
    cork_mm: Annotated[
        float | None,
        typer.Option(help="Diameter of the cork, mm; 0 is none.  [default: the recipe's]"),
    ] = None
    waste: Annotated[float, typer.Option(help="Paste that does not end in a bait, %.")] = (
        USUAL_WASTE_PCT
    )
    egg_class: Annotated[EggSize, typer.Option(help="Weight class of the eggs.")] = USUAL_EGG_CLASS
    dry_g_per_egg: Annotated[
        float | None,
        typer.Option(
            help="Dry mix that one of your eggs took up, g.  [default: from your batches, or 80 "
            "for class M, common practice]"
        ),
    ] = None


@asks
def mix(
    variants: Annotated[
        list[str],
        typer.Argument(
            metavar="VARIANT...", help="The variant, as in the variants table; or several."
        ),
    ],
    *,
    amounts: Amounts,
    paste: Paste,
    sheet: Annotated[
        Path | None,
        typer.Option(
            help="Also write the sheet as one A4 page (HTML) here; of several, each to a file of "
            "its own beside it."
        ),
    ] = None,
    prices: Annotated[
        Path | None,
        typer.Option(
            help="CSV file with the columns ingredient, price, for.  [default: prices.csv beside "
            "the logbook, where there is one]"
        ),
    ] = None,
    origins: Annotated[
        bool, typer.Option("--origins", help="Where each figure comes from, and all cautions.")
    ] = False,
    force: ForceOption = False,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """What to weigh for a batch of one variant, how much its baits lift, and what to mind.

    Give one of --baits, --eggs and --dry-g. Pellet is a share of the finished dry mix, part of it
    and not added on top. The recipe is the variant's row of the variants table. Of several
    variants there is a sheet each, in the order to mix them in, and one buying list.
    """
    places = _places(sheet, variants)
    for place in places.values():
        require_places(place, force=force, logbook=logbook)

    from rodhours.kitchen.order import buying_list, mixing_order
    from rodhours.log.prices import PRICES, read_prices
    from rodhours.report.mixing_sheet import order_text, sheet_page, sheet_text
    from rodhours.version import __version__
    from rodhours.whole_files import write_whole
    from rodhours.words.kitchen import order_form

    made = [_sheet_of(variant, logbook, amounts, paste) for variant in dict.fromkeys(variants)]
    sheets = mixing_order(made)
    for one, place in zip(sheets, places.values(), strict=False):
        write_whole(place, sheet_page(one, __version__))
        talk(f"The sheet of {one.variant} is written to {place}; open it in a browser to print it.")
    beside = logbook.parent / PRICES
    known = read_prices(prices or beside) if prices or beside.exists() else {}
    bought = buying_list(sheets, known) if known or len(sheets) > 1 else []
    if as_json:
        answer_json(order_form(sheets, bought) if bought else sheets[0].to_dict())
        return
    texts = [sheet_text(one, width_of_answers(), origins) for one in sheets]
    answer("\n\n\n".join([*([order_text(sheets, bought)] if bought else []), *texts]))


def _places(sheet: Path | None, variants: list[str]) -> dict[str, Path]:
    """Where the sheet of each variant goes: the file named, or beside it by numbers."""
    if sheet is None:
        return {}
    if sheet.is_dir():
        raise UsageError(f"{sheet} is a folder: give the name of a file.")
    if len(variants) == 1:
        return {variants[0]: sheet}
    return {
        variant: sheet.with_stem(f"{sheet.stem}-{number}")
        for number, variant in enumerate(dict.fromkeys(variants), start=1)
    }


def costs_a_bait(logbook: Path) -> dict[str, float]:
    """What a bait of each recipe costs, where the prices beside the logbook say all of it."""
    from contextlib import suppress

    from rodhours.kitchen.batch import BAITS, Asked, make_batch
    from rodhours.kitchen.order import cost_a_bait
    from rodhours.kitchen.recipe import recipe_of
    from rodhours.log.frames import variants_frame
    from rodhours.log.logbook import open_logbook
    from rodhours.log.prices import PRICES, read_prices

    path = logbook.parent / PRICES
    if not path.exists():
        return {}
    prices, costs = read_prices(path), {}
    with open_logbook(logbook) as book:
        rows = variants_frame(book).to_dict("records")
    for row in rows:
        # A recipe that makes no sheet has no cost.
        with suppress(UsageError):
            recipe = recipe_of({str(name): cell for name, cell in row.items()})
            cost = cost_a_bait(make_batch(recipe, Asked(BAITS, 100)), prices)
            if cost is not None:
                costs[recipe.variant] = cost
    return costs


def _sheet_of(variant: str, logbook: Path, of: Amounts, paste: Paste) -> MixingSheet:
    """The sheet of a variant's recipe, with the dry mix to an egg and the density of the paste of
    its own batches where nothing else is given; UsageError where the logbook has no such recipe."""
    from rodhours.kitchen.batch import asked_for, egg_of, make_batch
    from rodhours.kitchen.ledger import dry_g_per_egg, paste_densities
    from rodhours.kitchen.lift import lift_asked
    from rodhours.kitchen.recipe import recipe_of
    from rodhours.kitchen.sheet import mixing_sheet
    from rodhours.log.frames import batches_frame, variants_frame
    from rodhours.log.logbook import open_logbook
    from rodhours.near import unknown_name

    with open_logbook(logbook) as book:
        recipes, batches = variants_frame(book), batches_frame(book)
        variant = book.variant_meant(variant) or variant
    if recipes.empty:
        raise UsageError(
            "The logbook has no variants table, so no recipes. Import one: rodhours import FILE"
        )
    found = recipes[recipes["variant"] == variant]
    if found.empty:
        raise UsageError(unknown_name("recipe of a variant", variant, set(recipes["variant"])))
    row = {str(name): value for name, value in found.iloc[0].items()}
    recipe = recipe_of(row, of.size_mm, of.cork_mm)
    density = paste_densities(batches, recipes).get(variant)
    if density is not None and paste.paste_density is None and paste.weight_of_20 is None:
        paste = replace(paste, paste_density=density.value)
    own = dry_g_per_egg(batches, variant)
    egg = egg_of(of.egg_class, of.dry_g_per_egg)
    if of.dry_g_per_egg is None and own is not None:
        egg = egg_of(of.egg_class, own.grams, own.egg_g)
    asked = asked_for(of.baits, of.eggs, of.dry_g)
    batch = make_batch(recipe, asked, egg, of.waste, paste.paste_density)
    size, cork = recipe.size_mm.value, recipe.cork_mm.value
    return mixing_sheet(batch, lift_asked(size, cork, **vars(paste)))
