"""The words of a rehearsal: shares with their error, nothing rounded to all or none."""

from __future__ import annotations

import pytest
from statsmodels.stats.proportion import proportion_confint

from rodhours.wording import rehearsal as words


def a_result(**changes):
    """The machine form of a rehearsal; its figures are made up."""
    arm = {
        "assumption_broken": "one", "seasons": 100, "coverage": 0.9, "poisson_coverage": 0.4,
        "median_width": 4.5, "no_limit": 0, "same_trips": 100,
    }  # fmt: skip
    return {
        "schema": 1,
        "seasons": 200,
        "seasons_asked": 200,
        "ratio": 1.5,
        "coverage": 0.96,
        "poisson_coverage": 0.71,
        "settled": {"1.25": 0.05, "1.5": 0.2, "2": 0.42, "3": None},
        "settled_seasons": {"1.25": 100, "1.5": 200, "2": 100, "3": 0},
        "median_width": 3.7,
        "no_limit": 0,
        "arms": [{"arm": "mood", **arm}, {"arm": "clumps_by_rod", **arm}],
        "reference": "plain",
        "variant": "mix",
        "basis": "same trips",
        "trips": 45,
        "stints": 126,
        "truth": {"reference_per_100_rod_hours": 2.0, "session_sd": 1.0, "clumping": 0.0},
        "complete": True,
        **changes,
    }


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
    said = text(
        complete=False, seasons=84, settled_seasons={"1.25": 40, "1.5": 84, "2": 42, "3": 0}
    )
    assert said.startswith(
        "Stopped early: this rests on 84 of the 200 seasons asked for, and on 0 to 100 for each"
    )


def test_what_limits_it_is_said():
    """Open intervals, lost same-trip answers, no same-trip answer at all, trips that are alike."""
    assert "no limit on one side at all, which counts as holding" in text(no_limit=20)
    assert "In most of these seasons the interval had no limit" in text(
        no_limit=120, median_width=None
    )
    lost = a_result()["arms"]
    lost[0]["same_trips"] = 75
    assert "no same-trip answer in 25 of 100" in text(arms=lost)
    assert "cannot tell bait from day" in text(basis="all trips")
    alike = {"reference_per_100_rod_hours": 2.0, "session_sd": 0.0, "clumping": 0.5}
    assert "trips hardly differ" in text(truth=alike)
    assert "come in clumps" in text(truth=alike)


def test_the_heading_says_what_a_season_settles():
    """For a bait twice as good, with its give or take; the count itself where seasons are few."""
    low, high = proportion_confint(42, 100, 0.05, "wilson")
    assert words.heading(a_result()) == (
        "If a bait is twice as good, a season like this settles it in 42 of 100 cases "
        f"(give or take {50 * (high - low):.0f})"
    )
    few = a_result(settled={"2": 0.5}, settled_seasons={"2": 4})
    assert "in 2 of 4 cases (that may mean" in words.heading(few)
