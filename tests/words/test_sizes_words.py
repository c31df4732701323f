"""The words about sizes: verdicts, missing answers, units, none that claims more than weighing."""

import re

import pandas as pd
import pytest

from rodhours.evidence.sizes import SizeComparison, SizeModel, SizeRow, SizesResult
from rodhours.words import sizes as words


def a_comparison(ratio=1.1, low=0.9, high=1.3, reason=None, variant="pellet-20"):
    return SizeComparison(variant, ratio, low, high, 40, 30, 25, 9, reason)


def a_result(*comparisons, rows=(), model=None):
    fish = pd.DataFrame({"variant": [], "session": [], "weight_kg": []})
    return SizesResult(
        reference="plain",
        confidence=0.95,
        rows=rows,
        comparisons=comparisons,
        model=model,
        fish=fish,
    )


ROWS = (
    SizeRow("plain", 2, 0, 2, 9.071847, 9.0, 9.5, 10.092430),
    SizeRow("pellet-20", 40, 0, 20, 8.0, 7.0, 8.5, 9.0),
    SizeRow("double-dose", 0, 3, 0, None, None, None, None),
)


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
    one = a_comparison(ratio, low, high)
    said = words.opening(one, a_result(one))
    assert said.startswith(f"{verdict}: a typical weighed fish on pellet-20")
    assert "95 % confidence" in said
    assert "40 fish on pellet-20 against 30 on plain" in said
    for limit in (low, high):
        assert f"{limit:g}" in said


@pytest.mark.parametrize("reason", ["few_fish", "few_sessions", "no_fit"])
def test_no_number_has_a_reason(reason):
    """Without a ratio the sentence says why, and holds no ratio."""
    one = a_comparison(None, None, None, reason)
    said = words.opening(one, a_result(one))
    assert said.startswith("No answer for pellet-20: ")
    assert not re.search(r"None|nan|times|\{", said)


def test_every_answer_is_about_weighed_fish():
    """With and without a fit the reader is told whose weights these are."""
    none = a_comparison(None, None, None, "few_fish", "double-dose")
    fitted = a_result(a_comparison(), none, model=SizeModel(70, 25, 23, 0.2, 0.3))
    for result in (a_result(), fitted):
        assert "about the fish that were weighed and only those" in words.rests_on(result)
    assert "70 fish on 25 trips (9 trips with both for pellet-20)" in words.rests_on(fitted)


def test_the_picture_in_words():
    """The alt text has each variant, its median and biggest fish in the unit asked for."""
    said = words.alt(a_result(a_comparison(), rows=ROWS), "lb")
    assert "plain 2 fish, median 20 lb, biggest 22 lb 4 oz" in said
    assert "1.10 times as heavy as the reference (between 0.90 and 1.30 times)" in said
    assert "double-dose none weighed" in said
    assert "median 8.00 kg" in words.alt(a_result(rows=ROWS), "kg")
    assert "for both together" in words.caption(a_result(a_comparison(), a_comparison()))
    assert "together" not in words.caption(a_result(a_comparison()))


@pytest.mark.parametrize(
    ("comparisons", "said"),
    [
        ((), "The biggest fish weighed was 22 lb 4 oz"),
        ((a_comparison(),), "Whether any bait brings heavier fish is not settled"),
        (
            (a_comparison(1.3, 1.1, 1.5), a_comparison(0.8, 0.7, 0.9, variant="double-dose")),
            "Fish that were weighed were heavier on pellet-20 and lighter on double-dose than on "
            "plain",
        ),
    ],
)
def test_the_heading_states_the_finding(comparisons, said):
    """Heavier or lighter where it is settled; else the biggest fish."""
    assert words.heading(a_result(*comparisons, rows=ROWS), "lb") == said
