"""The heading over this season beside earlier ones says which way a bait went."""

from __future__ import annotations

from types import SimpleNamespace as Stand

import pytest

from rodhours.words.season_by_season import heading


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({}, "2026 has no earlier season to be held against"),
        (
            {"plain": (3.0, False)},
            "What the baits do in 2026 is not told apart from earlier seasons",
        ),
        ({"plain": (3.0, True)}, "plain did better in 2026 than before"),
        ({"plain": (0.4, True)}, "plain did worse in 2026 than before"),
        (
            {"plain": (0.4, True), "crumb": (2.0, True), "p20": (0.9, False)},
            "crumb did better and plain did worse in 2026 than before",
        ),
    ],
)
def test_the_heading_says_which_way_a_bait_went(changes, says):
    """A ratio of ratios above 1 is better, below 1 worse; what has not changed is not named."""
    made = [
        Stand(variant=name, ratio_of_ratios=ratio, changed=changed)
        for name, (ratio, changed) in changes.items()
    ]
    assert heading(Stand(seasons=[Stand(season="2026")], changes=made)) == says
