"""Numbers as an angler reads them. The rules are the project's own; the figures are by hand."""

import math

import pytest

from rodhours.words import numbers


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1.31, "1.31"),
        (0.86, "0.86"),
        (2.0, "2.00"),
        (1.0, "1.00"),
        (0.043, "0.043"),
        (0.0012, "0.0012"),
        (12.345, "12.3"),
        (1234.5, "1,234"),
        (0, "0"),
        (None, "none"),
        (math.nan, "none"),
        (math.inf, "none"),
    ],
)
def test_a_ratio_has_about_three_figures_and_no_powers_of_ten(value, text):
    """A ratio is written out; one that does not exist is `none`."""
    assert numbers.ratio(value) == text


def test_a_tiny_ratio_is_not_said_in_powers_of_ten():
    """No reader meets 1e-11."""
    assert "e" not in numbers.ratio(1e-11)
    assert numbers.times(0.0) == "no fish"


@pytest.mark.parametrize(
    ("low", "high", "text", "short"),
    [
        (0.86, 2.02, "between 0.86 and 2.02 times", "0.86 to 2.02"),
        (1.2, None, "at least 1.20 times, with no upper limit", "above 1.20"),
        (None, 0.34, "at most 0.34 times, with no lower limit", "below 0.34"),
        (0.0, 0.34, "at most 0.34 times, with no lower limit", "below 0.34"),
        (None, None, "without a limit on either side", "none"),
        (0.0, math.inf, "without a limit on either side", "none"),
    ],
)
def test_limits_that_do_not_exist_are_said_in_words(low, high, text, short):
    """A missing limit is named; 0 below a ratio is no limit."""
    assert numbers.limits(low, high) == text
    assert numbers.limits_short(low, high) == short


@pytest.mark.parametrize(
    ("per_100", "text"),
    [
        (3.0, "a fish every 33 rod-hours"),
        (0.24, "a fish every 417 rod-hours"),
        (25.0, "a fish every 4.0 rod-hours"),
        (100.0, "a fish every rod-hour"),
        (0, "no fish"),
        (None, "no rate"),
    ],
)
def test_a_rate_is_also_said_in_hours_to_a_fish(per_100, text):
    """100 rod-hours over the rate, as anglers say it."""
    assert numbers.fish_every(per_100) == text


@pytest.mark.parametrize(
    ("p", "text"),
    [
        (0.0, "< 0.001"),
        (1e-12, "< 0.001"),
        (0.0342, "0.034"),
        (0.206, "0.21"),
        (0.0497, "0.0497"),
        (0.0503, "0.0503"),
        (0.05, "0.050"),
        (0.999, "> 0.99"),
        (1.0, "1"),
        (None, numbers.MISSING),
        (math.nan, numbers.MISSING),
    ],
)
def test_a_p_value_is_never_0_and_never_rounded_onto_the_line(p, text):
    """p = 0 does not exist, and 0.0497 must not read as 0.05."""
    assert numbers.p_value(p) == text


@pytest.mark.parametrize(
    ("share", "text"),
    [(0.95, "95 %"), (0, "0 %"), (1, "100 %"), (0.004, "under 1 %"), (0.999, "99.9 %")],
)
def test_a_share_that_is_not_none_or_all_never_reads_so(share, text):
    """A share of 0.4 % is not 0 %, and 99.9 % is not 100 %."""
    assert numbers.percent(share) == text


def test_a_confidence_level_is_as_exact_as_it_was_asked_for():
    """97.5 % is not rounded to 98 %."""
    assert numbers.confidence_level(0.975) == "97.5 %"
    assert numbers.confidence_level(0.95) == "95 %"


@pytest.mark.parametrize(
    ("how_many", "noun", "text"),
    [
        (31, "trip", "31 trips"),
        (1, "trip", "1 trip"),
        (0, "trip", "no trips"),
        (1, "fish", "1 fish"),
        (12, "fish", "12 fish"),
        (1200, "stint", "1,200 stints"),
    ],
)
def test_counts_have_the_right_plural(how_many, noun, text):
    """The plural of fish is fish."""
    assert numbers.count(how_many, noun) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (1050.5, "1,050 rod-hours"),
        (7.5, "7.5 rod-hours"),
        (1, "1 rod-hour"),
        (24.0, "24 rod-hours"),
        (0.25, "0.25 rod-hours"),
        (0.0012, "0.0012 rod-hours"),
    ],
)
def test_hours_keep_what_matters(value, text):
    """Large totals are whole; short stints never read as none."""
    assert numbers.hours(value) == text


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [(2.1, 4.6, "2.1 to 4.6"), (0.0, 1.2, "0 to 1.2"), (1.4, None, "above 1.4"), (0, None, "none")],
)
def test_limits_of_a_rate_for_a_table(low, high, text):
    """A rate has 0 as a true lower end, and says where it has no upper one."""
    assert numbers.rate_limits(low, high) == text


def test_lists_read_as_english():
    """Commas, and one `and`."""
    assert numbers.listed([]) == ""
    assert numbers.listed(["a"]) == "a"
    assert numbers.listed(["a", "b", "c"]) == "a, b and c"
