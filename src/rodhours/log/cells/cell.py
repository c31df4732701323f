"""A column of cells to canonical values and faults, in the forms and bounds that are stated."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from typing import Any

from rodhours.log.cells import CellFault
from rodhours.log.cells.dates import YEAR_FIRST, iso_date, moment, read_date, read_date_and_time
from rodhours.log.cells.hours import hours
from rodhours.log.cells.numbers import read_exactly, read_number, read_whole
from rodhours.log.cells.texts import compass, extra, label, may_be_pounds, outcome, rod
from rodhours.log.cells.times import is_time
from rodhours.log.cells.weights import read_weight
from rodhours.log.tables import Column, Kind
from rodhours.unseen import steering

Reader = Callable[[str], object]
CellFaults = dict[int, tuple[str, str | None]]
"""By position what would be right in a cell, and what was found (None where it is empty)."""
LONGEST_VALUE = 100
"""What is no free text is short in every form."""
_ERRORS = re.compile(
    r"#(?:DIV/0!|N/A|NAME\?|NULL!|NUM!|REF!|VALUE!|GETTING_DATA|SPILL!|CALC!|#+|)|(?:Err:\d{3})",
    re.IGNORECASE,
)
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}(:\d{2})?([+-]\d{2}:\d{2}|Z)?)?", re.ASCII)
_PER_UNIT = {
    # NIST SP 811, appendix B: the foot and the yard are exact, the mercury columns conventional.
    "ft": Fraction(3048, 10000),
    "yd": Fraction(9144, 10000),
    "inHg": Fraction(3386389, 100000),
    "mmHg": Fraction(1333224, 1000000),
}


@dataclass(frozen=True)
class Units:
    """What bare hours and weights mean, the mark of decimals; `measures` has the unit of ours."""

    hours: str = "hours"
    weight: str | None = None
    decimal: str = "."
    measures: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Dates:
    """How dates are written.

    `year`: that of the first date where dates are written without; it runs on over New Year.
    `clock_on`: their column
    with the day on which cells with a clock time alone begin, `clock_end_on` the one with the day
    on which they end (None: the same or the next, whichever comes after the start).
    """

    form: str = YEAR_FIRST
    zone: str | None = None
    clock_on: str | None = None
    clock_end_on: str | None = None
    year: int | None = None


def read_column(
    cells: Sequence[str], read: Reader, empty: str | None, known: Mapping[str, object]
) -> tuple[list[Any], CellFaults]:
    """The value of each cell, None where there is none, and the faults by position.

    Filled cells go by `read`, those in `known` as stated there; `empty` is what would be right
    where there is no value, None where there need be none. Each distinct text is read once.
    """
    values: dict[str, Any] = {}
    bad: dict[str, str] = {}
    for cell in set(cells):
        text = cell.strip()
        value: object = None
        if text in known:
            value = known[text]
        elif text:
            try:
                value = read(text)
            except CellFault as fault:
                bad[cell] = str(fault)
        if value is None and empty is not None:
            bad.setdefault(cell, empty)
        values[cell] = value
    places = enumerate(cells) if bad else ()
    faults = {at: (bad[cell], cell.strip() or None) for at, cell in places if cell in bad}
    return [values[cell] for cell in cells], faults


def kept_column(name: str, cells: Sequence[str]) -> list[str | None]:
    """What is kept of a column that the format does not know; an error of a formula is nothing.

    Weights are kept to the letter: what looks like 22 and a tenth may be pounds and ounces.
    """
    keep = label if may_be_pounds(name) else extra
    values = {cell: None if is_error_cell(cell.strip()) else keep(cell) for cell in set(cells)}
    return [values[cell] or None for cell in cells]


def is_error_cell(text: str) -> bool:
    """Whether a cell holds a spreadsheet's error (`#DIV/0!`), or only the sign that it is narrow.

    `####` is what a column too narrow for its numbers shows, and what then gets copied.
    """
    return len(text) > 1 and _ERRORS.fullmatch(text) is not None


def no_value(column: Column) -> str | None:
    """What would be right in an empty cell of a column; None where it may be empty."""
    if column.name == "fish":
        return "a whole number: a blank is written 0, an empty cell would mean not recorded"
    return f"filled: {column.holds}" if column.needed else None


def cell_reader(
    column: Column, *, workbook: bool = False, units: Units = Units(), dates: Dates = Dates()
) -> Reader:
    """The reader of a column: errors of formulas, long texts and values out of bounds are refused.

    `workbook`: dates and numbers came from typed cells. The defaults are the trip log's own forms.
    """
    read = _reader(column, workbook, units, dates)
    kind, above, low, high = column.kind.value, column.above, column.low, column.high

    def within_bounds(text: str) -> object:
        if text[:1] in "#Ee" and is_error_cell(text):
            raise CellFault(
                "a value: this is the error of a formula; correct it in the spreadsheet"
            )
        unseen = steering(text)
        if unseen is not None:
            raise CellFault(f"a text that can be seen: {unseen} stands in it; type it anew")
        if len(text) > LONGEST_VALUE and column.kind is not Kind.TEXT:
            raise CellFault(f"a {kind} alone; this cell holds {len(text):,} characters")
        value = read(text)
        if isinstance(value, float | int):
            if above is not None and value <= above:
                raise CellFault(f"a {kind} above {above:g}")
            if (low is not None and value < low) or (high is not None and value > high):
                bounds = f"of {low:g} or more" if high is None else f"from {low:g} to {high:g}"
                raise CellFault(f"a {kind} {bounds}")
        return value

    return within_bounds


def _reader(column: Column, workbook: bool, units: Units, dates: Dates) -> Reader:
    """The reader of one of our columns, bounds aside."""
    simple: dict[Kind, Reader] = {
        Kind.TEXT: label,
        Kind.ROD: rod,
        Kind.COMPASS: compass,
        Kind.OUTCOME: outcome,
        Kind.DATE: partial(_date, dates=dates),
        Kind.MOMENT: partial(_moment, dates=dates, workbook=workbook),
        Kind.WEIGHT: partial(read_weight, form=units.weight, decimal=units.decimal),
    }
    if column.kind in simple:
        return simple[column.kind]
    of_number: Callable[..., object] = read_whole
    if column.name == "hours":
        of_number = partial(hours, in_days=units.hours == "days")
    elif column.kind is Kind.NUMBER:
        unit = "%" if column.name.endswith("_pct") else units.measures.get(column.name)
        of_number = partial(_measure, unit=unit)
    return partial(_typed, of_number, decimal=units.decimal, workbook=workbook)


def _typed(read: Callable[..., object], text: str, decimal: str, workbook: bool) -> object:
    """A number in the layout's form, or as a workbook keeps one: with a point."""
    try:
        return read(text, decimal=decimal)
    except CellFault:
        with suppress(CellFault):
            if workbook:
                return read(text, decimal=".")
        raise


def _date(text: str, dates: Dates) -> str:
    if _ISO.fullmatch(text):
        return iso_date(text)
    try:
        return read_date(text, dates.form)
    except CellFault:
        if dates.form != YEAR_FIRST:
            raise
        return iso_date(text)


def _moment(text: str, dates: Dates, workbook: bool) -> str:
    if _ISO.fullmatch(text):
        return moment(text, bare_date_is_midnight=workbook)
    try:
        return read_date_and_time(text, dates.form, bare_date_is_midnight=workbook)
    except CellFault:
        if dates.form != YEAR_FIRST and not is_time(text):
            raise
        return moment(text)


def _measure(text: str, decimal: str, unit: str | None) -> float:
    if unit == "%":
        text = text.removesuffix("%").rstrip()
    if unit not in _PER_UNIT and unit != "F":
        return read_number(text, decimal)
    value = read_exactly(text, decimal)
    try:
        return float((value - 32) * 5 / 9 if unit == "F" else value * _PER_UNIT[str(unit)])
    except OverflowError:
        raise CellFault("a number, such as 5.5") from None
