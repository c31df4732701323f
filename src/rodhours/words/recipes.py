"""The words of recipes laid side by side: what differs, what nobody can tell, and the warning."""

from __future__ import annotations

from dataclasses import asdict

from rodhours.evidence.result import CAUTION, Note
from rodhours.kitchen.compare import RecipePair, RecipesCompared
from rodhours.words.check_notes import recipe_difference, recipes_differ
from rodhours.words.numbers import listed

DIFFERS = "differs"
NOT_BY_ALL = "not recorded by all"


def sentences(recipes: RecipesCompared) -> list[str]:
    """What each pair differs in."""
    return [pair_says(pair) for pair in recipes.pairs]


def pair_says(pair: RecipePair) -> str:
    """What two recipes differ in, with the warning where it is more than one thing."""
    variant, reference = pair.variant, pair.reference
    differences = [asdict(difference) for difference in pair.differences]
    if not differences:
        says = f"{variant} and {reference} differ in nothing that is recorded."
    elif pair.more_than_one:
        note = Note("recipes_differ", variant, CAUTION, {"columns": differences})
        says = recipes_differ(note, reference=reference).joined
    else:
        says = f"{variant} and {reference} differ in {recipe_difference(differences[0])} alone."
    if pair.not_recorded_by_both:
        unsure = listed(pair.not_recorded_by_both)
        says += f" Only one of the two records {unsure}, so that may differ too."
    return says


def without_recipe(recipes: RecipesCompared) -> str:
    """Variants that were fished and have no recipe."""
    return f"Fished, but without a recipe in the logbook: {listed(recipes.without_recipe)}."
