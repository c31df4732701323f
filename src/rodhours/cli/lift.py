"""`rodhours lift`: how much a cork-cored bait lifts, and what gives a wanted lift."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.mix import Paste
from rodhours.cli.options import JsonOption, asks
from rodhours.cli.output import answer, answer_json, width_of_answers


@asks
def lift(
    size_mm: Annotated[float, typer.Option("--size-mm", help="Diameter of the bait, mm.")],
    cork_mm: Annotated[float, typer.Option("--cork-mm", help="Diameter of the cork, mm.")],
    want: Annotated[
        float | None, typer.Option(help="The lift that is wanted, g: which size or cork.")
    ] = None,
    *,
    paste: Paste,
    as_json: JsonOption = False,
) -> None:
    """How much a cork-cored bait (a pop-up) lifts in water, its range, and the hook it holds up."""
    from rodhours.kitchen.lift import lift_asked

    result = lift_asked(size_mm, cork_mm, **vars(paste), wanted_g=want)
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.text_tables import wrapped
    from rodhours.words.kitchen import lift_sentences

    answer("\n".join(wrapped(text, width_of_answers()) for text in lift_sentences(result)))
