"""Recipes side by side as plain text: the table, then what each pair differs in."""

from __future__ import annotations

from rodhours.kitchen.compare import RecipesCompared
from rodhours.report.text_tables import side_by_side, wrapped
from rodhours.report.text_width import shorten
from rodhours.words import recipes as words
from rodhours.words.check_notes import recipe_value

NAME_EMS = 18
"""How wide the name over a column may be on a terminal; sentences have it whole."""


def recipes_text(recipes: RecipesCompared, width: int | None = None) -> str:
    """A line a recipe column, a column a variant, what differs first; all within `width`."""
    names = [name if width is None else shorten(name, NAME_EMS, 1) for name in recipes.variants]
    table = [["", "", *names]]
    for row in recipes.columns:
        mark = words.NOT_BY_ALL if row.not_recorded_by_all else ""
        cells = [recipe_value(row.values[variant]) for variant in recipes.variants]
        table.append([row.column, words.DIFFERS if row.differs else mark, *cells])
    sentences = [wrapped(text, width) for text in words.sentences(recipes)]
    return "\n\n".join([side_by_side(table, width), *sentences])
