"""A batch against its recipe: shares worked by hand, tolerances from both sides."""

from __future__ import annotations

import numpy as np
import pytest

from rodhours.kitchen.off_recipe import OffRecipe, off_recipe

RECIPE = {
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
    assert off_recipe(AS_ASKED, RECIPE) == ()


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
    found = off_recipe(AS_ASKED | change, RECIPE)
    assert found == (OffRecipe(column, pytest.approx(as_made), RECIPE[column]),)


def test_pellet_added_on_top_shows():
    """80 g on top of 400 g is 16.7 % of the finished dry mix, not 20 %."""
    (found,) = off_recipe({"dry_g": 480.0, "pellet_g": 80.0}, RECIPE)
    assert found.as_made == pytest.approx(100 / 6)


def test_what_is_not_recorded_is_not_off():
    """Nothing weighed, or nothing in the recipe: nothing to hold against each other."""
    assert off_recipe({}, RECIPE) == ()
    assert off_recipe({"dry_g": np.nan, "pellet_g": 80.0, "boil_s": None}, RECIPE) == ()
    assert off_recipe(AS_ASKED | {"pellet_g": 0.0}, {"pellet_pct": np.nan}) == ()


def test_the_tolerance_itself_is_within():
    """84 g in 400 g is 21 %, one point more: not off; 85 g is."""
    assert off_recipe({"dry_g": 400.0, "pellet_g": 84.0}, RECIPE) == ()
    assert len(off_recipe({"dry_g": 400.0, "pellet_g": 85.0}, RECIPE)) == 1
