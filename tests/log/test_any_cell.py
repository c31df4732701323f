"""Whatever a cell holds, each reader gives a value or says what would be right."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import cell_reader
from rodhours.log.cells.dates import (
    DATE_FORMS,
    ambiguous,
    iso_date,
    moment,
    read_date,
    read_date_and_time,
)
from rodhours.log.cells.hours import hours
from rodhours.log.cells.times import read_time
from rodhours.log.cells.weights import WEIGHT_FORMS, read_weight, weight_readings
from rodhours.log.tables import TABLES

PIECES = st.sampled_from(
    [
        *("0", "1", "9", "22", "4", "16", "45769", "2025", "1900", "00", "99999999999999999999"),
        *(".", ",", "-", "/", ":", "'", " ", "\u00a0", "+", "_", "e", "E", "T", "Z", "½", "²", "٣"),
        *("lb", "oz", "kg", "g", "h", "d", "min", "am", "pm", "Apr", "Sat", "of", "and", "lost"),
        *("nan", "inf", "#N/A", "#", "\n", "\t", "\x00", "\ud800", "İ", "1e308", "1e-308", "９"),
    ]
)
CELLS = st.one_of(st.lists(PIECES, min_size=1, max_size=7).map("".join), st.text(min_size=1))
COLUMNS = [column for table in TABLES.values() for column in table.columns]


def value_of(read: Callable[..., object], *arguments: object, **options: object) -> object:
    """What a reader makes of its arguments; None where it says what would be right."""
    try:
        return read(*arguments, **options)
    except CellFault as fault:
        return None if str(fault).strip() else "a fault without a word"


def check_every_reader(text: str) -> None:
    """Values are finite; dates are dates, and times of day times."""
    values = [
        value_of(cell_reader(column, workbook=workbook), text)
        for column in COLUMNS
        if column.kind.numeric
        for workbook in (False, True)
    ]
    values += [value_of(read_weight, text, form) for form in WEIGHT_FORMS]
    values += [value_of(hours, text, mark, days) for mark in ".," for days in (False, True)]
    values += [value for _, value in weight_readings(text)]
    assert all(value is None or math.isfinite(value) for value in values)
    for column in COLUMNS:
        assert value_of(cell_reader(column, workbook=True), text) != ""
    for form in DATE_FORMS:
        day = value_of(read_date, text, form)
        assert day is None or iso_date(day) == day
        local = value_of(read_date_and_time, text, form)
        assert local is None or moment(local) == local
    seconds = value_of(read_time, text)
    assert seconds is None or 0 <= seconds < 2 * 86400
    assert ambiguous([text]) in ((), (text,))


@settings(max_examples=3)
@given(CELLS)
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text makes a reader fail in another way than saying what would be right."""
    if text.strip():
        check_every_reader(text.strip())


@pytest.mark.full
@settings(max_examples=3000)
@given(CELLS)
def test_any_text_is_read_or_refused_at_full_size(text: str) -> None:
    """The same with 3,000 texts."""
    if text.strip():
        check_every_reader(text.strip())
