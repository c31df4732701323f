"""The words of sheet and lift: no rounding that lets a bait sink, singulars, conversions."""

from __future__ import annotations

import pytest

from rodhours.wording import kitchen as words


def test_what_it_holds_is_rounded_down():
    """0.699 g is never said to hold 0.70 g, and range and holding weight agree."""
    assert "up to 0.69 g in the water" in words.holds_text(0.76, 0.699, 0.769)
    assert "as lead is 0.76 g in air" in words.holds_text(0.76, 0.699, 0.769)
    assert "between 0.69 g and" in words.lift_text(0.76, 0.699, 0.81, 12, 0.5)
    assert "between -0.01 g and" in words.lift_text(0.1, -0.002, 0.2, 12, 0.5)


def test_a_bait_that_may_sink_holds_nothing():
    """Where the typical or the weakest bait sinks, no hook weight is named."""
    assert "It sinks" in words.holds_text(-0.1, -0.2, 0)
    weak = words.holds_text(0.1, -0.1, 0)
    assert "weakest of them sinks" in weak
    assert " g " not in weak


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (1, "eggs", "1 egg"),
        (2, "eggs", "2 eggs"),
        (1, "s", "1 s"),
        (1234.5, "g", "1,234.5 g"),
        (1.36, "g", "1.36 g"),
        (400.0, "g", "400 g"),
        (0.25, "sachets", "0.25 sachets"),
    ],
)
def test_amounts(value, unit, said):
    """Amounts carry their unit in the right number and no empty decimals."""
    assert words.amount(value, unit) == said


def test_wanted_lift_names_each_way_there_is():
    """Size, cork, both or neither: only what exists is named."""
    both = words.wanted_text(0.5, 18.7, 12, 11.4, 16)
    assert "18.7 mm over the 12 mm cork" in both
    assert "a cork of 11.4 mm in the 16 mm bait" in both
    assert "cork of" not in words.wanted_text(0.5, 18.7, 12, None, 16)
    assert words.wanted_text(5, None, 12, None, 16).startswith("Neither")
