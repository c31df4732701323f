"""A table of a file to values under our columns, by its layout.

What the layout does not mention is kept as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from rodhours.errors import UnusableFile
from rodhours.log.cells.cell import (
    CellFaults,
    CellForm,
    cell_reader,
    kept_column,
    no_value,
    read_column,
)
from rodhours.log.cells.texts import label
from rodhours.log.layout.clocks import Days, with_days
from rodhours.log.layout.contents import filled_down
from rodhours.log.layout.layout import (
    COLUMNS,
    KEEP,
    LEAVE_OUT,
    Layout,
    find_column,
    targets,
)
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


@dataclass
class _Columns:
    """Values and faults under our names, while they are being read; cells under theirs."""

    cells: Mapping[str, Sequence[str]]
    values: dict[str, list[Any]] = field(default_factory=dict)
    faults: dict[str, CellFaults] = field(default_factory=dict)

    def put(self, ours: str, read: tuple[list[Any], CellFaults]) -> None:
        self.values[ours], faults = read
        if faults:
            self.faults[ours] = faults


def apply_layout(raw: FileTable, layout: Layout) -> LaidOut:
    """The table under our columns; UnusableFile where two columns would be the same of ours."""
    cells = cells_to_read(raw, layout)
    columns = _Columns(cells)
    taken: dict[str, str] = {}
    days = _days(cells, layout, layout.dates.clock_on)
    clocks: dict[str, Sequence[str]] = {}
    for name, ours in targets(raw, layout).items():
        if ours == LEAVE_OUT:
            continue
        if ours in taken:
            raise UnusableFile(
                f'{raw.place_of_header}: the columns "{taken[ours]}" and "{name}" would both be '
                f"{ours}. In {layout.name} under [columns] give one of them another name, "
                f'"{name}" = "leave out" for example.'
            )
        taken[ours] = name
        if ours not in known_columns(raw.table):
            columns.values[ours] = kept_column(name, cells[name])
            continue
        if days is not None and COLUMNS[ours].kind is Kind.MOMENT:
            clocks[ours] = cells[name]
            columns.values[ours] = []
            continue
        form = column_form(ours, layout, name, raw)
        columns.put(ours, read_column(cells[name], form))
    if days is not None and clocks:
        hours = columns.values.get("hours", [None] * len(raw.rows))
        end_days = _days(cells, layout, layout.dates.clock_end_on)
        for ours, read in with_days(clocks, days, end_days, hours, layout).items():
            columns.put(ours, read)
    names = {ours: name for name, ours in targets(raw, layout).items() if ours != LEAVE_OUT}
    sources = [find_column(name, raw.names) for name in layout.session_from]
    if sources and None not in sources:
        columns.put("session", _sessions(columns, taken, list(map(str, sources)), raw, layout))
        names |= {"session": " + ".join(map(str, sources))}
    told = {position for position, *_ in raw.faults}
    faults = [*raw.faults, *raw.misfit_faults()] + [
        (position, ours, says, found)
        for ours, of_column in columns.faults.items()
        for position, (says, found) in of_column.items()
        if position not in told
    ]
    rows = range(len(raw.rows))
    return LaidOut(columns.values, faults, rows, [names] * len(rows))


def column_form(ours: str, layout: Layout, theirs: str, raw: FileTable) -> CellForm:
    """How the cells of one of our columns are read; `theirs` is its name in the file.

    A text that the layout gives a value stands for that, in the format's own form.
    """
    of_table = {column.name: column for column in TABLES[raw.table].columns}
    column = of_table.get(ours, COLUMNS[ours])
    own = cell_reader(column)
    return CellForm(
        cell_reader(column, workbook=raw.workbook, units=layout.units, dates=layout.dates),
        nothing_above(column.holds, theirs)
        if column.needed and layout.columns
        else no_value(column),
        {
            text: own(value) if value else None
            for text, value in layout.values.get(ours, {}).items()
        },
    )


def nothing_above(holds: str, theirs: str) -> str:
    """What would be right in an empty cell where a value is needed."""
    return (
        f"filled: {holds} (if an empty cell means as above, name {theirs!r} in the layout under "
        "[fill_down])"
    )


def cells_to_read(raw: FileTable, layout: Layout) -> dict[str, Sequence[str]]:
    """The cells of each named column, those that mean as above filled."""
    fill = {find_column(name, raw.names) for name in layout.fill_down}
    return {
        name: filled_down(column) if name in fill else column
        for name, column in raw.named_columns.items()
    }


def _days(cells: Mapping[str, Sequence[str]], layout: Layout, named: str | None) -> Days | None:
    """The column with the days of clock times, where the layout names one and the table has it."""
    name = find_column(named, list(cells)) if named is not None else None
    if name is None:
        return None
    parts = [find_column(part, list(cells)) for part in layout.session_from]
    return Days(name, cells[name], name in parts)


def _sessions(
    columns: _Columns,
    taken: Mapping[str, str],
    sources: Sequence[str],
    raw: FileTable,
    layout: Layout,
) -> tuple[list[Any], CellFaults]:
    """The label of each row's session, from the columns that together make one."""
    ours_of = {theirs: ours for ours, theirs in taken.items()}
    meant = {find_column(name, raw.names): ours for name, ours in layout.columns.items()}
    parts: list[list[Any]] = []
    broken: CellFaults = {}
    for source in sources:
        ours = ours_of.get(source, LEAVE_OUT)
        faults = columns.faults.get(ours, {})
        if ours in known_columns(raw.table):
            values = columns.values[ours]
        elif meant.get(source, KEEP) in COLUMNS:
            # A column that this table has not (the date of a fish) still makes the session.
            form = column_form(meant[source], layout, source, raw)
            values, faults = read_column(columns.cells[source], form)
            for position, fault in faults.items():
                broken.setdefault(position, fault)
        else:
            values = [label(cell) or None for cell in columns.cells[source]]
        parts.append(values)
        if None in values:
            empty = nothing_above("part of what makes a session", source)
            for position, value in enumerate(values):
                if value is None:
                    # An empty phrase: the row says already what is wrong with that cell.
                    broken.setdefault(position, ("" if position in faults else empty, None))
    rows = list(zip(*parts, strict=True))
    label_of = {
        row: None if None in row else SESSION_SEPARATOR.join(map(str, row)) for row in set(rows)
    }
    labels = list(map(label_of.__getitem__, rows))
    return labels, broken
