"""`rodhours mix`: the mixing sheet of a variant."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.kitchen.constants import Stated
    from rodhours.kitchen.ledger import DryPerEgg

USUAL_WASTE_PCT = 10.0
USUAL_TEMP_C = 12.0


class EggSize(StrEnum):
    """Weight classes of eggs."""

    S = "S"
    M = "M"
    L = "L"
    XL = "XL"


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
    egg_class: Annotated[EggSize, typer.Option(help="Weight class of the eggs.")] = EggSize.M,
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
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """What to weigh for a batch of one variant, how much its baits lift, and what to mind.

    Give one of --baits, --eggs and --dry-g. Pellet is a share of the finished dry mix, part of it
    and not added on top. The recipe is the variant's row of the variants table.
    """
    row, own = recipe_and_own_figure(variant, logbook)
    from rodhours.kitchen.batch import make_batch
    from rodhours.kitchen.buoyancy import lift
    from rodhours.kitchen.mix import mix_of
    from rodhours.kitchen.sheet import mixing_sheet
    from rodhours.report.mixing_sheet import sheet_page, sheet_text
    from rodhours.version import __version__

    recipe = mix_of(row, size_mm, cork_mm)
    takes_up = own.grams if dry_g_per_egg is None and own is not None else dry_g_per_egg
    batch = make_batch(
        recipe,
        baits=baits,
        eggs=eggs,
        dry_g=dry_g,
        waste_pct=waste,
        egg_class=egg_class.value,
        dry_g_per_egg=takes_up,
        egg_g_per_egg=own.egg_g if own is not None and dry_g_per_egg is None else None,
        paste_density=paste_density,
    )
    size, cork = recipe.size_mm.value, recipe.cork_mm.value
    density = density_for_lift(paste_density, weight_of_20, mean_mm, size, cork)
    result = mixing_sheet(
        batch,
        lift(size, cork, density.value, water_temp_c),
        water_temp_c,
        density,
        weight_of_20 is not None,
    )
    if sheet is not None:
        if sheet.is_dir():
            raise UsageError(f"{sheet} is a folder: give the name of a file.")
        from rodhours.cli.reporting import write_whole

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
    from rodhours.evidence.stints import unknown_name
    from rodhours.kitchen.ledger import dry_g_per_egg
    from rodhours.logbook.frames import batches_frame, variants_frame
    from rodhours.logbook.logbook import open_logbook

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


def density_for_lift(
    paste_density: float | None,
    weight_of_20: float | None,
    mean_mm: float | None,
    size_mm: float,
    cork_mm: float,
) -> Stated:
    """The density of paste for the lift: of 20 baits as weighed, as given, or the stand-in."""
    from rodhours.kitchen.buoyancy import density_of_weighed
    from rodhours.kitchen.constants import PASTE_DENSITY, Origin, Stated

    if weight_of_20 is not None:
        mean = size_mm if mean_mm is None else mean_mm
        return Stated(density_of_weighed(weight_of_20, 20, mean, cork_mm), Origin.MEASURED)
    if mean_mm is not None:
        raise UsageError("--mean-mm goes with --weight-of-20: the weight of those baits, in g.")
    return PASTE_DENSITY if paste_density is None else Stated(paste_density, Origin.MEASURED)
