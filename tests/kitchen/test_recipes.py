"""What differs between two recipes, written down by hand; the notes that a comparison carries."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from rodhours.errors import UsageError
from rodhours.kitchen.lift_notes import lift_notes
from rodhours.kitchen.recipes import (
    Difference,
    recipe_differences,
    recipe_notes,
    recipe_pair,
    side_by_side,
)
from rodhours.wording.notes import gathered

RECIPES = pd.DataFrame(
    {
        "variant": ["plain", "pellet-20", "pellet-20-long", "bare"],
        "base_mix": ["birdseed", " Birdseed", "birdseed", None],
        "pellet_pct": [0.0, 20.0, 20.0, np.nan],
        "cork_mm": [12.0, 12.0, 12.0, np.nan],
        "size_mm": [15.5, 15.5, 15.5, np.nan],
        "boil_s": [90.0, 90.0, 120.0, np.nan],
        "pellet_kind": [None, "halibut", "halibut", None],
        "dye_ml": ["1.0", "1", "1", None],
        "notes": ["first", "second", "third", None],
    }
)


def test_one_difference_is_one():
    """Capitals, spaces, number formats, notes and empty cells are no difference."""
    assert recipe_differences(RECIPES, "pellet-20", "plain") == (
        Difference("pellet_pct", 20.0, 0.0),
    )
    assert recipe_pair(RECIPES, "pellet-20", "plain").not_told == ("pellet_kind",)


def test_a_recipe_does_not_differ_from_itself():
    """Nor is anything of it untold."""
    for variant in RECIPES["variant"]:
        assert recipe_differences(RECIPES, variant, variant) == ()
        assert recipe_pair(RECIPES, variant, variant).not_told == ()


def test_further_columns_count():
    """Every column of the table of variants is an ingredient or a step, whatever its name."""
    recipes = RECIPES.assign(steam_min=[0.0, 5.0, 5.0, np.nan])
    found = recipe_differences(recipes, "pellet-20-long", "plain")
    assert [one.column for one in found] == ["pellet_pct", "boil_s", "steam_min"]
    assert found[1] == Difference("boil_s", 120.0, 90.0)


def test_an_empty_recipe_differs_from_nothing():
    """Not recorded is not zero: nothing can be told, and that is said of every column."""
    pair = recipe_pair(RECIPES, "bare", "plain")
    assert pair.differences == ()
    assert pair.not_told == ("base_mix", "pellet_pct", "cork_mm", "size_mm", "boil_s", "dye_ml")


def test_side_by_side_marks_each_column():
    """Differs where two recorded values do, unsure where one is not recorded."""
    rows = {row.column: row for row in side_by_side(RECIPES, ["plain", "pellet-20-long", "bare"])}
    assert "notes" not in rows
    assert (rows["boil_s"].differs, rows["boil_s"].unsure) == (True, True)
    assert (rows["cork_mm"].differs, rows["cork_mm"].unsure) == (False, True)
    assert rows["pellet_pct"].values == (0.0, 20.0, None)


def test_unknown_and_doubled_recipes_are_refused():
    """The recipes there are get named."""
    with pytest.raises(UsageError, match="plain, pellet-20"):
        recipe_differences(RECIPES, "robin", "plain")
    with pytest.raises(UsageError, match="more than one recipe"):
        recipe_differences(pd.concat([RECIPES, RECIPES]), "pellet-20", "plain")


def test_the_note_is_for_more_than_one_difference():
    """One difference is what a comparison is for; two get the note with both values of each."""
    (note,) = recipe_notes(RECIPES, ["pellet-20", "pellet-20-long", "bare", "robin"], "plain")
    assert (note.code, note.variant, note.severity) == (
        "recipes_differ",
        "pellet-20-long",
        "caution",
    )
    assert note.numbers == {
        "columns": [
            {"column": "pellet_pct", "variant": 20.0, "reference": 0.0},
            {"column": "boil_s", "variant": 120.0, "reference": 90.0},
        ]
    }
    assert "pellet_pct (20 against 0) and boil_s (120 against 90)" in note.says
    assert recipe_notes(RECIPES, ["plain"], "robin") == ()


def test_notes_on_several_baits_are_told_as_one():
    """A reader meets one text with all baits, the machine form keeps a note for each."""
    recipes = sizes(("plain", 15.5, 12.0), ("fat", 19.0, 12.0), ("bare", 18.0, 0.0))
    recipes["boil_s"] = [90.0, 120.0, 120.0]
    notes = recipe_notes(recipes, ["fat", "bare"], "plain")
    notes += lift_notes(recipes, ["fat", "bare"], "plain")
    assert len(notes) == 4
    told = gathered(notes)
    assert len(told) == 2
    for _, text in told:
        assert "fat" in text
        assert "bare" in text


def sizes(*rows: tuple) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["variant", "size_mm", "cork_mm"])


def skin_g(size: float, cork: float, water: float, paste: float) -> float:
    """Lift of the skin alone in g, from the volume of a shell: pi / 6 (D^3 - d^3)."""
    return np.pi / 6 * (size**3 - cork**3) / 1000 * (water - paste) / 1000


def test_lift_beyond_the_tolerance_gets_a_note():
    """Over the same cork only the skins differ, so the difference is that of two shells.

    Water at 12 °C is 999.5 kg/m³ (published tables, from memory), paste stands at 1100.
    """
    recipes = sizes(("plain", 15.5, 12.0), ("fat", 18.0, 12.0), ("near", 15.7, 12.0))
    (note,) = lift_notes(recipes, ["fat", "near"], "plain")
    assert (note.code, note.variant, note.severity) == ("lift_differs", "fat", "caution")
    worked = skin_g(18.0, 12.0, 999.5, 1100.0) - skin_g(15.5, 12.0, 999.5, 1100.0)
    assert note.numbers["difference_g"] == pytest.approx(worked, abs=0.001)
    assert note.numbers["difference_g"] == pytest.approx(
        note.numbers["lift_g"] - note.numbers["reference_lift_g"]
    )
    assert abs(note.numbers["difference_g"]) > note.numbers["tolerance_g"]
    assert note.numbers["tolerance_mm"] == 0.5
    assert "fat" in note.says


def test_lift_is_silent_where_it_cannot_be_known():
    """No size, no cork, or a cork larger than the bait: nothing is said, nothing fails."""
    recipes = sizes(
        ("plain", 15.5, 12.0), ("a", np.nan, 12.0), ("b", 15.5, np.nan), ("c", 10.0, 12.0)
    )
    assert lift_notes(recipes, ["a", "b", "c", "robin", "plain"], "plain") == ()
    assert lift_notes(recipes, ["plain"], "a") == ()
