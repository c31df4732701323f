"""`rodhours recipes`: variants side by side, and what differs between them."""

from __future__ import annotations

from itertools import combinations
from typing import Annotated

import typer

from rodhours.cli.choosing import REFERENCE
from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import UsageError


def recipes(
    variant: Annotated[
        str | None, typer.Argument(help="The variant asked about; all of them without one.")
    ] = None,
    against: Annotated[
        str | None,
        typer.Argument(
            metavar="[REFERENCE]",
            help="The variant to hold it against.  [default: the one the logbook remembers]",
            show_default=False,
        ),
    ] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Do two variants differ in one thing only? Their recipes side by side, differences marked.

    A cell that is not filled in means not recorded: it differs from nothing, and that is said.
    """
    from rodhours.logbook.frames import variants_frame
    from rodhours.logbook.logbook import open_logbook

    with open_logbook(logbook) as book:
        frame = variants_frame(book)
        remembered = book.variant_meant(book.setting(REFERENCE))
        variant, against = book.variant_meant(variant), book.variant_meant(against)
        fished = book.variants_fished()
    from rodhours.kitchen.recipes import recipe_pair, side_by_side
    from rodhours.wording.numbers import listed
    from rodhours.wording.recipes import NO_RECIPES

    known = [str(label) for label in frame["variant"]]
    if not known:
        raise UsageError(NO_RECIPES)
    if variant is not None:
        against = against if against is not None else remembered
        if against is None or against == variant:
            raise UsageError(
                f"Name the variant to hold {variant} against: rodhours recipes {variant} REFERENCE"
            )
        shown, pairs = [variant, against], [(variant, against)]
    else:
        shown = known
        if remembered in known:
            pairs = [(label, remembered) for label in known if label != remembered]
        else:
            pairs = [(later, first) for first, later in combinations(known, 2)]
    rows = side_by_side(frame, shown)
    held = [recipe_pair(frame, one, other) for one, other in pairs]
    without = sorted(fished - set(known))
    if without and variant is None:
        talk(f"Fished, but without a recipe in the logbook: {listed(without)}.")
    if as_json:
        answer_json(
            {
                "schema": 1,
                "variants": shown,
                "columns": [
                    {
                        "column": row.column,
                        "values": dict(zip(shown, row.values, strict=True)),
                        "differs": row.differs,
                        "not_recorded_by_all": row.unsure,
                    }
                    for row in rows
                ],
                "pairs": [pair.to_dict() for pair in held],
                "without_recipe": without,
            }
        )
        return
    from rodhours.report.recipes_text import recipes_text

    answer(recipes_text(shown, rows, held, width_of_answers()))
