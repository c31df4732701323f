"""Cells to values: numbers, weights, dates, times across clock changes."""

from __future__ import annotations

from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rodhours.logbook.cells import CellFault
from rodhours.logbook.cells.dates import iso_date, moment
from rodhours.logbook.cells.hours import hours
from rodhours.logbook.cells.numbers import read_number, read_whole
from rodhours.logbook.cells.weights import read_weight
from rodhours.logbook.cells.zones import elapsed_hours, instant

LONDON = ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("text", "kilograms"),
    [
        # International pound: 0.45359237 kg exactly (yard and pound agreement of 1959);
        # 16 ounces to the pound, so 22 lb 4 oz is 22.25 lb.
        ("22lb 4oz", 22.25 * 0.45359237),
        ("22 lb 4 oz", 22.25 * 0.45359237),
        ("22.25 lb", 22.25 * 0.45359237),
        ("1 LB", 0.45359237),
        ("8oz", 0.45359237 / 2),
        ("10.1 kg", 10.1),
        ("850 g", 0.85),
    ],
)
def test_weights_in_their_stated_forms(text: str, kilograms: float) -> None:
    """Each stated form gives the mass that the definition of its unit gives, to the milligram."""
    assert read_weight(text) == pytest.approx(kilograms, abs=5e-7)


@given(pounds=st.integers(0, 120), sixteenths=st.integers(0, 15))
def test_pounds_and_ounces_are_decimal_pounds(pounds: int, sixteenths: int) -> None:
    """x lb y oz and (x + y/16) lb are one weight, as exact fractions say."""
    decimal = float(Fraction(pounds) + Fraction(sixteenths, 16))
    assert read_weight(f"{pounds}lb {sixteenths}oz") == read_weight(str(decimal), "decimal lb")


@pytest.mark.parametrize("text", ["22", "22.5", "22lb 16oz", "22 st", "4oz 22lb", "22-4", "heavy"])
def test_a_weight_without_a_stated_form_is_refused(text: str) -> None:
    """Nothing is guessed: no unit, too many ounces, or another order is a fault."""
    with pytest.raises(CellFault):
        read_weight(text)


def test_a_declared_unit_reads_bare_numbers() -> None:
    """A bare number needs the file's declared unit, and then has it."""
    assert read_weight("10.1", "kg") == 10.1
    assert read_weight("2", "lb") == pytest.approx(0.90718474, abs=5e-7)


@pytest.mark.parametrize(
    ("began", "ended", "hours"),
    [
        ("2025-04-12T18:30", "2025-04-13T07:00", 12.5),
        # British summer time began on 30 March 2025 at 01:00 and ended on 26 October 2025 at
        # 02:00 (gov.uk, "When do the clocks change?"): that night has an hour less, or more.
        ("2025-03-29T18:00", "2025-03-30T08:00", 13),
        ("2025-10-25T18:00", "2025-10-26T08:00", 15),
        ("2025-12-31T23:45", "2026-01-01T00:15", 0.5),
        # Written with offsets, the hour that comes twice is clear.
        ("2025-10-26T01:30+01:00", "2025-10-26T01:30+00:00", 1),
    ],
)
def test_hours_are_real_elapsed_hours(began: str, ended: str, hours: float) -> None:
    """Hours between local times are what a stopwatch shows, across midnight and clock changes."""
    first, last = (instant(moment(text), LONDON) for text in (began, ended))
    assert elapsed_hours(first, last) == pytest.approx(hours, abs=1e-12)


@pytest.mark.parametrize("text", ["2025-10-26T01:30", "2025-03-30T01:30"])
def test_a_time_that_came_twice_or_never_is_refused(text: str) -> None:
    """In the hour of a clock change a local time alone does not say when it was."""
    with pytest.raises(CellFault):
        instant(text, LONDON)


@pytest.mark.parametrize(
    "text",
    ["12/04/2025", "04-12-2025", "2025-4-12", "12 April 2025", "20250412", "2025-02-30", "45759"],
)
def test_only_iso_dates(text: str) -> None:
    """A date that could be read in two ways, or that never was, is refused."""
    with pytest.raises(CellFault):
        iso_date(text)


@pytest.mark.parametrize("text", ["2025-04-12", "2025-04-12T25:00", "18:30", "2025-04-12T6:30"])
def test_a_moment_needs_date_and_time(text: str) -> None:
    """A date alone is not a time, and the hour has two digits."""
    with pytest.raises(CellFault):
        moment(text)


@pytest.mark.parametrize("text", ["nan", "inf", "1_000", "5,5", "٣", "0x10", "1e999", "", "-"])
def test_what_python_takes_for_a_number_but_a_log_does_not_mean(text: str) -> None:
    """Only plain decimal numbers are numbers."""
    with pytest.raises(CellFault):
        read_number(text)


def test_a_clock_form_in_hours_is_answered_with_decimal_hours() -> None:
    """5:30 is refused and the remedy names 5.5: half an hour is 0.5 h."""
    with pytest.raises(CellFault, match=r"5\.5"):
        hours("5:30")


@given(st.integers(0, 10_000))
def test_whole_numbers_as_spreadsheets_write_them(count: int) -> None:
    """2 and 2.0 are one whole number; 2.5 is none."""
    assert read_whole(str(count)) == read_whole(f"{count}.0") == count
    with pytest.raises(CellFault):
        read_whole(f"{count}.5")
