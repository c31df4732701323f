"""A file that its columns' names fit without a layout, though one is remembered for such names.

That is what an export of the logbook looks like, beside the angler's own file of the same names.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from rodhours.logbook.cells.cells import cell_parser
from rodhours.logbook.cells.faults import CellFault
from rodhours.logbook.layout.forms import cell_reader
from rodhours.logbook.layout.layout import COLUMNS, Layout
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.reading import missing_columns


@dataclass(frozen=True)
class EitherWay:
    """How the cells of a table fare: `plain` as the format has them, `laid` by a layout.

    `differing` is one cell that both read, to different values: column, text.
    """

    plain: bool
    laid: bool
    differing: tuple[str, str] | None


def either_way(raw: RawTable, layout: Layout, given: set[str]) -> EitherWay | None:
    """Both readings of a table; None where only the layout can tell which column is which."""
    if missing_columns(raw, given) or layout.wide or layout.session_from:
        return None
    plain, laid, differing = True, True, None
    for name, cells in zip(raw.header, raw.columns, strict=True):
        if name not in COLUMNS or layout.columns.get(name, name) != name:
            continue
        read = cell_reader(name, layout, workbook=raw.workbook)
        parse = cell_parser(COLUMNS[name], workbook=raw.workbook)
        known = layout.values.get(name, {})
        if read is None:
            continue
        for text in {cell.strip() for cell in cells} - {""} - set(known):
            value, other = _value(parse, text), _value(_both(read, parse), text)
            plain, laid = plain and value is not None, laid and other is not None
            if None not in (value, other) and value != other:
                differing = (name, text) if differing is None else min(differing, (name, text))
    return EitherWay(plain, laid, differing)


def _both(read: Callable[[str], str], parse: Callable[[str], object]) -> Callable[[str], object]:
    return lambda text: parse(read(text))


def _value(parse: Callable[[str], object], text: str) -> object | None:
    try:
        return parse(text)
    except CellFault:
        return None
