"""What turns a cell in the layout's form into the text that the trip log's own format has.

Each reader takes a stripped, filled text and raises CellFault with what would be right.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from typing import TypeVar

from rodhours.logbook.cells.dates import iso_date, read_date, read_date_and_time
from rodhours.logbook.cells.faults import CellFault
from rodhours.logbook.cells.hours import read_hours
from rodhours.logbook.cells.numbers import PLAIN, NumberForm, read_exactly, read_number, read_whole
from rodhours.logbook.cells.times import read_time
from rodhours.logbook.cells.weights import plain_weight
from rodhours.logbook.layout.layout import COLUMNS, Dates, Layout
from rodhours.logbook.tables import Kind
from rodhours.wording import layouts as words

Reader = Callable[[str], str]
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


def cell_reader(ours: str, layout: Layout, *, workbook: bool) -> Reader | None:
    """The reader of one of our columns; None where its texts stand for themselves."""
    column = COLUMNS[ours]
    units, dates = layout.units, layout.dates
    if ours == "hours":
        return lambda text: _hours(text, units.hours, units.numbers, workbook)
    if column.kind is Kind.NUMBER:
        unit = "%" if ours.endswith("_pct") else units.measures.get(ours)
        return lambda text: _measure(text, unit, units.numbers, workbook)
    if column.kind is Kind.WHOLE:
        return lambda text: str(_typed(read_whole, text, units.numbers, workbook))
    if column.kind is Kind.DATE:
        return lambda text: (
            iso_date(text) if _ISO.fullmatch(text) else read_date(text, dates.form, dates.pivot)
        )
    if column.kind is Kind.MOMENT:
        return lambda text: text if _ISO.fullmatch(text) else _moment(text, dates, workbook)
    if column.kind is Kind.WEIGHT:
        return lambda text: _weight(text, units.weight, units.numbers)
    return None


def _typed(
    read: Callable[[str, NumberForm], _Value], text: str, form: NumberForm, workbook: bool
) -> _Value:
    """A number in the layout's form, or as a workbook keeps one: with a point, and no separator."""
    if not workbook or form == PLAIN:
        return read(text, form)
    if form.thousands == "." and _GROUPED_BY_POINTS.fullmatch(text):
        # A typed 36.125 and a written thirty-six thousand look the same here.
        raise CellFault(words.a_number_cell(text))
    try:
        return read(text, form)
    except CellFault as fault:
        try:
            return read(text, PLAIN)
        except CellFault:
            raise fault from None


def _hours(text: str, forms: tuple[str, ...], numbers: NumberForm, workbook: bool) -> str:
    faults = []
    for form in forms:
        try:
            if workbook and form in ("decimal", "days"):
                value = _typed(partial(_in_form, form), text, numbers, workbook)
            else:
                value = read_hours(text, form, numbers)
        except CellFault as fault:
            faults.append(str(fault))
        else:
            return repr(value)
    raise CellFault(words.either(dict.fromkeys(faults)))


def _moment(text: str, dates: Dates, workbook: bool) -> str:
    try:
        return read_date_and_time(text, dates.form, dates.pivot, bare_date_is_midnight=workbook)
    except CellFault as fault:
        try:
            read_time(text, dates.clock)
        except CellFault:
            raise fault from None
        raise CellFault(words.A_TIME_NEEDS_ITS_DAY) from None


def _in_form(form: str, text: str, numbers: NumberForm) -> float:
    return read_hours(text, form, numbers)


def _weight(text: str, form: str | None, numbers: NumberForm) -> str:
    # In the unit it was written in, so that the log can be shown in its own.
    return plain_weight(text, form, numbers)


def _measure(text: str, unit: str | None, numbers: NumberForm, workbook: bool) -> str:
    if unit == "%":
        text = text.removesuffix("%").rstrip()
    if unit not in _PER_UNIT and unit != "F":
        return repr(_typed(read_number, text, numbers, workbook))
    value = _typed(read_exactly, text, numbers, workbook)
    if unit == "F":
        return repr(float((value - 32) * 5 / 9))
    return repr(float(value * _PER_UNIT[unit or ""]))
