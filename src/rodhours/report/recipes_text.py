"""Recipes side by side as plain text: the table, then what each pair differs in."""

from __future__ import annotations

from rodhours.kitchen.compare import RecipesCompared
from rodhours.report.text_tables import aligned, wrapped
from rodhours.words import recipes as words
from rodhours.words.check_notes import recipe_value


def recipes_text(recipes: RecipesCompared, width: int | None = None) -> str:
    """One line a recipe column, one column a variant; sentences are wrapped at `width`."""
    table = [["", *recipes.variants, ""]]
    for row in recipes.columns:
        mark = words.NOT_BY_ALL if row.not_recorded_by_all else ""
        cells = [recipe_value(row.values[variant]) for variant in recipes.variants]
        table.append([row.column, *cells, words.DIFFERS if row.differs else mark])
    sentences = [wrapped(text, width) for text in words.sentences(recipes)]
    return "\n\n".join(["\n".join(aligned(table, width)), *sentences])
