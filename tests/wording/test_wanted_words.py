"""What is counted, in words: species, weight and outcome, alone and together."""

import pytest

from rodhours.wording.report import filter_words
from rodhours.wording.wanted import counted_here, too_many_unknown, wanted_fish

# 20 lb in kilograms by the definition of the pound.
TWENTY = 20 * 0.45359237


@pytest.mark.parametrize(
    ("chosen", "said"),
    [
        ({}, None),
        ({"venue": ["Alder Mere"]}, None),
        ({"outcome": "landed"}, None),
        ({"min_weight_kg": TWENTY, "outcome": "landed"}, "fish of 20 lb and over"),
        ({"species": "mirror carp", "outcome": "landed"}, "mirror carp"),
        ({"species": "tench", "min_weight_kg": 2.5}, "tench of 2.5 kg and over"),
        ({"outcome": "lost"}, "fish hooked and lost"),
        ({"outcome": "hooked"}, "fish hooked, landed or lost"),
        ({"species": "tench", "outcome": "lost"}, "tench hooked and lost"),
    ],
)
def test_the_phrase(chosen, said):
    """None where every fish landed counts; else the phrase, and a sentence that holds it."""
    assert wanted_fish(chosen) == said
    sentence = counted_here(chosen)
    assert (sentence is None) == (said is None)
    if sentence is not None:
        assert sentence.startswith(f"Counted here: {said}. ")


def test_more_lost_fish_are_no_merit():
    """Only for lost fish is it said what ahead means."""
    assert "more of them were lost" in counted_here({"outcome": "lost"})
    assert "lost per rod-hour" not in counted_here({"outcome": "hooked"})


def test_rows_and_fish_are_told_apart_in_the_sources():
    """The choice of rows first, then what is counted, never kilograms under a bare name."""
    chosen = {"venue": ["Alder Mere"], "min_weight_kg": TWENTY, "outcome": "landed"}
    assert filter_words(chosen) == "venue Alder Mere; counted: fish of 20 lb and over"
    assert filter_words({"outcome": "lost"}).startswith("all rows of the logbook; counted")
    assert filter_words({}) == "all rows of the logbook"


def test_a_refusal_names_numbers_variants_and_remedy():
    """How many of how many, on which baits, what is allowed and what to log."""
    said = too_many_unknown(
        {"species": "tench", "min_weight_kg": TWENTY, "outcome": "landed"},
        8,
        100,
        {"plain": 7, "pellet-20": 1},
        0.05,
    )
    for part in (
        "8 of the 100 fish concerned (8 %)",
        "no species or no weight",
        "7 on plain and 1 on pellet-20",
        "no more than 5 % may",
        "its species and weight",
    ):
        assert part in said
    assert "seldom weighed" not in said
