"""The first screen: a question, one sentence, what it rests on, and which answer leads."""

from dataclasses import replace

from seasons import a_comparison, a_result

from rodhours.evidence.result import Note
from rodhours.report.page import first_screen
from rodhours.report.pictures.variant_style import variant_styles
from rodhours.words.answer import headline, rest_on

ORDER = variant_styles(("plain", *"abcdefg", "pellet-20"), "plain")


def test_several_answers_in_one_sentence():
    """By verdict, best first, and what could explain one of them; the figures stand beneath."""
    told = [a_comparison(name, 1.5, 1.2, 2.0, verdict) for name, verdict in
            (("a", "too little to say"), ("b", "unsettled"), ("c", "ahead"))]  # fmt: skip
    always = {"by": "rod", "level": "2", "share": 1.0, "mix_ratio": None}
    rods = Note("rods_not_rotated", "c", "serious", always)
    assert first_screen(a_result(told, [rods]), ORDER)["lead"] == (
        "Against plain: ahead, c (but it was always on rod 2); not settled, b; "
        "too little to say, a."
    )


def test_one_answer_is_its_own_sentence():
    """With one comparison the sentence of the answer leads, numbers and all."""
    result = a_result([a_comparison()])
    shown = first_screen(result, ORDER)
    assert shown["lead"] == headline(result.comparisons[0], result)
    assert shown["question"] == "How did pellet-20 catch against plain?"


def test_the_first_screen_has_no_empty_picture():
    """No ratio and no limit, no picture, though fish by themselves would have a limit to draw."""
    known = a_comparison()
    assert first_screen(a_result([known]), ORDER)["picture"] is not None
    nothing = replace(known, rate_ratio=None, conf_low=None, conf_high=None)
    assert first_screen(a_result([nothing]), ORDER)["picture"] is None


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
    )
    said = rest_on(told)
    assert "45 fish in 1,300 rod-hours on the 36 trips" in said
    assert "Beside plain was a on 9 and b on none of them." in said
    assert "The answer for c comes from all trips" in said
