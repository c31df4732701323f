"""Numbers in a stated form, and what is refused with what to write instead."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import cell_reader, is_error_cell
from rodhours.log.cells.numbers import read_number, read_whole
from rodhours.log.tables import TABLES


@settings(max_examples=40)
@given(st.decimals(0, 10_000, allow_nan=False, places=3), st.sampled_from(".,"))
def test_a_number_reads_as_it_was_written(value, decimal: str) -> None:
    """What str.format writes is read back, where the mark of decimals is the one stated."""
    written = f"{value:.3f}".replace(".", decimal)
    assert read_number(written, decimal) == float(value)
    with pytest.raises(CellFault):
        read_number(written, "." if decimal == "," else ",")


@pytest.mark.parametrize(
    "text",
    [
        *("nan", "inf", "-inf", "1e5", "NaN", "0x1", "1.5", "9" * 5000, ""),
        *("1_0", "²", "１２", "٣", "1½", "1 + 1 lost", "3+2", "two", "none"),
    ],
)
def test_no_count(text: str) -> None:
    """No count of fish; 1e5 is refused although a number column takes it."""
    with pytest.raises(CellFault):
        read_whole(text)


@pytest.mark.parametrize(
    "text",
    ["nan", "inf", "1_000", "5,5", "1,200", "1 200", "12.5.1", "٣", "0x10", "1e999", "", "-"],
)
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
