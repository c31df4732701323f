"""A table of a file to values under our columns, by its layout.

What the layout does not mention is kept as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rodhours.errors import UnusableFile
from rodhours.log.cells.cell import (
    CellFaults,
    cell_reader,
    kept_column,
    no_value,
    read_column,
)
from rodhours.log.cells.texts import label
from rodhours.log.layout.clocks import Clocks, Days
from rodhours.log.layout.contents import filled_down
from rodhours.log.layout.layout import COLUMNS, LEAVE_OUT, Layout, targets
from rodhours.log.table import Fault, FileTable, known_columns
from rodhours.log.tables import TABLES, Kind

SESSION_SEPARATOR = ", "


@dataclass
class LaidOut:
    """The rows of a table under our names, and kept columns under their own, as values.

    `index` is each row's position in the file's table, `names` the file's names of our columns.
    """

    values: dict[str, list[Any]]
    faults: list[Fault]
    index: Sequence[int]
    names: Sequence[Mapping[str, str]]


def apply_layout(raw: FileTable, layout: Layout) -> LaidOut:
    """The table under our columns; UnusableFile where two columns would be the same of ours."""
    cells = cells_to_read(raw, layout)
    values: dict[str, list[Any]] = {}
    faults: dict[str, CellFaults] = {}
    names: dict[str, str] = {}
    days = _days(cells, layout, layout.dates.clock_on)
    clocks: dict[str, Sequence[str]] = {}
    for name, ours in targets(raw, layout).items():
        if ours == LEAVE_OUT:
            continue
        if ours in names:
            raise UnusableFile(
                f'{raw.place_of_header}: the columns "{names[ours]}" and "{name}" would both be '
                f"{ours}. In {layout.name} under [columns] give one of them another name, "
                f'"{name}" = "leave out" for example.'
            )
        names[ours] = name
        if ours not in known_columns(raw.table):
            values[ours] = kept_column(name, cells[name])
        elif days is not None and COLUMNS[ours].kind is Kind.MOMENT:
            values[ours], clocks[ours] = [], cells[name]
        else:
            values[ours], faults[ours] = _read(cells[name], ours, layout, name, raw)
    if days is not None and clocks:
        hours = values.get("hours", [None] * len(raw.rows))
        end_days = _days(cells, layout, layout.dates.clock_end_on)
        for ours, read in Clocks(days, end_days, layout).read(clocks, hours).items():
            values[ours], faults[ours] = read
    if layout.session_from and cells.keys() >= {*layout.session_from}:
        values["session"], faults["session"] = _sessions(raw, layout, cells, values, faults)
        names["session"] = " + ".join(layout.session_from)
    told = {position for position, *_ in raw.faults}
    found = [*raw.faults, *raw.misfit_faults()] + [
        (position, ours, says, found)
        for ours, of_column in faults.items()
        for position, (says, found) in of_column.items()
        if position not in told
    ]
    rows = range(len(raw.rows))
    return LaidOut(values, found, rows, [names] * len(rows))


def _read(
    cells: Sequence[str], ours: str, layout: Layout, theirs: str, raw: FileTable
) -> tuple[list[Any], CellFaults]:
    """The cells of one of our columns; `theirs` is its name in the file.

    A text that the layout gives a value stands for that, in the format's own form.
    """
    of_table = {column.name: column for column in TABLES[raw.table].columns}
    column = of_table.get(ours, COLUMNS[ours])
    own = cell_reader(column)
    needed = column.needed and layout.columns
    return read_column(
        cells,
        cell_reader(column, workbook=raw.workbook, units=layout.units, dates=layout.dates),
        nothing_above(column.holds, theirs) if needed else no_value(column),
        {text: own(one) if one else None for text, one in layout.values.get(ours, {}).items()},
    )


def nothing_above(holds: str, theirs: str) -> str:
    """What would be right in an empty cell where a value is needed."""
    return (
        f"filled: {holds} (if an empty cell means as above, name {theirs!r} in the layout under "
        "[fill_down])"
    )


def cells_to_read(raw: FileTable, layout: Layout) -> dict[str, Sequence[str]]:
    """The cells of each named column, those that mean as above filled."""
    return {
        name: filled_down(column) if name in layout.fill_down else column
        for name, column in raw.named_columns.items()
    }


def _days(cells: Mapping[str, Sequence[str]], layout: Layout, name: str | None) -> Days | None:
    """The column with the days of clock times, where the layout names one and the table has it."""
    if name is None or name not in cells:
        return None
    return Days(name, cells[name], name in layout.session_from)


def _sessions(
    raw: FileTable,
    layout: Layout,
    cells: Mapping[str, Sequence[str]],
    values: Mapping[str, list[Any]],
    faults: Mapping[str, CellFaults],
) -> tuple[list[Any], CellFaults]:
    """The label of each row's session, from the columns that together make one."""
    parts: list[list[Any]] = []
    broken: CellFaults = {}
    for source in layout.session_from:
        ours = layout.ours(source)
        of_column = faults.get(ours, {})
        if ours in known_columns(raw.table):
            read = values[ours]
        elif ours in COLUMNS:
            # A column that this table has not (the date of a fish) still makes the session.
            read, of_column = _read(cells[source], ours, layout, source, raw)
            broken = of_column | broken
        else:
            read = [label(cell) or None for cell in cells[source]]
        parts.append(read)
        empty = nothing_above("part of what makes a session", source)
        for position, value in enumerate(read):
            if value is None:
                # An empty phrase: the row says already what is wrong with that cell.
                broken.setdefault(position, ("" if position in of_column else empty, None))
    rows = list(zip(*parts, strict=True))
    labels = {
        row: None if None in row else SESSION_SEPARATOR.join(map(str, row)) for row in {*rows}
    }
    return [labels[row] for row in rows], broken
