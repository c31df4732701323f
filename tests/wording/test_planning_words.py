"""Planned hours and the next season in words: signs, chances, months, nothing rounded to none."""

from __future__ import annotations

import pytest

from rodhours.wording.planning_hours import chances, of_100, plain_rate
from rodhours.wording.planning_next import gain, gain_limits_short, trip_says


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


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.8, "80"), (0.004, "under 1"), (0.996, "over 99"), (1.0, "100"), (0.0, "0")],
)
def test_a_chance_is_never_rounded_to_certainty(share, said):
    """Of 100, and neither 0 nor 100 unless it is."""
    assert of_100(share) == said


def test_a_power_is_as_exact_as_it_was_asked_for():
    """80 and 97.5 chances in 100."""
    assert chances(0.8) == "80 chances in 100"
    assert chances(0.975) == "97.5 chances in 100"


def test_the_plain_rate_is_said_where_it_differs():
    """Only where the fit is more than a tenth off fish over rod-hours."""
    assert plain_rate({"plain_rate_per_100": 3.0, "rate_per_100": 3.1}) == ""
    assert "2.0 per 100" in plain_rate({"plain_rate_per_100": 2.0, "rate_per_100": 3.1})
    assert plain_rate({"plain_rate_per_100": None, "rate_per_100": 3.0}) == ""


def test_months_are_named_without_their_year():
    """Trips to come are in a month of the year, whichever year the log had it in."""
    missing = {
        "variant": "mix",
        "by": "month",
        "variant_only": ["2024-03", "2025-03", "2025-04"],
        "reference_only": [],
        "level": "2025-03",
        "share": 0.9,
        "reference_share": 0.0,
        "for_all_trips": True,
    }
    assert trip_says(missing, {"reference": "plain"}) == (
        "plain was never fished in March or April: trips with both in those months would break "
        "that (it bears on the all-trips answer alone)."
    )


def test_water_temperature():
    """Warmer or colder, both means, and what would help."""
    missing = {
        "variant": "mix",
        "by": "water_temp_c",
        "variant_only": [],
        "reference_only": [],
        "mean": 9.04,
        "reference_mean": 14.0,
        "for_all_trips": False,
    }
    said = trip_says(missing, {"reference": "plain"})
    assert said.startswith("mix was fished in colder water than plain (9.0 °C against 14.0 °C")
