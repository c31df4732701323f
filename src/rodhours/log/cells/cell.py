"""A column of cells to canonical values and faults, in the form and bounds of its declaration."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from operator import is_
from typing import Any

from rodhours.log.cells import CellFault
from rodhours.log.cells.dates import iso_date, moment
from rodhours.log.cells.hours import hours
from rodhours.log.cells.numbers import percentage, read_number, read_whole
from rodhours.log.cells.texts import compass, extra, label, may_be_pounds, outcome, rod
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


@dataclass(frozen=True)
class CellForm:
    """How the cells of a column are read: filled ones by `read`, those in `known` as stated there.

    `empty` is what would be right where there is no value; None where there need be none.
    """

    read: Reader
    empty: str | None = None
    known: Mapping[str, object] = field(default_factory=dict)


def read_column(cells: Sequence[str], form: CellForm) -> tuple[list[Any], CellFaults]:
    """The value of each cell, None where there is none, and the faults by position.

    Each distinct text is read once, so that a row costs nothing unless it is at fault.
    """
    values: dict[str, Any] = {}
    bad: dict[str, str] = {}
    read, known, empty = form.read, form.known, form.empty
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
    faults: CellFaults = {}
    if bad:
        faults = {
            position: (bad[cell], cell.strip() or None)
            for position, cell in enumerate(cells)
            if cell in bad
        }
    return _mapped(cells, values), faults


def kept_column(name: str, cells: Sequence[str]) -> list[str | None]:
    """What is kept of a column that the format does not know; an error of a formula is nothing.

    Weights are kept to the letter: what looks like 22 and a tenth may be pounds and ounces.
    """
    keep = label if may_be_pounds(name) else extra
    values = {cell: None if is_error_cell(cell.strip()) else keep(cell) for cell in set(cells)}
    return _mapped(cells, {cell: text or None for cell, text in values.items()})


def _mapped(cells: Sequence[str], values: dict[str, Any]) -> list[Any]:
    """Each cell's value; most texts stand for themselves already."""
    if all(map(is_, values, values.values())):
        return list(cells)
    return list(map(values.__getitem__, cells))


def is_error_cell(text: str) -> bool:
    """Whether a cell holds a spreadsheet's error (`#DIV/0!`), or only the sign that it is narrow.

    `####` is what a column too narrow for its numbers shows, and what then gets copied.
    """
    return len(text) > 1 and _ERRORS.fullmatch(text) is not None


def cell_reader(column: Column, *, workbook: bool, weight_unit: str | None = None) -> Reader:
    """The reader of a column in the trip log's own form.

    `workbook`: dates and durations came from typed cells; `weight_unit` (one of WEIGHT_FORMS): what
    a bare number means as a weight.
    """
    simple: dict[Kind, Reader] = {
        Kind.TEXT: label,
        Kind.ROD: rod,
        Kind.WHOLE: read_whole,
        Kind.NUMBER: percentage if column.name.endswith("_pct") else read_number,
        Kind.DATE: iso_date,
        Kind.MOMENT: partial(moment, bare_date_is_midnight=workbook),
        Kind.WEIGHT: partial(read_weight, form=weight_unit),
        Kind.COMPASS: compass,
        Kind.OUTCOME: outcome,
    }
    read = partial(hours, workbook=workbook) if column.name == "hours" else simple[column.kind]
    return bounded(column, read)


def no_value(column: Column) -> str | None:
    """What would be right in an empty cell of a column; None where it may be empty."""
    if column.name == "fish":
        return "a whole number: a blank is written 0, an empty cell would mean not recorded"
    return f"filled: {column.holds}" if column.needed else None


def bounded(column: Column, read: Reader) -> Reader:
    """A reader that also refuses errors of formulas, long texts and values out of bounds."""

    kind = column.kind.value

    def within_bounds(text: str) -> object:
        if text[:1] in "#Ee" and is_error_cell(text):
            why = "is the error of a formula; correct it in the spreadsheet"
            if set(text) == {"#"}:
                text, why = "####", "is what a column that is too narrow shows"
            raise CellFault(f"a value: {text} {why}")
        unseen = steering(text)
        if unseen is not None:
            raise CellFault(f"a text that can be seen: {unseen} stands in it; type it anew")
        if len(text) > LONGEST_VALUE and column.kind is not Kind.TEXT:
            raise CellFault(f"a {kind} alone; this cell holds {len(text):,} characters")
        value = read(text)
        if not isinstance(value, float | int):
            return value
        if column.above is not None and value <= column.above:
            raise CellFault(f"a {kind} above {column.above:g}")
        if (column.low is not None and value < column.low) or (
            column.high is not None and value > column.high
        ):
            if column.high is None:
                raise CellFault(f"a {kind} of {column.low:g} or more")
            raise CellFault(f"a {kind} from {column.low:g} to {column.high:g}")
        return value

    def count(text: str) -> object:
        try:
            return within_bounds(text)
        except CellFault as fault:
            # Where a value is proposed, what a blank is would be one too many.
            proposes = "meant" in str(fault) or "write" in str(fault)
            raise CellFault(f"{fault}" if proposes else f"{fault}; a blank is written 0") from None

    return count if column.name == "fish" else within_bounds
