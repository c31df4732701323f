"""The first screen: a question, one sentence, what it rests on, and which answer leads."""

import pytest
from seasons import a_comparison, a_result

from rodhours.report.first_screen import first_screen, leading_variant
from rodhours.wording import first_screen as words

ORDER = ("plain", "a", "b", "c")


def compared(**verdicts):
    return [a_comparison(name, verdict=verdict) for name, verdict in verdicts.items()]


@pytest.mark.parametrize(
    ("verdicts", "said"),
    [
        ({"a": "ahead", "b": "behind"}, "Against plain, a is ahead, and b is behind."),
        (
            {"a": "unsettled", "b": "too little to say", "c": "too little to say"},
            "Against plain, a is not settled, and there is too little to say of b and c.",
        ),
        ({"a": "level", "b": "level"}, "Against plain, a and b are level."),
        (
            dict.fromkeys("abcdef", "unsettled") | {"g": "ahead"},
            "Against plain, one bait is ahead, and six baits are not settled.",
        ),
    ],
)
def test_several_answers_in_one_sentence(verdicts, said):
    """Each bait is in it with its verdict, best first; many are counted instead of named."""
    shown = first_screen(a_result(compared(**verdicts)), ORDER)
    assert shown["lead"] == said


def test_one_answer_is_its_own_sentence():
    """With one comparison the sentence of the answer leads, numbers and all."""
    result = a_result([a_comparison()])
    shown = first_screen(result, ORDER)
    assert shown["lead"] == result.headlines[0]
    assert shown["question"] == "How did pellet-20 catch against plain?"


def test_what_would_settle_it_is_said_where_it_is_known():
    """The hours to two figures, of the leading variant; nothing where they were not worked out."""
    result = a_result([a_comparison("a", shared_sessions=4), a_comparison("b")])
    assert first_screen(result, ORDER)["settles"] is None
    plan = {
        "reference": "plain",
        "ratio": 1.5,
        "grounds": {"rod_hours_a_trip": 68.2},
        "variants": [
            {"variant": "a", "trips_to_go_alone": 2},
            {"variant": "b", "trips_to_go_alone": 9},
        ],
    }
    said = first_screen(result, ORDER, plan)["settles"]
    assert said.startswith("About 610 more rod-hours (9 trips) with b and plain")
    assert "1.50 times" in said
    plan["variants"][1]["trips_to_go_alone"] = None
    assert first_screen(result, ORDER, plan)["settles"] is None


def test_the_leading_variant_is_chosen_by_what_was_fished():
    """Most trips beside the reference, then most hours; same trips before all trips; catches and
    verdicts change nothing."""
    few = a_comparison("few", 9.0, 5.0, 16.0, "ahead", shared_sessions=5, fish=900)
    many = a_comparison("many", shared_sessions=20, rod_hours=10.0, fish=0)
    hours = a_comparison("hours", shared_sessions=20, rod_hours=11.0)
    alone = a_comparison("alone", basis="all trips", shared_sessions=30)
    assert leading_variant(a_result([few, many, alone])) == "many"
    assert leading_variant(a_result([few, many, hours])) == "hours"
    assert leading_variant(a_result([])) is None


def test_what_several_answers_rest_on_adds_up():
    """Fish and hours of the reference and of the baits compared on the same trips; the bait that
    all trips answer for is named."""
    same = {"reference_fish": 30, "reference_rod_hours": 1000.0, "sessions": 36}
    told = a_result(
        [
            a_comparison("a", fish=10, rod_hours=200.0, shared_sessions=9, **same),
            a_comparison("b", fish=5, rod_hours=100.0, shared_sessions=0, **same),
            a_comparison("c", basis="all trips", fish=7, rod_hours=50.0),
        ]
    ).to_dict()["comparisons"]
    said = words.rest_on(told, "plain")
    assert "45 fish in 1,300 rod-hours on the 36 trips" in said
    assert "Beside plain was a on 9 and b on none of them." in said
    assert "The answer for c comes from all trips" in said
