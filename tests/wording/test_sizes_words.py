"""The words about sizes: verdicts, missing answers, units, none that claims more than weighing."""

import re

import pytest

from rodhours.wording import sizes as words


def a_comparison(ratio=1.1, low=0.9, high=1.3, reason=None, **changes):
    return {
        "variant": "pellet-20",
        "weight_ratio": ratio,
        "conf_low": low,
        "conf_high": high,
        "fish": 40,
        "reference_fish": 30,
        "sessions": 25,
        "shared_sessions": 9,
        "reason": reason,
    } | changes


@pytest.mark.parametrize(
    ("ratio", "low", "high", "verdict"),
    [
        (1.2, 1.003, 1.4, "Heavier"),
        (0.8, 0.6, 0.997, "Lighter"),
        (1.1, 0.9, 1.3, "Not settled"),
        (1.0, 0.9, 1.1, "Not settled"),
    ],
)
def test_the_verdict_follows_the_limits(ratio, low, high, verdict):
    """Heavier or lighter where both limits lie on one side of 1; the limits read so too."""
    said = words.opening(a_comparison(ratio, low, high), "plain", 0.95)
    assert said.startswith(f"{verdict}: a typical weighed fish on pellet-20")
    assert "95 % confidence" in said
    assert "40 fish on pellet-20 against 30 on plain" in said
    if verdict == "Heavier":
        assert "1.003" in said
    if verdict == "Lighter":
        assert "0.997" in said


@pytest.mark.parametrize("reason", ["few_fish", "few_sessions", "no_fit"])
def test_no_number_has_a_reason(reason):
    """Without a ratio the sentence says why, and holds no ratio."""
    said = words.opening(a_comparison(None, None, None, reason), "plain", 0.95)
    assert said.startswith("No answer for pellet-20: ")
    assert not re.search(r"None|nan|times|\{", said)


def test_every_answer_is_about_weighed_fish():
    """With and without a fit the reader is told whose weights these are."""
    model = {"fish": 70, "sessions": 25, "df": 23, "session_sd": 0.2, "fish_sd": 0.3}
    for said in (words.rests_on(None, []), words.rests_on(model, [a_comparison()])):
        assert "about the fish that were weighed and only those" in said
    assert "70 fish on 25 trips (9 trips with both for pellet-20)" in words.rests_on(
        model, [a_comparison(), a_comparison(None, None, None, "few_fish", variant="double-dose")]
    )


def test_the_picture_in_words():
    """The alt text has each variant, its median and biggest fish in the unit asked for."""
    rows = [
        {"variant": "plain", "weighed": 2, "median_kg": 9.071847, "biggest_kg": 10.092430},
        {"variant": "pellet-20", "weighed": 40, "median_kg": 8.0, "biggest_kg": 9.0},
        {"variant": "double-dose", "weighed": 0, "median_kg": None, "biggest_kg": None},
    ]
    said = words.alt(rows, [a_comparison()], "lb")
    assert "plain 2 fish, median 20 lb, biggest 22 lb 4 oz" in said
    assert "1.10 times as heavy as the reference (between 0.90 and 1.30 times)" in said
    assert "double-dose none weighed" in said
    assert "median 8.00 kg" in words.alt(rows, [], "kg")
    assert words.heading(rows, "lb") == "The biggest fish weighed, 22 lb 4 oz, came on plain"
    assert words.heading(rows[2:], "lb") == "No fish was weighed"
    heading = "Whether any bait brings heavier fish is not settled"
    assert words.heading(rows, "lb", [a_comparison()], "plain") == heading
    settled = [a_comparison(1.3, 1.1, 1.5), a_comparison(0.8, 0.7, 0.9, variant="double-dose")]
    assert words.heading(rows, "lb", settled, "plain") == (
        "Fish that were weighed were heavier on pellet-20 and lighter on double-dose than on plain"
    )
    assert "for all comparisons together" in words.caption("plain", 0.95, 2)
    assert "together" not in words.caption("plain", 0.95, 1)
