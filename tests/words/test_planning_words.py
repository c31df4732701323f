"""Planned hours and the next season in words: signs, chances, months, nothing rounded to none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rodhours.planning.next_season import MissingTrips, NextSeason
from rodhours.planning.rotation import plan_rotation
from rodhours.simulate.grounds import Grounds
from rodhours.simulate.hours import plan_hours
from rodhours.words import rotation as rotation_words
from rodhours.words.planning_hours import chances, plain_rate
from rodhours.words.planning_next import gain, gain_limits_short, trip_says

GROUNDS = Grounds(72.0, "stand-in")
PLAN = NextSeason("plain", 2.0, "session model", 0.95, 1.25, 1.5, 0.8, (), (), ("plain",), GROUNDS)


def missing(by, **changes) -> MissingTrips:
    nothing = dict.fromkeys(("level", "share", "reference_share", "mean", "reference_mean"))
    sides = {"variant_only": (), "reference_only": (), "for_all_trips": False}
    return MissingTrips("mix", by, **{**nothing, **sides, **changes})


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (1.64, "+1.6"),
        (-0.913, "−0.91"),
        (0.004, "+0.0040"),
        (0.0, "0"),
        (-1e-12, "0"),
        (None, "none"),
        (-12, "−12.0"),
    ],
)
def test_a_gain_keeps_its_sign(value, said):
    """A gain and a loss are told apart by their sign, and a small one is not none."""
    assert gain(value) == said


def test_limits_of_a_gain():
    """Both, or the one there is."""
    assert gain_limits_short(-0.9, 2.7) == "−0.90 to +2.7"
    assert gain_limits_short(-2.0, None) == "above −2.0"
    assert gain_limits_short(None, None) == "none"


def test_a_power_is_as_exact_as_it_was_asked_for():
    """80 and 97.5 chances in 100."""
    assert chances(0.8) == "80 chances in 100"
    assert chances(0.975) == "97.5 chances in 100"


def test_the_plain_rate_is_said_where_it_differs():
    """Only where the fit is more than a tenth off fish over rod-hours."""
    assert plain_rate(replace(GROUNDS, plain_per_100=3.0, per_100=3.1)) == ""
    assert "2.0 per 100" in plain_rate(replace(GROUNDS, plain_per_100=2.0, per_100=3.1))
    assert plain_rate(GROUNDS) == ""


def test_months_are_named_without_their_year():
    """Trips to come are in a month of the year, whichever year the log had it in."""
    months = ("2024-03", "2025-03", "2025-04")
    assert trip_says(missing("month", variant_only=months, for_all_trips=True)) == (
        "mix in March or April (for the all-trips answer alone)"
    )


def test_a_plan_shows_its_answer():
    """In a line, and in a notebook with what limits it; the words of the terminal."""
    plan = plan_hours(ratio=1.5, rods=2, trip_hours=24, quick=True)
    assert repr(plan).startswith("<HoursPlan: To settle, with 80 chances in 100, that a bait")
    assert "too hopeful" in plan._repr_html_()
    assert repr(PLAN).startswith("<NextSeason: Next: make a second bait")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"rods": 2}, None),
        ({"rods": 2, "reference": "a", "even": True}, rotation_words.REFERENCE_EVEN),
        ({"rods": 3, "reference": "a"}, rotation_words.REFERENCE_THERE),
        ({"rods": 1, "reference": "a", "even": True}, None),
    ],
)
def test_what_is_said_of_the_reference_of_a_plan(asked, said):
    """On every trip, as often as the others, or nothing where there is none to speak of."""
    plan = plan_rotation(("a", "b", "c"), asked.pop("rods"), 6, starts=1, **asked)
    sentences = {rotation_words.REFERENCE_EVEN, rotation_words.REFERENCE_THERE}
    assert sentences & set(rotation_words.on_plan(plan)) == ({said} if said else set())
