"""Hours in their stated forms, against timedelta and exact fractions."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.hours import hours, hours_readings, read_hours
from rodhours.log.cells.numbers import NumberForm

DECIMAL_COMMA = NumberForm(",", ".")


@settings(max_examples=40)
@given(st.integers(0, 400), st.integers(0, 59), st.sampled_from(["", ":00", ":30"]))
def test_clock_hours_are_hours_and_minutes(hours: int, minutes: int, seconds: str) -> None:
    """36:30 read as a clock is what a timedelta of the same parts says."""
    length = timedelta(hours=hours, minutes=minutes, seconds=int(seconds[1:] or 0))
    text = f"{hours}:{minutes:02d}{seconds}"
    assert read_hours(text, "clock") == length / timedelta(hours=1)
    assert hours_readings(text) == (("clock", length / timedelta(hours=1)),)


@settings(max_examples=60)
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
    assert hours_readings(text) == (("spelt", expected),)
    assert hours(text) == read_hours(text, "spelt") == expected


@pytest.mark.parametrize(
    ("text", "value"),
    [("36h", 36), ("36h30", 36.5), ("1.5 h", 1.5), ("90 min", 1.5), ("90m", 1.5), ("1.5 days", 36)],
)
def test_spelt_hours_one_by_one(text: str, value: float) -> None:
    """An hour has 60 minutes and a day 24 hours; the last unit may have decimals."""
    assert hours(text) == value


@settings(max_examples=40)
@given(st.integers(1, 40_000))
def test_days_are_read_only_where_that_is_stated(minutes: int) -> None:
    """A duration kept in days is 24 hours a day; by itself the same number is decimal hours."""
    text = repr(minutes / 1440)
    assert read_hours(text, "days") == pytest.approx(minutes / 60, rel=1e-12)
    assert [form for form, _ in hours_readings(text) if form == "days"] == []


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("36:60", "clock"),
        ("36h", "clock"),
        ("36.5", "clock"),
        ("36:30", "spelt"),
        ("1h 60min", "spelt"),
        ("1d 24h", "spelt"),
        ("1.5d 3h", "spelt"),
        ("3h 1d", "spelt"),
        ("2h 2h", "spelt"),
        ("2h and", "spelt"),
        (", 2h", "spelt"),
        ("2hm", "spelt"),
        ("h", "spelt"),
        ("", "spelt"),
        ("9" * 5000 + "d", "spelt"),
        ("1e308", "days"),
        ("nan", "days"),
        ("36h", "decimal"),
    ],
)
def test_hours_in_another_form_than_stated_are_refused(text: str, form: str) -> None:
    """Nothing is guessed where the form is stated."""
    with pytest.raises(CellFault):
        read_hours(text, form)


def test_a_decimal_comma_where_it_is_stated() -> None:
    """36,5 h is 36.5 hours where commas are stated, and refused with that reading elsewhere."""
    assert read_hours("36,5", "decimal", DECIMAL_COMMA) == 36.5
    assert read_hours("36,5 h", "spelt", DECIMAL_COMMA) == 36.5
    for text in ("36,5", "36,5 h"):
        with pytest.raises(CellFault, match=r"36\.5"):
            hours(text)


def test_a_duration_of_a_workbook_is_taken_and_typed_text_is_asked_about() -> None:
    """36:30 is 36.5 h as a workbook's duration; as text it is refused with both remedies."""
    assert hours("36:30", workbook=True) == 36.5
    with pytest.raises(CellFault, match=r'36\.5.*hours = "clock"'):
        hours("36:30")


def test_thirds_of_an_hour_are_rounded_once() -> None:
    """20 minutes are the float nearest to a third of an hour."""
    assert read_hours("0:20", "clock") == float(Fraction(1, 3))
    assert read_hours("7h 40 min", "spelt") == float(Fraction(23, 3))
