"""The words of a rehearsal: shares with their error, nothing rounded to all or none."""

from __future__ import annotations

from dataclasses import replace

import pytest
from statsmodels.stats.proportion import proportion_confint

from rodhours.simulate.rehearse import ArmResult, RehearsalResult
from rodhours.simulate.season import MOOD, OWN, RODS
from rodhours.words import rehearsal as words


def an_arm(arm=OWN, ratio=1.5, seasons=100, ahead=0, **changes) -> ArmResult:
    """So many seasons of an arm; nine of ten held the truth, four of ten fish by fish."""
    counts = {"held": seasons * 9 // 10, "poisson_held": seasons * 4 // 10, "no_limit": 0}
    return ArmResult(
        arm, ratio, **{"asked": seasons, "seasons": seasons, "ahead": ahead, **counts,
                       "same_trips": seasons, "median_width": 4.5, **changes}
    )  # fmt: skip


LADDER = (an_arm(ratio=1.25, ahead=5), an_arm(ahead=40, seasons=200),
          an_arm(ratio=2.0, ahead=42), an_arm(ratio=3.0, seasons=0, asked=100))  # fmt: skip


def a_result(**changes) -> RehearsalResult:
    """A rehearsal; its figures are made up."""
    own = an_arm(seasons=200, held=192, poisson_held=142, median_width=3.7)
    result = RehearsalResult(
        reference="plain", variant="mix", basis="same trips", ratio=1.5, seed=1, trips=45,
        stints=126, rate=0.02, session_sd=1.0, clumping=0.0, own=own,
        ladder=(*LADDER[:3], replace(LADDER[3], asked=0)), arms=(an_arm(MOOD), an_arm(RODS)),
    )  # fmt: skip
    return replace(result, **changes)


def text(**changes) -> str:
    return "\n".join(part for part, _ in words.rehearsal_lines(a_result(**changes)))


@pytest.mark.parametrize(("held", "seasons"), [(192, 200), (0, 50), (50, 50), (3, 7), (500, 1000)])
def test_limits_of_a_share(held, seasons):
    """Wilson's interval, as statsmodels works it out; give or take is half of it."""
    low, high = proportion_confint(held, seasons, 0.05, "wilson")
    assert words.share_limits(held / seasons, seasons) == pytest.approx((low, high), abs=1e-6)
    said = int(words.give_or_take(held / seasons, seasons).split()[-1])
    assert said == pytest.approx(50 * (high - low), abs=0.51)


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.96, "96"), (1.0, "100"), (0.0, "0"), (0.997, "over 99"), (0.003, "under 1")],
)
def test_of_100(share, said):
    """All and none are said only of all and none."""
    assert words.of_100(share) == said


def test_the_sentences():
    """Each share stands with its give or take, and the aim beside what was reached."""
    said = text()
    assert (
        "On your own season’s schedule, the interval held the truth in 96 of 100 rehearsed "
        "seasons (give or take 3), and it is made to hold it in 95 of 100; counting every fish by "
        "itself would have in 71 of 100 (give or take 6)." in said
    )
    assert "twice as good: 42 of 100 cases (give or take 9)" in said
    assert "three times as good: no season yet" in said
    assert "a fish every 50 rod-hours" in said
    assert "more than 2.72 times as good as a usual one" in said
    assert "significant" not in said
    assert "proved" not in said
    assert "Stopped early" not in said


def test_few_seasons_are_not_said_of_100():
    """Nine of nine is no hundred of a hundred."""
    assert words.share_said(1.0, 9) == "9 of 9 (that may mean 70 to 100 of 100)"


def test_stopped_early():
    """How many seasons a partial answer rests on comes first."""
    said = text(own=an_arm(seasons=84, asked=200), ladder=LADDER)
    assert said.startswith(
        "Stopped early: this rests on 84 of the 200 seasons asked for, and on 0 to 100 for each"
    )


def test_what_limits_it_is_said():
    """Open intervals, lost same-trip answers, no same-trip answer at all, trips that are alike."""
    own = a_result().own
    open_ones = text(own=replace(own, no_limit=20))
    assert "no limit on one side at all, which counts as holding" in open_ones
    mostly = text(own=replace(own, no_limit=120, median_width=None))
    assert "In most of these seasons the interval had no limit" in mostly
    lost = text(arms=(an_arm(MOOD, same_trips=75), an_arm(RODS)))
    assert "no same-trip answer in 25 of 100" in lost
    assert "cannot tell bait from day" in text(basis="all trips")
    alike = text(session_sd=0.0, clumping=0.5)
    assert "trips hardly differ" in alike
    assert "come in clumps" in alike


def test_the_heading_says_what_a_season_settles():
    """For a bait twice as good, with its give or take; the count itself where seasons are few."""
    low, high = proportion_confint(42, 100, 0.05, "wilson")
    assert words.heading(a_result()) == (
        "If a bait is twice as good, a season like this settles it in 42 of 100 cases "
        f"(give or take {50 * (high - low):.0f})"
    )
    few = a_result(ladder=(an_arm(ratio=2.0, seasons=4, ahead=2),))
    assert "in 2 of 4 cases (that may mean" in words.heading(few)
    assert repr(few).startswith("<RehearsalResult: If a bait is twice as good")


def test_the_machine_form_says_what_each_arm_breaks():
    """In words, behind the code of the arm."""
    arms = a_result().to_dict()["arms"]
    assert [list(arm)[:3] for arm in arms] == [["arm", "assumption_broken", "seasons"]] * 2
    assert [arm["assumption_broken"] for arm in arms] == [
        words.ASSUMPTIONS[MOOD], words.ASSUMPTIONS[RODS]
    ]  # fmt: skip
