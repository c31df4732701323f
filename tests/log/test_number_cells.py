"""Numbers in a stated form, and what is refused with what to write instead."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import cell_reader, is_error_cell
from rodhours.log.cells.numbers import NumberForm, number_readings, read_number, read_whole
from rodhours.log.cells.texts import compass
from rodhours.log.tables import TABLES

SEPARATORS = {".": ",", ",": "."}


@settings(max_examples=60)
@given(
    st.decimals(0, 10_000_000, allow_nan=False, places=3),
    st.sampled_from([".", ","]),
    st.sampled_from([None, "'", " ", "other"]),
)
def test_a_number_reads_as_it_was_written(value, decimal: str, thousands: str | None) -> None:
    """What str.format writes with separators is read back, where the form is the one stated."""
    thousands = SEPARATORS[decimal] if thousands == "other" else thousands
    written = f"{value:,.3f}".translate({44: thousands or "", 46: decimal})
    form = NumberForm(decimal, thousands)
    assert read_number(written, form) == float(value)
    assert (form, float(value)) in number_readings(written)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("1,200", {1200.0, 1.2}),
        ("1.200", {1200.0, 1.2}),
        ("1.200,5", {1200.5}),
        ("1 200", {1200.0}),
        ("1\u202f200", {1200.0}),
        ("12,00", {12.0}),
        ("1,20,000", set()),
        ("1,200,5", set()),
        ("12.5.1", set()),
    ],
)
def test_every_number_that_a_text_may_stand_for(text: str, meant: set[float]) -> None:
    """Groups of three digits may be thousands; what could be both is told in both."""
    assert {value for _, value in number_readings(text)} == meant


def test_two_meanings_are_both_told() -> None:
    """1,200 is refused and the remedy names 1200 and 1.2; with the form stated it is read."""
    with pytest.raises(CellFault, match=r"1200 or 1\.2"):
        read_number("1,200")
    assert read_number("1,200", NumberForm(".", ",")) == 1200
    assert read_number("1,200", NumberForm(",")) == 1.2
    with pytest.raises(CellFault):
        read_number("1.5", NumberForm(","))


@pytest.mark.parametrize(
    ("text", "write"),
    [
        ("1 + 1 lost", "fish 1 and lost 1"),
        ("2 (1 lost)", "fish 2 and lost 1"),
        ("3+2", "fish 3 and lost 2"),
        ("1,200", "1200"),
        ("two", "2"),
        ("none", "0"),
    ],
)
def test_a_count_that_is_none_is_answered_with_what_to_write(text: str, write: str) -> None:
    """What Python or a reader may take for a count is refused, and the remedy is the count."""
    with pytest.raises(CellFault) as refused:
        read_whole(text)
    assert write in str(refused.value)


@pytest.mark.parametrize(
    ("text", "write"), [("12.5°C", "12.5"), ("51.5 S", "-51.5"), ("1013hPa", "1013")]
)
def test_a_number_with_its_unit_is_answered_with_the_number(text: str, write: str) -> None:
    """South and west are below nought; the unit belongs into the column's name."""
    with pytest.raises(CellFault, match=f": {write}, if"):
        read_number(text)


@pytest.mark.parametrize("text", ["54°F", "54 F", "6 ft", "29.9 inHg", "760 mmHg", "50yds"])
def test_a_number_in_another_unit_is_not_proposed(text: str) -> None:
    """54 degrees Fahrenheit are no 54 degrees Celsius."""
    with pytest.raises(CellFault, match="unit that the name of the column says"):
        read_number(text)


@pytest.mark.parametrize(
    ("text", "point"),
    # Degrees run clockwise from north, 22.5 to a point (WMO-No. 306, code table 0877, from memory).
    [
        ("0", "N"),
        ("225", "SW"),
        ("350°", "N"),
        ("68", "ENE"),
        ("South west", "SW"),
        ("nnw.", "NNW"),
    ],
)
def test_a_direction_in_words_or_degrees(text: str, point: str) -> None:
    """Refused, with the point that it lies at."""
    with pytest.raises(CellFault, match=f": {point}, if"):
        compass(text)


@pytest.mark.parametrize(
    "text",
    [
        *("nan", "inf", "-inf", "1e5", "NaN", "0x1", "1.5", "9" * 5000, ""),
        *("1_0", "²", "１２", "٣", "1½"),
    ],
)
def test_no_count(text: str) -> None:
    """No count of fish; 1e5 is refused although a number column takes it."""
    with pytest.raises(CellFault):
        read_whole(text)


@pytest.mark.parametrize("text", ["nan", "inf", "1_000", "5,5", "٣", "0x10", "1e999", "", "-"])
def test_what_python_takes_for_a_number_but_a_log_does_not_mean(text: str) -> None:
    """Only plain decimal numbers are numbers."""
    with pytest.raises(CellFault):
        read_number(text)


@given(st.integers(0, 10_000))
def test_whole_numbers_as_spreadsheets_write_them(count: int) -> None:
    """2 and 2.0 are one whole number; 2.5 is none."""
    assert read_whole(str(count)) == read_whole(f"{count}.0") == count
    with pytest.raises(CellFault):
        read_whole(f"{count}.5")


# The error values of ECMA-376, part 1, 18.18.11 (from memory), a narrow column's signs.
ERRORS = ("#DIV/0!", "#N/A", "#NAME?", "#NULL!", "#NUM!", "#REF!", "#VALUE!", "####", "Err:502")


@pytest.mark.parametrize("text", [*ERRORS, "#", "#1", "rod #1", "Error", "", "N/A", "rod #REF!"])
def test_errors_of_formulas(text: str) -> None:
    """A text with a number sign in it is a text."""
    assert is_error_cell(text) is (text in ERRORS)


@pytest.mark.parametrize(
    ("table", "name", "cell", "value"),
    [
        *(("variants", "pellet_pct", cell, 20) for cell in ("20", "20%", "20 %", "20.0")),
        ("variants", "pellet_pct", "20%%", None),
        ("variants", "size_mm", "20%", None),
        ("stints", "hours", "20%", None),
    ],
)
def test_a_share_may_bear_its_sign(table: str, name: str, cell: str, value: float | None) -> None:
    """A spreadsheet shows a share of 0.2 as 20%: in a column of percent alone that is 20."""
    read = cell_reader(TABLES[table].column(name), workbook=True)
    if value is not None:
        assert read(cell) == value
        return
    with pytest.raises(CellFault):
        read(cell)
