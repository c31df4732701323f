"""What differs between recipes, in lift, and of a batch from its recipe: worked by hand."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from rodhours.errors import UsageError
from rodhours.kitchen.compare import (
    Difference,
    OffRecipe,
    compare_recipes,
    lift_notes,
    off_recipe,
    recipe_notes,
    recipe_pair,
    side_by_side,
)
from rodhours.words.notes import gathered, says

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
    pair = recipe_pair(RECIPES, "pellet-20", "plain")
    assert pair.differences == (Difference("pellet_pct", 20.0, 0.0),)
    assert pair.not_recorded_by_both == ("pellet_kind",)
    assert not pair.more_than_one


def test_a_recipe_does_not_differ_from_itself():
    """Nor is anything of it untold."""
    for variant in RECIPES["variant"]:
        pair = recipe_pair(RECIPES, variant, variant)
        assert (pair.differences, pair.not_recorded_by_both) == ((), ())


def test_further_columns_count():
    """Every column of the table of variants is an ingredient or a step, whatever its name."""
    recipes = RECIPES.assign(steam_min=[0.0, 5.0, 5.0, np.nan])
    found = recipe_pair(recipes, "pellet-20-long", "plain").differences
    assert [one.column for one in found] == ["pellet_pct", "boil_s", "steam_min"]
    assert found[1] == Difference("boil_s", 120.0, 90.0)


def test_an_empty_recipe_differs_from_nothing():
    """Not recorded is not zero: nothing can be told, and that is said of every column."""
    pair = recipe_pair(RECIPES, "bare", "plain")
    assert pair.differences == ()
    columns = ("base_mix", "pellet_pct", "cork_mm", "size_mm", "boil_s", "dye_ml")
    assert pair.not_recorded_by_both == columns


def test_side_by_side_marks_each_column():
    """Differs where two recorded values do, unsure where one is not recorded."""
    rows = {row.column: row for row in side_by_side(RECIPES, ["plain", "pellet-20-long", "bare"])}
    assert "notes" not in rows
    assert (rows["boil_s"].differs, rows["boil_s"].not_recorded_by_all) == (True, True)
    assert (rows["cork_mm"].differs, rows["cork_mm"].not_recorded_by_all) == (False, True)
    assert list(rows["pellet_pct"].values.values()) == [0.0, 20.0, None]


def test_unknown_and_doubled_recipes_are_refused():
    """The recipes there are get named."""
    with pytest.raises(UsageError, match="plain, pellet-20"):
        recipe_pair(RECIPES, "unheard-of", "plain")
    with pytest.raises(UsageError, match="more than one recipe"):
        recipe_pair(pd.concat([RECIPES, RECIPES]), "pellet-20", "plain")


def test_all_recipes_are_held_against_one_or_each_other():
    """Against the reference where it has a recipe; else each pair once: 4 recipes make 6."""
    one = compare_recipes(RECIPES, reference="plain", fished={"plain", "unheard-of"})
    assert [(pair.variant, pair.reference) for pair in one.pairs] == [
        (label, "plain") for label in ("pellet-20", "pellet-20-long", "bare")
    ]
    assert one.without_recipe == ("unheard-of",)
    assert len(compare_recipes(RECIPES, reference="unheard-of").pairs) == 6
    assert "differ in pellet_pct (20 against 0) alone" in repr(one)


def test_the_note_is_for_more_than_one_difference():
    """One difference is what a comparison is for; two get the note with both values of each."""
    (note,) = recipe_notes(RECIPES, ["pellet-20", "pellet-20-long", "bare", "unheard-of"], "plain")
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
    assert "pellet_pct (20 against 0) and boil_s (120 against 90)" in says(note)
    assert recipe_notes(RECIPES, ["plain"], "unheard-of") == ()


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
    assert "fat" in says(note)


def test_lift_is_silent_where_it_cannot_be_known():
    """No size, no cork, or a cork larger than the bait: nothing is said, nothing fails."""
    recipes = sizes(
        ("plain", 15.5, 12.0), ("a", np.nan, 12.0), ("b", 15.5, np.nan), ("c", 10.0, 12.0)
    )
    assert lift_notes(recipes, ["a", "b", "c", "unheard-of", "plain"], "plain") == ()
    assert lift_notes(recipes, ["plain"], "a") == ()


ASKED = {
    "pellet_pct": 20.0,
    "attractor_ml_per_egg": 3.0,
    "albumen_g_per_kg": 40.0,
    "boil_s": 100.0,
    "size_mm": 15.5,
}
AS_ASKED = {
    "dry_g": 400.0,
    "pellet_g": 80.0,
    "albumen_g": 16.0,
    "eggs": 4.0,
    "attractor_ml": 12.0,
    "boil_s": 100.0,
    "diameters_mm": (15.2, 15.8),
}


def test_a_batch_as_asked_is_not_off():
    """80 g in 400 g is 20 %, 12 ml to 4 eggs 3 ml, 16 g in 400 g 40 g/kg."""
    assert off_recipe(AS_ASKED, ASKED) == ()


@pytest.mark.parametrize(
    ("change", "column", "as_made"),
    [
        ({"pellet_g": 100.0}, "pellet_pct", 25.0),
        ({"attractor_ml": 16.0}, "attractor_ml_per_egg", 4.0),
        ({"albumen_g": 20.0}, "albumen_g_per_kg", 50.0),
        ({"boil_s": 120.0}, "boil_s", 120.0),
        ({"diameters_mm": (16.0, 17.0)}, "size_mm", 16.5),
    ],
)
def test_each_quantity_is_held_against_the_recipe(change, column, as_made):
    """One thing off is that thing, with both figures."""
    found = off_recipe(AS_ASKED | change, ASKED)
    assert found == (OffRecipe(column, pytest.approx(as_made), ASKED[column]),)


def test_pellet_added_on_top_shows():
    """80 g on top of 400 g is 16.7 % of the finished dry mix, not 20 %."""
    (found,) = off_recipe({"dry_g": 480.0, "pellet_g": 80.0}, ASKED)
    assert found.as_made == pytest.approx(100 / 6)


def test_what_is_not_recorded_is_not_off():
    """Nothing weighed, or nothing in the recipe: nothing to hold against each other."""
    assert off_recipe({}, ASKED) == ()
    assert off_recipe({"dry_g": np.nan, "pellet_g": 80.0, "boil_s": None}, ASKED) == ()
    assert off_recipe(AS_ASKED | {"pellet_g": 0.0}, {"pellet_pct": np.nan}) == ()


def test_the_tolerance_itself_is_within():
    """84 g in 400 g is 21 %, one point more: not off; 85 g is."""
    assert off_recipe({"dry_g": 400.0, "pellet_g": 84.0}, ASKED) == ()
    assert len(off_recipe({"dry_g": 400.0, "pellet_g": 85.0}, ASKED)) == 1
