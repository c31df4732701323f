"""Notes: each code has a text that names its numbers and what to do about it."""

import re

import pytest

from rodhours.wording.check_notes import CHECK_TEXTS
from rodhours.wording.gathering import gathered
from rodhours.wording.notes import codes, says

EXAMPLES = [
    (
        "not_same_trips",
        "pellet-20",
        {"shared_sessions": 2, "reason": "few_sessions"},
        ["2 trips", "at least 4 trips", "cannot tell", "side by side"],
    ),
    (
        "not_same_trips",
        "pellet-20",
        {"shared_sessions": 0, "reason": "unlinked"},
        ["no trips", "never fished beside"],
    ),
    (
        "not_same_trips",
        "pellet-20",
        {"shared_sessions": 4, "reason": "few_df"},
        ["too few such trips"],
    ),
    (
        "no_same_trips",
        "pellet-20",
        {"shared_sessions": 0, "reason": "unlinked"},
        ["no same-trip answer for pellet-20", "never fished beside", "side by side"],
    ),
    (
        "favourite_conditions",
        "pellet-20",
        {"same_trips_ratio": 1.04, "all_trips_ratio": 2.21, "z": 3.0},
        ["flatters pellet-20", "2.21 times", "1.04 times", "good trips", "same trips"],
    ),
    (
        "favourite_conditions",
        "pellet-20",
        {"same_trips_ratio": 2.0, "all_trips_ratio": 0.9, "z": -3.0},
        ["hides pellet-20", "poor trips"],
    ),
    (
        "hidden_conditions",
        "pellet-20",
        {"factor": 1.2},
        ["1.20 times as good", "nobody logged", "limit", "to 1"],
    ),
    ("hidden_conditions", "pellet-20", {"factor": 0.8}, ["only 0.80 times as good"]),
    ("few_fish", "pellet-20", {"fish": 3, "reference_fish": 9}, ["3 fish on pellet-20", "9 fish"]),
    ("no_fish", "pellet-20", {"rod_hours": 412.0}, ["no fish in 412 rod-hours", "at most"]),
    (
        "no_fish_on_reference",
        "pellet-20",
        {"rod_hours": 88.0},
        ["reference", "88 rod-hours", "no ratio", "--reference"],
    ),
    (
        "fish_not_known",
        None,
        {
            "min_weight_kg": 9.071847,
            "outcome": "landed",
            "unknown": 3,
            "concerned": 80,
            "by_variant": {"plain": 2, "pellet-20": 1},
        },
        [
            "Of the 80 fish concerned, 3 have no weight",
            "2 on plain and 1 on pellet-20",
            "fish of 20 lb and over",
        ],
    ),
    (
        "fish_not_known",
        None,
        {
            "species": "carp",
            "min_weight_kg": 9.5,
            "outcome": "landed",
            "unknown": 1,
            "concerned": 80,
            "by_variant": {"plain": 1},
        },
        [
            "Of the 80 fish concerned, 1 has no species or no weight",
            "is not counted",
            "carp of 9.5 kg and over",
        ],
    ),
    (
        "lost_not_logged",
        None,
        {"stints": 2, "rod_hours": 31.5},
        ["2 stints (31.5 rod-hours) were left out", "empty cell is not none", "Write 0"],
    ),
    (
        "fish_not_weighed",
        None,
        {"unweighed": 1, "of": 90, "by_variant": {"plain": 1}},
        ["Of the 90 landed fish, 1 was not weighed (1 on plain)", "Weigh every fish"],
    ),
    (
        "several_species",
        None,
        {"species": {"carp": 40, "tench": 1}},
        ["40 carp and 1 tench", "--species"],
    ),
    (
        "size_reference_chosen",
        None,
        {"reference": "plain", "weighed": 33},
        ["plain was taken", "33", "--reference"],
    ),
    (
        "left_out",
        None,
        {"sessions": [{"session": "trip 2", "angler": "Ann", "because": "hours were guessed"}]},
        [
            "session trip 2 of Ann",
            "because: hours were guessed",
            "bends the answer",
            "type rodhours leave-out 'trip 2' --take-back",
        ],
    ),
    ("lost_from_catches", None, {}, ["as catches lists them", "column lost"]),
    ("no_fit", None, {"basis": "same trips"}, ["from the same trips", "More trips"]),
    ("rods_not_logged", None, {}, ["rod", "spot", "Log the rod"]),
    ("adjust_by_rod", None, {}, ["--adjust rod"]),
    (
        "stints_left_out",
        None,
        {"column": "water_temp_c", "stints": 12, "rod_hours": 240.0, "fish": 3},
        ["12 stints", "240 rod-hours", "3 fish", "were left out", "water_temp_c"],
    ),
    (
        "stints_left_out",
        None,
        {"column": "rod", "stints": 1, "rod_hours": 1.0, "fish": 0},
        ["1 stint (1 rod-hour, no fish) was left out"],
    ),
    (
        "column_constant_within_trips",
        None,
        {"column": "month"},
        ["month", "same for all baits", "all-trips answer is adjusted"],
    ),
    (
        "column_not_used",
        None,
        {"column": "spot", "reason": "it is the same on every stint"},
        ["not adjusted for spot: it is the same on every stint."],
    ),
    (
        "mostly_indirect",
        "pellet-20",
        {"shared_sessions": 6, "sessions": 40},
        ["40 trips", "only 6", "third bait"],
    ),
    (
        "reference_chosen",
        None,
        {"reference": "plain", "shared_rod_hours": 1500.0},
        ["plain was taken", "1,500 rod-hours", "not because of what it caught", "--reference"],
    ),
    (
        "reference_chosen",
        None,
        {"reference": "plain", "shared_rod_hours": 0.0},
        ["plain was taken. Choose another"],
    ),
    ("small_difference", "pellet-20", {"margin": 1.25}, ["small", "1.25 times either way"]),
    ("one_variant", None, {}, ["Only one bait"]),
    ("mixed_fishing", None, {}, ["several baits in the water at once"]),
    ("too_few_trips", "pellet-20", {"sessions": 3}, ["3 trips", "pellet-20"]),
]


@pytest.mark.parametrize(("code", "variant", "numbers", "parts"), EXAMPLES)
def test_a_note_says_its_numbers_and_what_to_do(code, variant, numbers, parts):
    """The parts that carry the meaning are there, as one or more whole sentences."""
    said = says(code, variant, numbers)
    for part in parts:
        assert part in said
    assert said.endswith(".")
    assert said[0].isupper() or said.startswith("pellet") or said[0].isdigit()
    assert not re.search(r"signific|prove|None|nan|\{", said)


def test_every_code_is_tried_here():
    """A new code without an example of its text fails."""
    assert {code for code, *_ in EXAMPLES} == set(codes()) - set(CHECK_TEXTS)


def test_an_unknown_code_is_an_error():
    """A note without words must not reach a reader."""
    with pytest.raises(KeyError):
        says("all_is_well", None, {})


def note(code, variant, severity="caution", **numbers):
    """A note in its machine form."""
    return {
        "code": code,
        "variant": variant,
        "severity": severity,
        "says": says(code, variant, numbers),
        "numbers": numbers,
    }


def test_what_holds_for_several_baits_is_said_once():
    """Each bait and its numbers are still named."""
    said = gathered(
        [
            note("mostly_indirect", "a", shared_sessions=9, sessions=38),
            note("rods_not_logged", None),
            note("mostly_indirect", "b", shared_sessions=7, sessions=38),
        ]
    )
    assert len(said) == 2
    assert "a on 9 of 38 trips and b on 7 of 38 trips" in said[0][1]


@pytest.mark.parametrize(
    ("code", "numbers", "parts"),
    [
        ("few_fish", {"fish": 3, "reference_fish": 9}, ["3 fish on a against 9", "3 fish on b"]),
        ("no_fish", {"rod_hours": 88.0}, ["a in 88 rod-hours and b in 88 rod-hours"]),
        ("not_same_trips", {"shared_sessions": 0, "reason": "unlinked"}, ["for a and b come from"]),
        (
            "one_batch_each",
            {"batches": 1, "reference_batches": 3},
            ["a and b were", "one batch each"],
        ),
        (
            "one_batch_each",
            {"batches": 1, "reference_batches": 1},
            ["a, b and the reference were fished from one batch each"],
        ),
        (
            "one_batch_each",
            {"batches": 4, "reference_batches": 1},
            ["The reference was fished from one batch only"],
        ),
        ("hidden_conditions", {"factor": 1.2}, ["a’s trips", "b’s trips", "1.20 times as good"]),
    ],
)
def test_gathered_texts_keep_names_and_numbers(code, numbers, parts):
    """One text for both baits, nothing lost that a reader needs."""
    ((severity, text),) = gathered([note(code, name, **numbers) for name in ("a", "b")])
    assert severity == "caution"
    for part in parts:
        assert part in text


def test_notes_of_different_weight_or_reason_stay_apart():
    """A serious note is not hidden in a caution, nor one reason in another."""
    assert (
        len(
            gathered(
                [
                    note("few_fish", "a", "serious", fish=1, reference_fish=1),
                    note("few_fish", "b", "caution", fish=3, reference_fish=30),
                    note("not_same_trips", "a", shared_sessions=0, reason="unlinked"),
                    note("not_same_trips", "b", shared_sessions=2, reason="few_sessions"),
                ]
            )
        )
        == 4
    )


def test_equal_texts_are_said_once():
    """A text that names no bait is not repeated for each."""
    twice = [note("no_fish_on_reference", name, rod_hours=88.0) for name in ("a", "b")]
    assert len(gathered(twice)) == 1
