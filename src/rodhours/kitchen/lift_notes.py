"""Do two compared variants differ in lift? The note for it, from the sizes in their recipes.

Pure functions of the frame of recipes. Paste and cork are taken alike for all, at their stated
densities, so that a difference found here comes from the two diameters alone.
"""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.result import Note
from rodhours.kitchen.buoyancy import Lift, lift, lift_differs
from rodhours.kitchen.constants import SIZE_TOLERANCE_MM


def lift_notes(recipes: pd.DataFrame, variants: Sequence[str], reference: str) -> tuple[Note, ...]:
    """A note `lift_differs` for each variant whose typical lift is not the reference's.

    Numbers: `lift_g` and `reference_lift_g`, `difference_g` (variant less reference), the
    `tolerance_g` it is beyond (what `tolerance_mm` of making tolerance does to either bait).
    Silent where a recipe does not say both its diameters, or says such as no bait has.
    """
    lifts = {label: _lift(recipes, label) for label in (*variants, reference)}
    own = lifts[reference]
    notes = []
    for variant in variants:
        one = lifts[variant]
        if variant == reference or one is None or own is None:
            continue
        found = lift_differs(one, own)
        if found is not None:
            numbers = {
                "lift_g": found["one_g"],
                "reference_lift_g": found["other_g"],
                "difference_g": found["difference_g"],
                "tolerance_g": found["tolerance_g"],
                "tolerance_mm": SIZE_TOLERANCE_MM,
            }
            notes.append(Note("lift_differs", variant, "caution", numbers))
    return tuple(notes)


def _lift(recipes: pd.DataFrame, variant: str) -> Lift | None:
    mine = recipes.loc[recipes["variant"] == variant, ["size_mm", "cork_mm"]].dropna()
    if len(mine) != 1:
        return None
    try:
        return lift(float(mine["size_mm"].iloc[0]), float(mine["cork_mm"].iloc[0]))
    except UsageError:
        return None
