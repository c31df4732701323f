"""A table of a file to values under our columns, by its layout.

What the layout does not mention is kept as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from rodhours.errors import UnusableFile
from rodhours.log.cells.cell import CellFaults, kept_column, read_column
from rodhours.log.cells.dates import with_years
from rodhours.log.cells.texts import label
from rodhours.log.layout.clocks import Days, with_days
from rodhours.log.layout.contents import filled_down
from rodhours.log.layout.forms import column_form, nothing_above
from rodhours.log.layout.layout import COLUMNS, KEEP, LEAVE_OUT, Layout
from rodhours.log.layout.match import find_column, names_of, rods_of, targets
from rodhours.log.table import Fault, FileTable, known_columns
from rodhours.log.tables import Kind

SESSION_SEPARATOR = ", "
_NOUGHTS = ("0", "0.0", "0,0", "0.00", "0,00", "0:00", "00:00")
"""Hours as a sheet's own sums give them where there are none."""
NO_ROD_FISHED = "the bait of at least one rod: a trip without a rod in the water is no trip"
FISHED_WITHOUT_BAIT = "filled, since this rod has fish or hours: the bait that was on it"
FISHED_IF_ANY = ("variant", "fish", "lost", "hours", "cast_in", "cast_out")


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
        form = column_form(ours, layout, name, workbook=raw.workbook)
        columns.put(ours, read_column(cells[name], form))
    if days is not None and clocks:
        hours = columns.values.get("hours", [None] * len(raw.rows))
        end_days = _days(cells, layout, layout.dates.clock_end_on)
        for ours, read in with_days(clocks, days, end_days, hours, layout).items():
            columns.put(ours, read)
    names = names_of(raw, layout)
    sources = [find_column(name, raw.names) for name in layout.session_from]
    if sources and None not in sources:
        columns.put("session", _sessions(columns, taken, list(map(str, sources)), raw, layout))
        names = [one | {"session": " + ".join(map(str, sources))} for one in names]
    if rods_of(raw, layout):
        return _rods_as_rows(columns, raw, layout, names)
    told = {position for position, *_ in raw.faults}
    faults = [*raw.faults, *raw.misfit_faults()] + [
        (position, ours, says, found)
        for ours, of_column in columns.faults.items()
        for position, (says, found) in of_column.items()
        if position not in told
    ]
    rows = range(len(raw.rows))
    return LaidOut(columns.values, faults, rows, list(names) * len(rows))


def cells_to_read(raw: FileTable, layout: Layout) -> dict[str, Sequence[str]]:
    """The cells of each named column: those that mean as above filled, dates with their year."""
    fill = {find_column(name, raw.names) for name in layout.fill_down}
    cells = {
        name: filled_down(column) if name in fill else column
        for name, column in raw.named_columns.items()
    }
    dates = layout.dates
    if dates.year is not None:
        ends = (dates.clock_on, dates.clock_end_on)
        for name, column in cells.items():
            if layout.columns.get(name) == "date" or name in ends:
                cells[name] = with_years(column, dates.form, dates.year, dates.pivot)
    return cells


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
            form = column_form(meant[source], layout, source, workbook=raw.workbook)
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


def _rods_as_rows(
    shared: _Columns, raw: FileTable, layout: Layout, names: list[dict[str, str]]
) -> LaidOut:
    """One row for each rod that was fished.

    A rod without a bait was not fished; one without a bait but with fish or hours is at fault,
    and so is a row without any rod. What is wrong with a cell that the rods of a row share is
    said once, at the first of them.
    """
    groups = rods_of(raw, layout)
    rods = [_rod(shared.cells, columns, raw, layout) for columns in groups.values()]
    misfits = {fault[0]: fault[2:] for fault in raw.misfit_faults()}
    rows: list[tuple[int, int]] = []  # position in the file, rod
    faults: list[Fault] = []
    for position in range(len(raw.rows)):
        fished = [rod for rod, columns in enumerate(rods) if _was_fished(columns, position)]
        if not fished:
            faults.append((len(rows), "variant", NO_ROD_FISHED, None))
        for here, rod in enumerate(fished, start=len(rows)):
            faults += _at_row(rods[rod], position, here)
        if position in misfits:
            faults.append((len(rows), None, *misfits[position]))
        of_shared = _at_row(shared, position, len(rows))
        if not fished:
            # A sheet's own sums give no hours to a trip that was not fished.
            of_shared = [f for f in of_shared if f[1] != "hours" or f[3] not in _NOUGHTS]
        faults += of_shared
        for here in range(len(rows) + 1, len(rows) + len(fished)):
            faults += [(here, ours, "", found) for _, ours, _, found in of_shared]
        rows += [(position, rod) for rod in fished or [0]]
    values = {
        ours: [column[position] for position, _ in rows]
        for ours, column in shared.values.items()
        if ours not in layout.wide and ours != "rod"
    }
    for ours in layout.wide:
        values[ours] = [rods[rod].values[ours][position] for position, rod in rows]
    values["rod"] = [list(groups)[rod] for _, rod in rows]
    return LaidOut(
        values, faults, [position for position, _ in rows], [names[rod] for _, rod in rows]
    )


def _at_row(columns: _Columns, position: int, here: int) -> list[Fault]:
    """The faults of a row of the file, as those of row `here` of ours."""
    return [
        (here, ours, *found[position])
        for ours, found in columns.faults.items()
        if position in found
    ]


def _rod(
    cells: Mapping[str, Sequence[str]], names: Mapping[str, str], raw: FileTable, layout: Layout
) -> _Columns:
    """The columns of one rod; where it has none for one of ours, every cell is empty."""
    columns = _Columns(cells)
    for ours in layout.wide:
        form = column_form(ours, layout, names.get(ours, ours), workbook=raw.workbook)
        if ours == "hours":
            form = replace(form, known={**form.known, **dict.fromkeys(_NOUGHTS)})
        of_rod = cells[names[ours]] if ours in names else [""] * len(raw.rows)
        if ours == "variant":
            # What the layout says is nothing, a dash say, is a rod that was not fished.
            nothing = {text for text, value in form.known.items() if value is None}
            of_rod = ["" if cell.strip() in nothing else cell for cell in of_rod]
        columns.put(ours, read_column(of_rod, form))
    unnamed = columns.faults.get("variant", {})
    for position, bait in enumerate(columns.values["variant"]):
        if bait is None and unnamed.get(position, (None, None))[1] is None:
            columns.faults.setdefault("variant", {})[position] = (FISHED_WITHOUT_BAIT, None)
    return columns


def _was_fished(rod: _Columns, position: int) -> bool:
    """Whether a rod has a bait, fish or hours; a sheet's own sums give 0 where there are none."""
    for ours in FISHED_IF_ANY:
        _, found = rod.faults.get(ours, {}).get(position, (None, None))
        value = rod.values[ours][position] if ours in rod.values else None
        if found is not None or value not in (None, 0):
            return True
    return False
