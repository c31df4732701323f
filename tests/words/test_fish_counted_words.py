"""What is counted, in words: species, weight and outcome, alone and together."""

import pytest

from rodhours.evidence.result import Note
from rodhours.words.fish_counted import counted_here, wanted_fish
from rodhours.words.notes import says
from rodhours.words.report import filter_words

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
    """None where every fish landed counts; else the phrase, and a sentence that holds it. Of lost
    fish alone it is said that more of them are no merit."""
    assert wanted_fish(chosen) == said
    sentence = counted_here(chosen) or ""
    assert bool(sentence) == (said is not None)
    assert sentence.startswith(f"Counted here: {said}. " if said else "")
    assert ("more of them were lost" in sentence) == (chosen.get("outcome") == "lost")


def test_rows_and_fish_are_told_apart_in_the_sources():
    """The choice of rows first, then what is counted, never kilograms under a bare name."""
    chosen = {"venue": ["Alder Mere"], "min_weight_kg": TWENTY, "outcome": "landed"}
    assert filter_words(chosen) == "venue Alder Mere; counted: fish of 20 lb and over"
    assert filter_words({"outcome": "lost"}).startswith("all rows of the logbook; counted")
    assert filter_words({}) == "all rows of the logbook"


@pytest.mark.parametrize(
    ("outcome", "least", "lost"),
    [("lost", 2.0, True), ("hooked", 2.0, True), ("landed", 2.0, False), ("lost", None, False)],
)
def test_lost_fish_are_blamed_only_where_weights_of_lost_fish_are_asked_for(outcome, least, lost):
    """Of a species, or of landed fish, the advice would mend nothing."""
    chosen = {"species": "tench", "min_weight_kg": least, "outcome": outcome}
    numbers = {"unknown": 3, "concerned": 9, "most": 0.05, "by_variant": {"plain": 3}}
    said = says(Note("too_many_unknown", None, "serious", {**chosen, **numbers}))
    assert ("ask for --outcome landed" in said) == lost
