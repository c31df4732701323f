"""The reader of a column in the form that a layout states, to the format's own values."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from typing import TypeVar

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import CellForm, Reader, bounded, cell_reader, no_value
from rodhours.log.cells.dates import iso_date, moment, read_date, read_date_and_time
from rodhours.log.cells.hours import read_hours
from rodhours.log.cells.numbers import (
    A_NUMBER,
    PLAIN,
    NumberForm,
    read_exactly,
    read_number,
    read_whole,
)
from rodhours.log.cells.times import read_time
from rodhours.log.cells.weights import read_weight
from rodhours.log.layout.layout import COLUMNS, Dates, Layout
from rodhours.log.tables import Kind

_Value = TypeVar("_Value")

_PER_UNIT = {
    # NIST SP 811, appendix B: the foot and the yard are exact, the mercury columns conventional.
    "ft": Fraction(3048, 10000),
    "yd": Fraction(9144, 10000),
    "inHg": Fraction(3386389, 100000),
    "mmHg": Fraction(1333224, 1000000),
}
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}(:\d{2})?([+-]\d{2}:\d{2}|Z)?)?", re.ASCII)
_GROUPED_BY_POINTS = re.compile(r"[+-]?\d{1,3}\.\d{3}", re.ASCII)


def nothing_above(holds: str, theirs: str) -> str:
    """What would be right in an empty cell where a value is needed."""
    return (
        f"filled: {holds} (if an empty cell means as above, name {theirs!r} in the layout under "
        "[fill_down])"
    )


def column_form(ours: str, layout: Layout, theirs: str, *, workbook: bool) -> CellForm:
    """How the cells of one of our columns are read; `theirs` is its name in the file.

    A text that the layout gives a value stands for that, in the format's own form.
    """
    column = COLUMNS[ours]
    own = cell_reader(column, workbook=workbook)
    read = form_reader(ours, layout, workbook=workbook)
    known = layout.values.get(ours, {})
    return CellForm(
        own if read is None else bounded(column, read),
        nothing_above(column.holds, theirs) if column.needed else no_value(column),
        {text: own(value) if value else None for text, value in known.items()},
    )


def form_reader(ours: str, layout: Layout, *, workbook: bool) -> Reader | None:
    """The reader of one of our columns, bounds aside; None where it has but one form."""
    column = COLUMNS[ours]
    units, dates = layout.units, layout.dates
    if ours == "hours":
        return partial(_hours, forms=units.hours, numbers=units.numbers, workbook=workbook)
    if column.kind is Kind.NUMBER:
        unit = "%" if ours.endswith("_pct") else units.measures.get(ours)
        return partial(_measure, unit=unit, numbers=units.numbers, workbook=workbook)
    if column.kind is Kind.WHOLE:
        return partial(_typed, read_whole, form=units.numbers, workbook=workbook)
    if column.kind is Kind.DATE:
        return partial(_date, dates=dates)
    if column.kind is Kind.MOMENT:
        return partial(_moment, dates=dates, workbook=workbook)
    if column.kind is Kind.WEIGHT:
        return partial(read_weight, form=units.weight, numbers=units.numbers)
    return None


def _typed(
    read: Callable[[str, NumberForm], _Value], text: str, form: NumberForm, workbook: bool
) -> _Value:
    """A number in the layout's form, or as a workbook keeps one: with a point, and no separator."""
    if not workbook or form == PLAIN:
        return read(text, form)
    if form.thousands == "." and _GROUPED_BY_POINTS.fullmatch(text):
        # A typed 36.125 and a written thirty-six thousand look the same here.
        plain, comma = text.replace(".", ""), text.replace(".", ",")
        raise CellFault(
            f"a number without the point, {plain}, or with a decimal comma, {comma}, whichever is "
            "meant"
        )
    try:
        return read(text, form)
    except CellFault as fault:
        try:
            return read(text, PLAIN)
        except CellFault:
            raise fault from None


def _hours(text: str, forms: tuple[str, ...], numbers: NumberForm, workbook: bool) -> float:
    faults = []
    for form in forms:
        typed = workbook and form in ("decimal", "days")
        try:
            return _typed(partial(_in_form, form), text, numbers, typed)
        except CellFault as fault:
            faults.append(str(fault))
    raise CellFault(", or ".join(dict.fromkeys(faults)))


def _in_form(form: str, text: str, numbers: NumberForm) -> float:
    return read_hours(text, form, numbers)


def _date(text: str, dates: Dates) -> str:
    if _ISO.fullmatch(text):
        return iso_date(text)
    return read_date(text, dates.form, dates.pivot)


def _moment(text: str, dates: Dates, workbook: bool) -> str:
    if _ISO.fullmatch(text):
        return moment(text, bare_date_is_midnight=workbook)
    try:
        return read_date_and_time(text, dates.form, dates.pivot, bare_date_is_midnight=workbook)
    except CellFault as fault:
        try:
            read_time(text, dates.clock)
        except CellFault:
            raise fault from None
        raise CellFault(
            "a date and a time; where a column has times of day alone, name the column of their "
            'dates under [dates], as in clock_on = "Date"'
        ) from None


def _measure(text: str, unit: str | None, numbers: NumberForm, workbook: bool) -> float:
    if unit == "%":
        text = text.removesuffix("%").rstrip()
    if unit is None or (unit not in _PER_UNIT and unit != "F"):
        return _typed(read_number, text, numbers, workbook)
    value = _typed(read_exactly, text, numbers, workbook)
    try:
        return float((value - 32) * 5 / 9 if unit == "F" else value * _PER_UNIT[unit])
    except OverflowError:
        raise CellFault(A_NUMBER) from None
