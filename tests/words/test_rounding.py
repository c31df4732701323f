"""No rounding contradicts a verdict: limits stay on their side of 1 and of the margin.

The verdicts are those of the evidence itself; the shown figures are read back as a reader does.
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from report.seasons import a_comparison, a_result
from rodhours.evidence.response.result import ResponseResult, StepEstimate
from rodhours.evidence.verdicts import verdict
from rodhours.words import numbers, response
from rodhours.words.answer import headline

RATIOS = st.floats(1e-4, 1e4, allow_nan=False)
NEAR_1 = st.floats(-1e-3, 1e-3).map(lambda one: 1.0 + one)
LIMITS = st.one_of(
    RATIOS, NEAR_1, NEAR_1.map(lambda one: 1.25 * one), NEAR_1.map(lambda one: one / 1.25)
)
MARGINS = st.sampled_from([1.25, 1.1, 1.5, 4 / 3, 1.333, 2.0])


def read(text: str) -> float:
    return float(text.replace(",", ""))


@given(value=LIMITS, margin=MARGINS)
@example(value=0.996, margin=1.25)
@example(value=1.004, margin=1.25)
@example(value=math.nextafter(1.0, 2.0), margin=1.25)
@example(value=1.2504, margin=1.25)
def test_a_shown_limit_is_on_the_side_of_the_limit_itself(value, margin):
    """Of 1, of the margin and of its inverse, compared with the margin as it is printed."""
    shown = read(numbers.ratio(value, margin))
    for mark in (1.0, margin, 1.0 / margin, read(numbers.margin_text(margin))):
        if not math.isclose(value, mark, rel_tol=1e-11):
            assert (shown > mark) == (value > mark), (value, mark, shown)


@given(low=LIMITS, wider=st.floats(1.0, 20.0), margin=MARGINS)
@example(low=1.0004, wider=1.5, margin=1.25)
@example(low=0.7, wider=0.9996 / 0.7, margin=1.25)
@example(low=0.8001, wider=1.2504 / 0.8001, margin=1.25)
def test_the_verdict_on_the_shown_limits_is_the_verdict(low, wider, margin):
    """A reader who judges by the printed limits comes to the printed verdict."""
    high = low * wider
    given_verdict = verdict(low, high, 20, 20, margin)
    shown = re.fullmatch(r"(.*) to (.*)", numbers.limits_short(low, high, margin))
    assert shown is not None
    low_shown, high_shown = map(read, shown.groups())
    # How wide is too wide is no matter of a side that digits could show.
    if max(high / low, high_shown / low_shown) < 15.5:
        edge = any(
            math.isclose(one, mark, rel_tol=1e-11)
            for one in (low, high)
            for mark in (1.0, margin, 1.0 / margin)
        )
        assert edge or verdict(low_shown, high_shown, 20, 20, margin) == given_verdict


@pytest.mark.parametrize(
    ("value", "margin", "text"),
    [
        (0.996, 1.25, "0.996"),
        (1.004, 1.25, "1.004"),
        (1.2504, 1.25, "1.2504"),
        (1.2496, 1.25, "1.2496"),
        (1.25, 1.25, "1.25"),
        (0.7996, 1.25, "0.7996"),
        (0.8, 1.25, "0.80"),
        (1.31, 1.25, "1.31"),
        (1.2504, None, "1.25"),
    ],
)
def test_digits_are_added_only_where_they_are_needed(value, margin, text):
    """By hand: the shortest of two decimals or more that does not mislead."""
    assert numbers.ratio(value, margin) == text


def test_a_margin_is_as_exact_as_it_was_asked_for():
    """1.25 has two decimals; 4/3 is not cut to 1.33."""
    assert numbers.margin_text(1.25) == "1.25"
    assert numbers.margin_text(2.0) == "2.00"
    assert numbers.margin_text(1.333) == "1.333"
    assert numbers.margin_text(4 / 3) == "1.33333333333"


@pytest.mark.parametrize(
    ("p", "line", "text"),
    [
        (0.0998, 0.1, "0.0998"),
        (0.1004, 0.1, "0.1004"),
        (0.0096, 0.01, "0.0096"),
        (0.0097, 0.05, "0.010"),
        (0.0497, 1 - 0.95, "0.0497"),
        (0.0002, 0.0001, "0.0002"),
    ],
)
def test_a_p_value_stays_on_its_side_of_the_line_of_its_limits(p, line, text):
    """With 90 % limits the line is 0.1, with 99 % limits 0.01."""
    assert numbers.p_value(p, line) == text


def behind(low=0.5263, high=0.9259, verdict="behind", ratio=0.7092):
    """The opening sentence of a bait that caught 0.71 times as fast as plain."""
    one = a_comparison("pellet-20", ratio, low, high, verdict, rod_hours=1050.0, reference_fish=60)
    return headline(one, a_result([one]))


def test_who_is_behind_is_said_the_other_way_round():
    """1/0.7092 = 1.41, 1/0.9259 = 1.08, 1/0.5263 = 1.90: estimate and limits turn together, and
    the figures of the tables stand beside them."""
    assert behind() == (
        "Behind: on the 31 trips that had both in the water, plain caught 1.41 times as fast as "
        "pellet-20; with 95 % confidence between 1.08 and 1.90 times (that is, pellet-20 at 0.71 "
        "times the rate of plain, 0.53 to 0.93)."
    )


def test_turned_round_a_limit_beside_1_does_not_read_as_1():
    """0.9996 is 1.0004 the other way round."""
    said = behind(high=0.9996)
    assert "between 1.0004 and 1.90" in said
    assert "0.53 to 0.9996" in said


def test_turned_round_a_missing_limit_is_on_the_other_side():
    """No lower limit of the ratio is no upper one of its inverse."""
    said = behind(low=None)
    assert "at least 1.08 times, with no upper limit (that is" in said
    assert "below 0.93" in said


@pytest.mark.parametrize("verdict_given", ["unsettled", "level", "too little to say"])
def test_other_verdicts_keep_the_direction_that_was_asked_for(verdict_given):
    """Only a bait that is behind is turned round: an interval across 1 has no better side."""
    said = behind(verdict=verdict_given, ratio=0.9, high=1.1)
    assert "pellet-20 caught 0.90 times as fast as plain" in said


def test_no_sentence_says_slow():
    """`1.4 times as slow` means nothing."""
    for name in ("behind", "unsettled", "level", "too little to say"):
        assert "slow" not in behind(verdict=name)


@pytest.mark.parametrize(
    ("estimate", "low", "high", "text"),
    [
        (1.31, 0.86, 2.02, "1.31 (0.86 to 2.02)"),
        (1.1, 1.0004, 1.2504, "1.10 (1.0004 to 1.2504)"),
        (0.0, None, 0.34, "no fish; below 0.34"),
        (None, 2.9, None, "above 2.90"),
        (None, None, None, "no answer"),
    ],
)
def test_the_label_of_a_picture_keeps_to_the_same_rule(estimate, low, high, text):
    """A missing estimate or limit is said; no limit is rounded across a mark."""
    assert numbers.ratio_label(estimate, low, high, 1.25) == text


@given(high=st.floats(1.0001, 1.6), steps=st.floats(0.2, 20.0))
@example(high=1.1178, steps=2.0)
@example(high=1.1183, steps=2.0)
def test_limits_of_a_step_do_not_contradict_the_verdict_on_the_range(high, steps) -> None:
    """The range is level where its limits are within 1.25 times: limits of one step as printed,
    taken to the whole range, lie on the same side of that as the limits themselves."""
    said = response.opening(
        ResponseResult(
            column="pellet_pct", unit="points", per=20.0 / steps, values=(0.0, 20.0),
            basis="same trips", confidence=0.95, verdict="level",
            rate_ratio=1.0, conf_low=1 / high, conf_high=high, p_value=0.5,
            fish=50, rod_hours=900.0, sessions=30, contrasting_sessions=30,
            reference_value=0.0, reference_variant="plain", adjusted_for=(),
            all_trips=StepEstimate(1.0, 1 / high, high, 0.5, 50, 900.0, 30, 30),
            bent=None, lack_of_fit=None, curve=(), points=(), models=(),
        )
    )  # fmt: skip
    shown = [float(one) for one in re.search(r"between (\S+) and (\S+) times", said).groups()]
    if abs(steps * math.log(high) - math.log(1.25)) > 1e-6:
        for limit, printed in zip((1 / high, high), shown, strict=True):
            inside = abs(steps * math.log(limit)) <= math.log(1.25)
            assert (abs(steps * math.log(printed)) <= math.log(1.25)) == inside
    assert "no more than 1.25 times either way" in said
