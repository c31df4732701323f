"""The first screen: a question, one sentence, what it rests on, and which answer leads."""

from dataclasses import fields, replace

import pytest
from seasons import a_comparison, a_result

from rodhours.planning.next_season import NextSeason, VariantPlan
from rodhours.report.first_screen import first_screen
from rodhours.report.pictures.variant_style import variant_styles
from rodhours.simulate.grounds import Grounds
from rodhours.words import first_screen as words
from rodhours.words.answer import headline

ORDER = variant_styles(("plain", *"abcdefg", "pellet-20"), "plain")


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
            "Against plain, g is ahead, and six baits are not settled.",
        ),
    ],
)
def test_several_answers_in_one_sentence(verdicts, said):
    """Each bait is in it with its verdict, best first; of many those ahead or behind are named."""
    shown = first_screen(a_result(compared(**verdicts)), ORDER)
    assert shown.lead == said


def test_one_answer_is_its_own_sentence():
    """With one comparison the sentence of the answer leads, numbers and all."""
    result = a_result([a_comparison()])
    shown = first_screen(result, ORDER)
    assert shown.lead == headline(result.comparisons[0], result)
    assert shown.question == "How did pellet-20 catch against plain?"


def test_the_first_screen_has_no_empty_picture():
    """No ratio and no limit, no picture, though fish by themselves would have a limit to draw."""
    known = a_comparison()
    assert first_screen(a_result([known]), ORDER).picture is not None
    nothing = replace(known, rate_ratio=None, conf_low=None, conf_high=None)
    assert first_screen(a_result([nothing]), ORDER).picture is None


def a_plan(source="log", rods=3, sharing=("plain", "a", "b"), at_most=False, **of_b):
    """What to fish next, with what the first screen asks filled in; b is settled first."""
    empty = dict.fromkeys(one.name for one in fields(VariantPlan)) | {"choice": "more hours"}
    a = {"variant": "a", "trips_to_go": 5000 if "a" in sharing else None}
    b = {"variant": "b", "trips_to_go": 9, "season_shows": 1.3} | of_b
    variants = tuple(VariantPlan(**empty | one) for one in (a, b))
    grounds = Grounds(68.2, "log", source, season_trips=45, rods=rods, at_most=at_most)
    return NextSeason("plain", 2.0, "session model", 0.95, 1.25, 1.5, 0.8, variants, (), sharing,
                      grounds)  # fmt: skip


def settles(plan):
    return first_screen(a_result([a_comparison("a"), a_comparison("b")]), ORDER, plan).settles


def test_what_would_settle_it_begins_with_what_to_do():
    """The baits that `plan next` would put on, then trips and hours to two figures (9 × 68.2 is
    613.8) of the one settled first; at least so many where the rate is an upper limit."""
    said = settles(a_plan())
    assert said.startswith("Fish plain, a and b side by side on every trip.")
    assert "About 610 rod-hours of that (9 trips) have 80 chances in 100" in said
    assert "if b truly catches 1.50 times as fast as plain" in said
    assert "At least 610 rod-hours" in settles(a_plan(at_most=True))
    assert settles(a_plan(rods=1, sharing=("plain", "b"))).startswith("Fish plain and b by turns")


def test_what_no_season_would_settle_is_said_by_what_a_season_would():
    """136 trips are three seasons of 45, 9,275 rod-hours; what one season settles comes first.
    Past reach, or past any lifetime, that is said in words; stand-in figures are called so."""
    said = settles(a_plan(trips_to_go=136, season_shows=1.82))
    assert "One more season of that (45 trips) has 80 chances in 100" in said
    assert "if b truly catches 1.82 times as fast as plain" in said
    assert said.index("1.82") < said.index("for 1.50 times it takes about 9,300 rod-hours")
    assert "(136 trips, three such seasons)" in said
    assert "more seasons than anybody has" in settles(a_plan(trips_to_go=4500))
    past_reach = a_plan(trips_to_go=None, sharing=("plain", "b"))
    assert "more trips than anybody fishes" in settles(past_reach)
    assert "have settled it" in settles(a_plan(trips_to_go=0))
    assert "as they did in this log" in said
    assert "stand-in figures" in settles(a_plan(source="stand-in"))


def test_what_would_settle_it_is_left_out_where_nothing_is_open():
    """Without a plan, and where no bait is worth hours."""
    assert settles(None) is None
    assert settles(a_plan(trips_to_go=None, sharing=("plain",))) is None


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
    said = words.rest_on(told)
    assert "45 fish in 1,300 rod-hours on the 36 trips" in said
    assert "Beside plain was a on 9 and b on none of them." in said
    assert "The answer for c comes from all trips" in said
