"""Recipes side by side as plain text: the table, then what each pair differs in."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.kitchen.recipes import RecipePair, RecipeRow
from rodhours.report.text_tables import aligned, wrapped
from rodhours.wording import recipes as words
from rodhours.wording.check_notes import recipe_value


def recipes_text(
    variants: Sequence[str],
    rows: Sequence[RecipeRow],
    pairs: Sequence[RecipePair],
    width: int | None = None,
) -> str:
    """One line a recipe column, one column a variant; sentences are wrapped at `width`."""
    table = [["", *variants, ""]]
    for row in rows:
        mark = words.DIFFERS if row.differs else words.NOT_BY_ALL if row.unsure else ""
        table.append([row.column, *(recipe_value(value) for value in row.values), mark])
    parts = ["\n".join(aligned(table, width))]
    parts += [
        wrapped(
            words.pair_says(
                pair.variant,
                pair.reference,
                [one.to_dict() for one in pair.differences],
                pair.not_told,
            ),
            width,
        )
        for pair in pairs
    ]
    return "\n\n".join(parts)
