"""Numbers as an angler reads them. The rules are the project's own; the figures are by hand."""

import math

import pytest

from rodhours.words import numbers

SAID = {
    # About three figures and no powers of ten; what does not exist is `none`.
    numbers.ratio: (
        (1.31, "1.31"), (0.86, "0.86"), (2.0, "2.00"), (1.0, "1.00"), (0.043, "0.043"),
        (0.0012, "0.0012"), (12.345, "12.3"), (1234.5, "1,234"), (0, "0"), (None, "none"),
        (math.nan, "none"), (math.inf, "none"),
    ),
    numbers.times: ((0.0, "no fish"), (None, "no ratio"), (1.31, "1.31 times")),
    # 100 rod-hours over the rate, as anglers say it.
    numbers.fish_every: (
        (3.0, "a fish every 33 rod-hours"), (0.24, "a fish every 417 rod-hours"),
        (25.0, "a fish every 4.0 rod-hours"), (100.0, "a fish every rod-hour"), (0, "no fish"),
        (None, "no rate"),
    ),
    # p = 0 does not exist, and 0.0497 must not read as 0.05.
    numbers.p_value: (
        (0.0, "< 0.001"), (1e-12, "< 0.001"), (0.0342, "0.034"), (0.206, "0.21"),
        (0.0497, "0.0497"), (0.0503, "0.0503"), (0.05, "0.050"), (0.999, "> 0.99"), (1.0, "1"),
        (None, numbers.MISSING), (math.nan, numbers.MISSING),
    ),
    # A share of 0.4 % is not 0 %, and 99.9 % is not 100 %.
    numbers.percent: (
        (0.95, "95 %"), (0, "0 %"), (1, "100 %"), (0.004, "under 1 %"), (0.999, "99.9 %"),
    ),
    numbers.confidence_level: ((0.975, "97.5 %"), (0.95, "95 %")),
    # Large totals are whole; short stints never read as none.
    numbers.hours: (
        (1050.5, "1,050 rod-hours"), (7.5, "7.5 rod-hours"), (1, "1 rod-hour"),
        (24.0, "24 rod-hours"), (0.25, "0.25 rod-hours"), (0.0012, "0.0012 rod-hours"),
    ),
    numbers.listed: (([], ""), (["a"], "a"), (["a", "b", "c"], "a, b and c")),
    # What limits of several comparisons hold for.
    numbers.for_all: ((1, ""), (2, " for both together"), (3, " for all three together")),
}  # fmt: skip
SAID_OF_TWO = {
    # The plural of fish is fish.
    numbers.count: (
        (31, "trip", "31 trips"), (1, "trip", "1 trip"), (0, "trip", "no trips"),
        (1, "fish", "1 fish"), (12, "fish", "12 fish"), (1200, "stint", "1,200 stints"),
    ),
    # A missing limit is named; 0 below a ratio is no limit.
    numbers.limits: (
        (0.86, 2.02, "between 0.86 and 2.02 times"),
        (1.2, None, "at least 1.20 times, with no upper limit"),
        (None, 0.34, "at most 0.34 times, with no lower limit"),
        (0.0, 0.34, "at most 0.34 times, with no lower limit"),
        (None, None, "without a limit on either side"),
        (0.0, math.inf, "without a limit on either side"),
    ),
    numbers.limits_short: (
        (0.86, 2.02, "0.86 to 2.02"), (1.2, None, "above 1.20"), (0.0, 0.34, "below 0.34"),
        (0.0, math.inf, "none"),
    ),
    # A rate has 0 as a true lower end, and says where it has no upper one.
    numbers.rate_limits: (
        (2.1, 4.6, "2.1 to 4.6"), (0.0, 1.2, "0 to 1.2"), (1.4, None, "above 1.4"),
        (0, None, "none"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("say", SAID | SAID_OF_TWO, ids=lambda say: say.__name__)
def test_numbers_are_said_as_an_angler_reads_them(say):
    """Each rule and its edges."""
    for value, text in SAID.get(say, ()):
        assert say(value) == text
    for one, other, text in SAID_OF_TWO.get(say, ()):
        assert say(one, other) == text


def test_a_tiny_ratio_is_not_said_in_powers_of_ten():
    """No reader meets 1e-11."""
    assert "e" not in numbers.ratio(1e-11)
