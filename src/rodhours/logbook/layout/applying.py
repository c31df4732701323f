"""A raw table under their names, and a layout, to the same table under ours.

Every cell becomes the text that the trip log's own format has, or a fault with the file's own
name of the column. What the layout does not mention is kept as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rodhours.errors import UnusableFile
from rodhours.logbook.cells import label
from rodhours.logbook.cells.faults import CellFault
from rodhours.logbook.layout.clocks import with_days
from rodhours.logbook.layout.filling import filled_down
from rodhours.logbook.layout.forms import cell_reader
from rodhours.logbook.layout.laid_out import LaidOutTable
from rodhours.logbook.layout.laying import Laying
from rodhours.logbook.layout.layout import COLUMNS, KEEP, LEAVE_OUT, Layout
from rodhours.logbook.layout.matching import find_column, wide_groups
from rodhours.logbook.layout.wide import rods_as_rows
from rodhours.logbook.raw_table import Fault, RawTable, misfit_fault
from rodhours.logbook.tables import SESSIONS, TABLES, VARIANTS, Kind
from rodhours.wording import layouts as words

SESSION_SEPARATOR = ", "


def apply_layout(raw: RawTable, layout: Layout) -> LaidOutTable:
    """The table under our columns; UnusableFile where two columns would be the same of ours."""
    laying = Laying(raw, layout)
    header = [name for name in raw.header if name]
    fill = {find_column(name, header) for name in layout.fill_down}
    for name, cells in zip(raw.header, raw.columns, strict=True):
        if name:
            laying.raw_texts[name] = filled_down(cells) if name in fill else cells
    groups = {
        rod: columns
        for rod, columns in wide_groups(layout.wide.values(), header).items()
        if layout.wide["variant"] in columns
    }
    of_rods = {name for columns in groups.values() for name in columns.values()}
    for name, ours in targets(header, layout, raw.table).items():
        if ours != LEAVE_OUT and name not in of_rods:
            _lay_out(laying, name, ours)
    with_days(laying)
    _make_sessions(laying)
    misfits = {p: misfit_fault(row, len(raw.header)) for p, row in raw.misfits.items()}
    if groups:
        return rods_as_rows(laying, groups, misfits, read_cells)
    faults: list[Fault] = [(p, None, says, found) for p, (says, found) in misfits.items()]
    faults += [
        (position, column, says, found)
        for column, cells in laying.faults.items()
        for position, (says, found) in cells.items()
    ]
    count = len(raw.rows)
    return LaidOutTable(
        file=raw.file,
        sheet=raw.sheet,
        table=raw.table,
        named=raw.named,
        header=tuple(laying.texts),
        header_row=raw.header_row,
        columns=tuple(laying.texts.values()),
        rows=raw.rows,
        misfits={},
        origin=raw,
        positions=range(count),
        names=(laying.names,),
        rod_of=[0] * count,
        found_at_fault=faults,
        first_of_row=None,
        layout_name=layout.name,
    )


def targets(header: Sequence[str], layout: Layout, table: str) -> dict[str, str]:
    """What becomes of each column of a header: our name, its own where it is kept, LEAVE_OUT."""
    known = set(TABLES[table].names)
    if table == "stints":
        known |= {*SESSIONS.names, *VARIANTS.names}
    named = {find_column(name, header): ours for name, ours in layout.columns.items()}
    found: dict[str, str] = {}
    for name in header:
        ours = named.get(name, KEEP)
        found[name] = ours if ours == LEAVE_OUT or ours in known else name
    return found


def _lay_out(laying: Laying, name: str, ours: str) -> None:
    if ours in laying.texts:
        raise UnusableFile(
            words.one_column_twice(
                laying.layout.name, laying.raw.place_of_header, laying.names[ours], name, ours
            )
        )
    laying.names[ours] = name
    cells = laying.raw_texts[name]
    if ours not in COLUMNS or _is_clock(laying, ours):
        laying.texts[ours] = list(cells)
        return
    laying.texts[ours], faults = read_cells(laying, ours, cells)
    if faults:
        laying.faults[ours] = faults


def _is_clock(laying: Laying, ours: str) -> bool:
    return laying.layout.dates.clock_on is not None and COLUMNS[ours].kind is Kind.MOMENT


def read_cells(
    laying: Laying, ours: str, cells: Sequence[str]
) -> tuple[list[str], dict[int, tuple[str, str | None]]]:
    """The canonical text of each cell, empty where there is none, and the faults by position."""
    layout = laying.layout
    values: Mapping[str, str] = layout.values.get(ours, {})
    read = cell_reader(ours, layout, workbook=laying.raw.workbook)
    texts: dict[str, str] = {}
    bad: dict[str, str] = {}
    for cell in set(cells):
        text = cell.strip()
        texts[cell] = values.get(text, text)
        if text and text not in values and read is not None:
            try:
                texts[cell] = read(text)
            except CellFault as fault:
                texts[cell], bad[cell] = "", str(fault)
        elif not text and text not in values and COLUMNS[ours].needed:
            bad[cell] = words.nothing_above(COLUMNS[ours].holds, laying.names.get(ours, ours))
    faults: dict[int, tuple[str, str | None]] = {}
    if bad:
        faults = {
            position: (bad[cell], cell.strip() or None)
            for position, cell in enumerate(cells)
            if cell in bad
        }
    return [texts[cell] for cell in cells], faults


def _make_sessions(laying: Laying) -> None:
    """The label of each row's session, from the columns that together make one."""
    header = [name for name in laying.raw.header if name]
    sources = [find_column(name, header) for name in laying.layout.session_from]
    if not sources or None in sources:
        return
    ours_of = {theirs: ours for ours, theirs in laying.names.items()}
    named = {find_column(name, header): ours for name, ours in laying.layout.columns.items()}
    parts: list[Sequence[str]] = []
    broken: dict[int, tuple[str, str | None]] = {}
    for source in sources:
        assert source is not None
        ours = ours_of.get(source)
        meant = named.get(source, KEEP)
        if ours is not None and ours in COLUMNS:
            texts: Sequence[str] = [label(text) for text in laying.texts[ours]]
        elif meant in COLUMNS:
            # A column that this table has not (the date of a fish) still makes the session.
            texts, faults = read_cells(laying, meant, laying.raw_texts[source])
            for position, (says, found) in faults.items():
                broken.setdefault(position, (says, found))
        else:
            texts = [label(cell) for cell in laying.raw_texts[source]]
        parts.append(texts)
        for position, text in enumerate(texts):
            if not text and position not in broken:
                said = ours is not None and laying.at_fault(ours, position)
                # An empty phrase: the row says already what is wrong with that cell.
                says = "" if said else words.nothing_above("part of what makes a session", source)
                broken[position] = (says, None)
    laying.texts["session"] = [
        "" if position in broken else SESSION_SEPARATOR.join(row)
        for position, row in enumerate(zip(*parts, strict=True))
    ]
    laying.names["session"] = " + ".join(source for source in sources if source)
    if broken:
        laying.faults["session"] = broken
