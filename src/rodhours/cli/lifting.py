"""`rodhours lift`: how much a cork-cored bait lifts, and what gives a wanted lift."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

import typer

from rodhours.cli.mixing import (
    USUAL_TEMP_C,
    DensityOption,
    MeanOption,
    TempOption,
    TwentyOption,
    density_for_lift,
)
from rodhours.cli.options import JsonOption
from rodhours.cli.output import answer, answer_json, width_of_answers
from rodhours.errors import UsageError


def lift(
    size_mm: Annotated[float, typer.Option("--size-mm", help="Diameter of the bait, mm.")],
    cork_mm: Annotated[float, typer.Option("--cork-mm", help="Diameter of the cork, mm.")],
    want: Annotated[
        float | None,
        typer.Option(help="The lift that is wanted, g: which size or cork.", show_default=False),
    ] = None,
    water_temp_c: TempOption = USUAL_TEMP_C,
    paste_density: DensityOption = None,
    weight_of_20: TwentyOption = None,
    mean_mm: MeanOption = None,
    as_json: JsonOption = False,
) -> None:
    """How much a cork-cored bait lifts in water, with its range, and the hook it holds up."""
    from rodhours.kitchen import buoyancy
    from rodhours.report.mixing_sheet import lift_sentences
    from rodhours.report.text_tables import wrapped
    from rodhours.wording.kitchen import wanted_text

    density = density_for_lift(paste_density, weight_of_20, mean_mm, size_mm, cork_mm)
    found = buoyancy.lift(size_mm, cork_mm, density.value, water_temp_c)
    sentences = lift_sentences(found, water_temp_c, density, weight_of_20 is not None)
    wanted = None
    if want is not None:
        size = _or_none(lambda: buoyancy.size_for_lift(want, cork_mm, density.value, water_temp_c))
        cork = _or_none(lambda: buoyancy.cork_for_lift(want, size_mm, density.value, water_temp_c))
        sentences.insert(0, wanted_text(want, size, cork_mm, cork, size_mm))
        wanted = {"lift_g": want, "size_mm": size, "cork_mm": cork}
    if as_json:
        answer_json(
            {
                "schema": 1,
                "size_mm": size_mm,
                "cork_mm": cork_mm,
                "water_temp_c": water_temp_c,
                "paste_kg_m3": density.value,
                "paste_from": density.origin.value,
                "lift_g": {"typical": found.typical, "low": found.low, "high": found.high},
                "holds_in_water_g": found.holds_g,
                "holds_lead_in_air_g": found.lead_in_air_g,
                "wanted": wanted,
            }
        )
        return
    answer("\n".join(wrapped(text, width_of_answers()) for text in sentences))


def _or_none(solved: Callable[[], float]) -> float | None:
    """A size that does not exist is None; the other way may still lead there."""
    try:
        return solved()
    except UsageError:
        return None
