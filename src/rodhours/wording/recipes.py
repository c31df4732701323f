"""The words of recipes laid side by side: what differs, what nobody can tell, and the warning."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.evidence.result import CAUTION, Note
from rodhours.wording.check_notes import recipe_difference, recipes_differ
from rodhours.wording.numbers import listed

DIFFERS = "differs"
NOT_BY_ALL = "not recorded by all"
NO_RECIPES = (
    "The logbook holds no recipe yet. Fill in a variants table and import it: rodhours import FILE"
)


def pair_says(
    variant: str,
    reference: str,
    differences: Sequence[Mapping[str, Any]],
    not_told: Sequence[str],
) -> str:
    """What two recipes differ in, with the warning where it is more than one thing."""
    if not differences:
        said = f"{variant} and {reference} differ in nothing that is recorded."
    elif len(differences) == 1:
        said = f"{variant} and {reference} differ in {recipe_difference(differences[0])} alone."
    else:
        note = Note("recipes_differ", variant, CAUTION, {"columns": differences})
        said = recipes_differ(note, reference=reference).joined
    if not_told:
        said += f" Only one of the two records {listed(not_told)}, so that may differ too."
    return said
