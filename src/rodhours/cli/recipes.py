"""`rodhours recipes`: variants side by side, and what differs between them."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers


def recipes(
    variant: Annotated[
        str | None, typer.Argument(help="The variant asked about; all of them without one.")
    ] = None,
    against: Annotated[
        str | None,
        typer.Argument(
            metavar="[REFERENCE]",
            help="The variant to hold it against.  [default: the one the logbook remembers]",
        ),
    ] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Do two variants differ in one thing only? Their recipes side by side, differences marked.

    A cell that is not filled in means not recorded: it differs from nothing, and that is said.
    """
    from rodhours.kitchen.compare import compare_recipes
    from rodhours.log.frames import variants_frame
    from rodhours.log.logbook import open_logbook

    with open_logbook(logbook) as book:
        result = compare_recipes(
            variants_frame(book),
            book.variant_meant(variant),
            book.reference() if against is None else book.variant_meant(against),
            book.variants_fished(),
        )
    if result.without_recipe and variant is None:
        from rodhours.words.recipes import without_recipe

        talk(without_recipe(result))
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.recipes_text import recipes_text

    answer(recipes_text(result, width_of_answers()))
