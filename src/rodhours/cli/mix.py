"""`rodhours mix`: the mixing sheet of a variant."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.cli.places import ForceOption, require_places
from rodhours.errors import UsageError
from rodhours.kitchen.amounts import EggSize
from rodhours.kitchen.batch import USUAL_EGG_CLASS, USUAL_WASTE_PCT
from rodhours.kitchen.lift import USUAL_TEMP_C

if TYPE_CHECKING:
    from rodhours.kitchen.ledger import DryPerEgg

DensityOption = Annotated[
    float | None,
    typer.Option(
        "--paste-density",
        help="Density of your paste, kg/m³ (water is 1000).  [default: 1100, a stand-in]",
        show_default=False,
    ),
]
TwentyOption = Annotated[
    float | None,
    typer.Option(
        "--weight-of-20",
        help="What 20 finished baits weigh together, g: the lift is worked out from it.",
        show_default=False,
    ),
]
MeanOption = Annotated[
    float | None,
    typer.Option(
        "--mean-mm",
        help="The mean diameter of those 20 baits, mm.  [default: the size]",
        show_default=False,
    ),
]
TempOption = Annotated[float, typer.Option("--water-temp-c", help="Water temperature, °C.")]


def mix(
    variant: Annotated[str, typer.Argument(help="The variant, as in the variants table.")],
    baits: Annotated[
        int | None, typer.Option(help="Make so many baits.", show_default=False)
    ] = None,
    eggs: Annotated[
        float | None, typer.Option(help="Start from so many eggs.", show_default=False)
    ] = None,
    dry_g: Annotated[
        float | None,
        typer.Option("--dry-g", help="Start from so much finished dry mix, g.", show_default=False),
    ] = None,
    size_mm: Annotated[
        float | None,
        typer.Option(
            "--size-mm",
            help="Diameter of the bait, mm.  [default: the recipe's]",
            show_default=False,
        ),
    ] = None,
    cork_mm: Annotated[
        float | None,
        typer.Option(
            "--cork-mm",
            help="Diameter of the cork, mm; 0 is none.  [default: the recipe's]",
            show_default=False,
        ),
    ] = None,
    waste: Annotated[
        float, typer.Option(help="Paste that does not end in a bait, %.")
    ] = USUAL_WASTE_PCT,
    egg_class: Annotated[EggSize, typer.Option(help="Weight class of the eggs.")] = USUAL_EGG_CLASS,
    dry_g_per_egg: Annotated[
        float | None,
        typer.Option(
            "--dry-g-per-egg",
            help="Dry mix that one of your eggs took up, g.  [default: from your batches, or 80 "
            "for class M, common practice]",
            show_default=False,
        ),
    ] = None,
    water_temp_c: TempOption = USUAL_TEMP_C,
    paste_density: DensityOption = None,
    weight_of_20: TwentyOption = None,
    mean_mm: MeanOption = None,
    sheet: Annotated[
        Path | None,
        typer.Option(help="Also write the sheet as one A4 page (HTML) here.", show_default=False),
    ] = None,
    force: ForceOption = False,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """What to weigh for a batch of one variant, how much its baits lift, and what to mind.

    Give one of --baits, --eggs and --dry-g. Pellet is a share of the finished dry mix, part of it
    and not added on top. The recipe is the variant's row of the variants table.
    """
    require_places(sheet, force=force, logbook=logbook)
    row, own = recipe_and_own_figure(variant, logbook)
    from rodhours.kitchen.batch import asked_for, egg_of, make_batch
    from rodhours.kitchen.lift import lift_asked
    from rodhours.kitchen.recipe import recipe_of
    from rodhours.kitchen.sheet import mixing_sheet
    from rodhours.report.mixing_sheet import sheet_page, sheet_text
    from rodhours.version import __version__

    recipe = recipe_of(row, size_mm, cork_mm)
    egg_g = None
    if dry_g_per_egg is None and own is not None:
        dry_g_per_egg, egg_g = own.grams, own.egg_g
    batch = make_batch(
        recipe,
        asked_for(baits, eggs, dry_g),
        egg_of(egg_class, dry_g_per_egg, egg_g),
        waste,
        paste_density,
    )
    size, cork = recipe.size_mm.value, recipe.cork_mm.value
    lift = lift_asked(size, cork, water_temp_c, paste_density, weight_of_20, mean_mm)
    result = mixing_sheet(batch, lift)
    if sheet is not None:
        from rodhours.whole_files import write_whole

        write_whole(sheet, sheet_page(result, __version__))
        talk(f"The sheet is written to {sheet}; open it in a browser to print it.")
    if as_json:
        answer_json(result.to_dict())
        return
    answer(sheet_text(result, width_of_answers()))


def recipe_and_own_figure(variant: str, logbook: Path) -> tuple[dict[str, Any], DryPerEgg | None]:
    """A variant's row of the variants table, and the dry mix to an egg of its batches, if any.

    UsageError where the logbook has no such recipe.
    """
    from rodhours.kitchen.ledger import dry_g_per_egg
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
    return row, dry_g_per_egg(batches, variant)
