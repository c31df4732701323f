"""The first screen: a question, one sentence, what it rests on, and which answer leads."""

from dataclasses import fields, replace

from seasons import a_comparison, a_result

from rodhours.evidence.result import Note
from rodhours.planning.next_season import NextSeason, VariantPlan
from rodhours.report.outline import first_screen, leading_variant
from rodhours.report.pictures.variant_style import variant_styles
from rodhours.simulate.grounds import Grounds
from rodhours.words import first_screen as words
from rodhours.words.answer import headline

ORDER = variant_styles(("plain", *"abcdefg", "pellet-20"), "plain")


def test_several_answers_in_one_sentence():
    """By verdict, best first, and what could explain one of them; the figures stand beneath."""
    told = [a_comparison(name, 1.5, 1.2, 2.0, verdict) for name, verdict in
            (("a", "too little to say"), ("b", "unsettled"), ("c", "ahead"))]  # fmt: skip
    always = {"by": "rod", "level": "2", "share": 1.0, "mix_ratio": None}
    rods = Note("rods_not_rotated", "c", "serious", always)
    assert first_screen(a_result(told, [rods]), ORDER).lead == (
        "Against plain: ahead, c (but it was always on rod 2); not settled, b; "
        "too little to say, a."
    )


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


def a_plan(source="log", sharing=("plain", "a", "b"), **of_b):
    """What to fish next, with what the first screen asks filled in; b leads."""
    empty = dict.fromkeys(one.name for one in fields(VariantPlan))
    a = {"variant": "a", "trips_to_go_alone": 2, "season_shows_alone": 1.2}
    b = {"variant": "b", "trips_to_go_alone": 9, "season_shows_alone": 1.3} | of_b
    variants = tuple(VariantPlan(**empty | one) for one in (a, b))
    grounds = Grounds(68.2, "log", source, season_trips=45)
    return NextSeason("plain", 2.0, "session model", 0.95, 1.25, 1.5, 0.8, variants, (), sharing,
                      grounds)  # fmt: skip


def settles(plan):
    result = a_result([a_comparison("a", shared_sessions=4), a_comparison("b")])
    return first_screen(result, ORDER, plan).settles


def test_what_would_settle_it_begins_with_what_to_do():
    """Of the leading variant: which two to fish, then trips and hours to two figures (9 × 68.2 is
    613.8); with nothing but these two in the water only where there are more."""
    said = settles(a_plan())
    assert said.startswith("Fish b and plain, and nothing else, side by side on every trip.")
    assert "About 610 rod-hours of that (9 trips) have 80 chances in 100" in said
    assert "1.50 times" in said
    assert "nothing else" not in settles(a_plan(sharing=("plain", "b")))


def test_what_no_season_would_settle_is_said_by_what_a_season_would():
    """136 trips are three seasons of 45, 9,275 rod-hours; what one season settles comes first.
    Past reach, or past any lifetime, that is said in words; stand-in figures are called so."""
    said = settles(a_plan(trips_to_go_alone=136, season_shows_alone=1.82))
    assert "One more season of that (45 trips) has 80 chances in 100" in said
    assert "if one truly catches 1.82 times as fast as the other" in said
    assert said.index("1.82") < said.index("for 1.50 times it takes about 9,300 rod-hours")
    assert "(136 trips, three such seasons)" in said
    assert "more seasons than anybody has" in settles(a_plan(trips_to_go_alone=4500))
    assert "more trips than anybody fishes" in settles(a_plan(trips_to_go_alone=None))
    assert "have settled it: look again" in settles(a_plan(trips_to_go_alone=0))
    assert "as they did in this log" in said
    assert "stand-in figures" in settles(a_plan(source="stand-in"))


def test_what_would_settle_it_is_left_out_where_nothing_is_known():
    """Without a plan, and for a bait that no hours are proposed for."""
    assert settles(None) is None
    assert settles(a_plan(trips_to_go_alone=None, season_shows_alone=None)) is None


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
    )
    said = words.rest_on(told)
    assert "45 fish in 1,300 rod-hours on the 36 trips" in said
    assert "Beside plain was a on 9 and b on none of them." in said
    assert "The answer for c comes from all trips" in said
