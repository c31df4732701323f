"""Dates and times of day in stated forms, against datetime."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.dates import (
    ambiguous,
    day_of_year,
    is_dated,
    iso_date,
    last_day,
    moment,
    read_date,
    read_date_and_time,
    with_years,
)
from rodhours.log.cells.times import read_time
from rodhours.log.trip_days import TripDays


def date_forms(texts: list[str]) -> tuple[str, ...]:
    """The orders that read every text."""
    return tuple(form for form in ORDERS if all(is_dated(text, form) for text in texts))


DAYS = st.dates(date(1970, 1, 1), date(2068, 12, 31))
ORDERS = {"year-month-day": "%Y{0}%m{0}%d", "day-month-year": "%d{0}%m{0}%Y"}
ORDERS["month-day-year"] = "%m{0}%d{0}%Y"
MONTHS = "January February March April May June July August September October November December"


@settings(max_examples=60)
@given(DAYS, st.sampled_from(sorted(ORDERS)), st.sampled_from("/.- "))
def test_a_date_reads_as_strftime_wrote_it(day: date, form: str, sign: str) -> None:
    """Each order with each separator gives the day back, with and without leading noughts."""
    written = day.strftime(ORDERS[form].format(sign))
    bare = sign.join(part.lstrip("0") for part in written.split(sign))
    assert read_date(written, form) == read_date(bare, form) == day.isoformat()
    assert form in date_forms([written])


@settings(max_examples=40)
@given(DAYS, st.booleans(), st.integers(3, 9), st.sampled_from(["", "st", "nd", "rd", "th"]))
def test_month_names(day: date, four_digits: bool, letters: int, ending: str) -> None:
    """12 Apr 25 and 12th April 2025 say the day first, April 12, 2025 the month first."""
    name = MONTHS.split()[day.month - 1]
    name = name[:3] if letters < len(name) else name
    year = f"{day:%Y}" if four_digits else f"{day:%y}"
    first = f"{day.day}{ending} {name} {year}"
    assert read_date(first, "day-month-year") == day.isoformat()
    assert date_forms([first]) == ("day-month-year",)
    assert read_date(f"{name} {day.day}, {year}", "month-day-year") == day.isoformat()
    assert ambiguous([first]) == ()


@settings(max_examples=40)
@given(st.integers(0, 99))
def test_two_digit_years_follow_posix(year: int) -> None:
    """69 to 99 are of the 1900s and 00 to 68 of the 2000s, as strptime's %y reads them."""
    text = f"12/04/{year:02d}"
    expected = datetime.strptime(text, "%d/%m/%y").date().isoformat()
    assert read_date(text, "day-month-year") == expected


@pytest.mark.parametrize(
    ("text", "form"),
    [
        ("31/04/2025", "day-month-year"),
        ("29/02/2025", "day-month-year"),
        ("13/13/2025", "day-month-year"),
        ("04/13/2025", "day-month-year"),
        ("13/04/2025", "month-day-year"),
        ("2025-04-12", "day-month-year"),
        ("12 Avril 2025", "day-month-year"),
        ("12/04", "day-month-year"),
        ("12/04/1025", "day-month-year"),
        ("Sun 12/04/2025", "day-month-year"),  # it was a Saturday
        ("12/04/2025 18:30", "day-month-year"),
        ("", "day-month-year"),
    ],
)
def test_a_date_in_another_form_or_that_never_was(text: str, form: str) -> None:
    """Refused, never bent into a date."""
    with pytest.raises(CellFault):
        read_date(text, form)


@settings(max_examples=60)
@given(st.lists(DAYS, min_size=1, max_size=4), st.booleans())
def test_a_column_that_can_be_read_both_ways_is_named(days: list[date], american: bool) -> None:
    """Both ways where every day is 12 at most; the samples then have two different meanings."""
    texts = [day.strftime("%m/%d/%Y" if american else "%d/%m/%Y") for day in days]
    both = all(day.day <= 12 for day in days)
    forms = date_forms(texts)
    if both:
        assert forms == ("day-month-year", "month-day-year")
    else:
        assert forms == (("month-day-year",) if american else ("day-month-year",))
    differing = list(dict.fromkeys(t for t, d in zip(texts, days, strict=True) if d.day != d.month))
    assert ambiguous(texts) == (tuple(differing[:2]) if both else ())


def test_dates_in_iso_8601_say_nothing_of_the_order() -> None:
    """A sheet's own dates beside typed ones leave those as undecided as before."""
    assert ambiguous(["2025-04-12", "05/04/2025"]) == ("05/04/2025",)


def test_a_weekday_settles_the_order_of_day_and_month() -> None:
    """12 April 2025 was a Saturday and 4 December 2025 a Thursday (any calendar)."""
    assert date_forms(["Sat 12/04/2025"]) == ("day-month-year",)
    assert date_forms(["Thu 12/04/2025"]) == ("month-day-year",)


@settings(max_examples=60)
@given(st.datetimes(datetime(2000, 1, 1), datetime(2050, 1, 1)).map(lambda t: t.replace(second=0)))
def test_dates_with_times(local: datetime) -> None:
    """A date and a time in one cell, the clock of 24 hours or of twice 12."""
    expected = local.isoformat(timespec="minutes")
    for written in ("%d/%m/%Y %H:%M", "%d.%m.%Y, %H.%M", "%d-%m-%Y %I:%M %p", "%d %b %Y %I.%M%p"):
        assert read_date_and_time(local.strftime(written), "day-month-year") == expected


@settings(max_examples=60)
@given(st.times().map(lambda t: t.replace(second=0, microsecond=0)))
def test_times_as_anglers_write_them(clock) -> None:
    """18:30, 18.30, 1830 and 6.30pm are one time, as strftime writes them."""
    seconds = clock.hour * 3600 + clock.minute * 60
    for form in ("%H:%M", "%H.%M", "%H%M", "%I.%M%p", "%I:%M %p", "%Hh%M", "%H:%M:%S"):
        assert read_time(clock.strftime(form)) == seconds


@pytest.mark.parametrize(
    ("text", "hours"), [("6pm", 18), ("12am", 0), ("12 p.m.", 12), ("24:30", 24.5), ("630", 6.5)]
)
def test_times_one_by_one(text: str, hours: float) -> None:
    """Noon is 12 p.m.; a time past midnight may be written on from 24."""
    assert read_time(text) == hours * 3600


@pytest.mark.parametrize(
    "text", ["18.3", "6", "13pm", "0am", "18:60", "48:00", "6m", "evening", ""]
)
def test_no_time(text: str) -> None:
    """18.3 may be 18:30 with its nought dropped or 18:03: refused."""
    with pytest.raises(CellFault):
        read_time(text)


@settings(max_examples=40)
@given(DAYS, st.integers(0, 1439), st.integers(1, 1439), st.integers(0, 3))
def test_an_end_goes_on_past_midnight(day: date, begins: int, lasts: int, days: int) -> None:
    """An end before the start is of the next day, as datetime adds the minutes; hours add days."""
    start = datetime(day.year, day.month, day.day) + timedelta(minutes=begins)
    end = start + timedelta(minutes=lasts)
    trip = TripDays(day.isoformat())
    begun = trip.cast_in("1", f"{start:%H:%M}")
    late = end + timedelta(days=days)
    hours = (late - start) / timedelta(hours=1) if days else None
    ended = trip.cast_out("1", f"{end:%H:%M}", begun, hours)
    assert (begun, ended) == (f"{start:%Y-%m-%dT%H:%M}", f"{late:%Y-%m-%dT%H:%M}")


def test_the_same_time_twice_is_no_stint() -> None:
    """It may be no time at all or a whole day."""
    with pytest.raises(CellFault):
        TripDays("2025-04-12").cast_out("1", "18:30", "2025-04-12T18:30")


@pytest.mark.parametrize(
    "text",
    ["12/04/2025", "04-12-2025", "2025-4-12", "12 April 2025", "20250412", "2025-02-30", "45759"],
)
def test_only_iso_dates_without_a_stated_form(text: str) -> None:
    """A date that could be read in two ways, or that never was, is refused."""
    with pytest.raises(CellFault):
        iso_date(text)


@pytest.mark.parametrize(
    "text", ["2025-04-12", "2025-04-12T25:00", "2025-04-12T24:30", "18:30", "2025-04-12T6:30"]
)
def test_a_moment_needs_date_and_time(text: str) -> None:
    """A date alone is not a time, and the hour has two digits."""
    with pytest.raises(CellFault):
        moment(text)


@pytest.mark.parametrize(
    ("cells", "year", "read"),
    [
        # On over New Year; a row a week out of order is of the same year.
        (("9 Nov", "20 Dec", "13 Dec", "", "4 Jan"), 2024, "2024 2024 2024 - 2025"),
        # The newest first.
        (("4 Jan", "20 Dec", "9 Nov"), 2025, "2025 2024 2024"),
        # A date with its own year sets it for those below; words stay as they are.
        (("1 May 2019", "8 May", "April", "3 Feb"), 2024, "2019 2019 - 2020"),
    ],
)
def test_a_year_runs_on_over_new_year(cells: tuple[str, ...], year: int, read: str) -> None:
    """The year of each date written without one, by the calendar."""
    found = [re.search(r"\d{4}", cell) for cell in with_years(cells, "day-month-year", year)]
    assert " ".join(one[0] if one else "-" for one in found) == read
    assert day_of_year("29 Feb") == 60
    assert day_of_year("31/4") is None


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("12-14 Apr 2025", "2025-04-12", "2025-04-14"),
        ("30/31 May 2025", "2025-05-30", "2025-05-31"),
        ("Sat 12th - Sun 13th April 2025", "2025-04-12", "2025-04-13"),
        ("12-14/4/25", "2025-04-12", "2025-04-14"),
        ("28 Apr - 2 May 2025", "2025-04-28", "2025-05-02"),
        ("30/12 - 2/1/2025", "2024-12-30", "2025-01-02"),
        ("12-04-2025", "2025-04-12", None),
        ("1 - 2 - 2025", "2025-02-01", None),
    ],
)
def test_several_days_begin_with_the_first(text: str, first: str, last: str | None) -> None:
    """The first is the date, and the last is told; a date between dashes is one day."""
    assert read_date(text, "day-month-year") == first
    assert last_day(text, "day-month-year") == last
