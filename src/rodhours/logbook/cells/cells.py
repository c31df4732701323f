"""What turns the cells of a declared column into canonical values, bounds included."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from rodhours.logbook.cells.dates import iso_date
from rodhours.logbook.cells.error_cells import refuse_error_cell
from rodhours.logbook.cells.faults import CellFault
from rodhours.logbook.cells.hours import hours
from rodhours.logbook.cells.moments import moment
from rodhours.logbook.cells.numbers import number, percentage, whole
from rodhours.logbook.cells.texts import compass, label, outcome, rod
from rodhours.logbook.cells.weights import read_weight
from rodhours.logbook.tables import Column, Kind
from rodhours.wording import cells as words

LONGEST_VALUE = 100
"""What is no free text is short in every form."""


def cell_parser(
    column: Column, *, workbook: bool, weight_unit: str | None = None
) -> Callable[[str], object]:
    """What turns a stripped, filled cell of this column into its canonical value.

    `workbook` says that dates and durations came from typed cells, `weight_unit` (one of
    WEIGHT_FORMS) what a bare number means as a weight. The parser raises CellFault with what
    would be right, bounds included.
    """
    simple: dict[Kind, Callable[[str], object]] = {
        Kind.TEXT: label,
        Kind.ROD: rod,
        Kind.WHOLE: whole,
        Kind.NUMBER: _number_of(column, workbook),
        Kind.DATE: iso_date,
        Kind.MOMENT: partial(moment, bare_date_is_midnight=workbook),
        Kind.WEIGHT: partial(read_weight, form=weight_unit),
        Kind.COMPASS: compass,
        Kind.OUTCOME: outcome,
    }
    parse = simple[column.kind]

    def bounded(text: str) -> object:
        refuse_error_cell(text)
        if len(text) > LONGEST_VALUE and column.kind is not Kind.TEXT:
            raise CellFault(words.too_long(column.kind.value, len(text)))
        value = parse(text)
        if not isinstance(value, float | int):
            return value
        if column.above is not None and value <= column.above:
            raise CellFault(words.above(column.kind.value, column.above))
        if (column.low is not None and value < column.low) or (
            column.high is not None and value > column.high
        ):
            assert column.low is not None
            raise CellFault(words.within(column.kind.value, column.low, column.high))
        return value

    return bounded


def _number_of(column: Column, workbook: bool) -> Callable[[str], float]:
    if column.name == "hours":
        return partial(hours, workbook=workbook)
    return percentage if column.name.endswith("_pct") else number
