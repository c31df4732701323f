"""Hours in every form, against timedelta and exact fractions."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.hours import hours, read_stay


@settings(max_examples=20)
@given(st.integers(0, 400), st.integers(0, 59), st.sampled_from(["", ":00", ":30"]))
def test_clock_hours_are_hours_and_minutes(whole: int, minutes: int, seconds: str) -> None:
    """36:30 read as a clock is what a timedelta of the same parts says."""
    length = timedelta(hours=whole, minutes=minutes, seconds=int(seconds[1:] or 0))
    text = f"{whole}:{minutes:02d}{seconds}"
    assert hours(text) == length / timedelta(hours=1)


@settings(max_examples=30)
@given(
    st.integers(0, 9),
    st.integers(0, 23),
    st.integers(0, 59),
    st.sampled_from(["dhm", "d h min", "day hour minute", "days hrs mins", "D H MIN"]),
    st.sampled_from(["", " ", ", ", " and "]),
)
def test_spelt_hours_have_one_meaning(days: int, whole: int, mins: int, names: str, gap: str):
    """1d 12h and its spellings are a timedelta of the same parts; nothing else is read there."""
    parts = names.split() if " " in names else list(names)
    counts = [(n, name) for n, name in zip((days, whole, mins), parts, strict=True) if n]
    text = gap.join(
        f"{count} {name}" if len(name) > 1 else f"{count}{name}" for count, name in counts
    )
    if not counts:
        return
    expected = timedelta(days=days, hours=whole, minutes=mins) / timedelta(hours=1)
    assert hours(text) == expected


@pytest.mark.parametrize(
    ("text", "value"),
    [
        *(("36h", 36), ("36h30", 36.5), ("1.5 h", 1.5), ("90 min", 1.5), ("1.5 days", 36)),
        *(("18:00-06:30", 12.5), ("6pm to 8am", 14), ("from 7:00 till 9:15", 2.25)),
        *(("Fri 6pm - Sun 10am", 40), ("Sat 18:00 to Sat 08:00", 158), ("Fri 6pm-Sun noon", 42)),
    ],
)
def test_spelt_hours_one_by_one(text: str, value: float) -> None:
    """An hour has 60 minutes and a day 24; from one time to another it may go past midnight."""
    assert hours(text) == value


@settings(max_examples=20)
@given(st.integers(1, 40_000))
def test_days_are_read_only_where_that_is_stated(minutes: int) -> None:
    """A duration kept in days is 24 hours a day; by itself the same number is decimal hours."""
    text = repr(minutes / 1440)
    assert hours(text, in_days=True) == pytest.approx(minutes / 60, rel=1e-12)
    assert hours(text) == float(text)


@pytest.mark.parametrize(
    "text",
    [
        *("36:60", "1h 60min", "1d 24h", "1.5d 3h", "3h 1d", "2h 2h", "2h and", ", 2h", "2hm", "h"),
        *(
            "",
            "9" * 5000 + "d",
            "1e308",
            "nan",
            "10 till 4",
            "100 hrs - 120 hrs",
            "6pm - Sun 10am",
            "18:00-18:00",
            "2 nights",
        ),
    ],
)
def test_no_hours(text: str) -> None:
    """What is none of these, or may be two things, is refused."""
    with pytest.raises(CellFault):
        hours(text)


def test_nights_and_days_are_told_apart() -> None:
    """How many hours they are is asked about."""
    stays = {"2 nights": (2, "night"), "overnight": (1, "night"), "a day": (1, "day")}
    assert {text: read_stay(text) for text in stays} == stays
    assert read_stay("1 day") is None


def test_a_decimal_comma_where_it_is_stated() -> None:
    """36,5 h is 36.5 hours where commas are stated, and refused with that reading elsewhere."""
    assert hours("36,5", ",") == hours("36,5 h", ",") == 36.5
    for text in ("36,5", "36,5 h"):
        with pytest.raises(CellFault, match=r"36\.5"):
            hours(text)


def test_thirds_of_an_hour_are_rounded_once() -> None:
    """20 minutes are the float nearest to a third of an hour."""
    assert hours("0:20") == float(Fraction(1, 3))
    assert hours("7h 40 min") == float(Fraction(23, 3))
