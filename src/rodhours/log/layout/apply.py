"""A table of a file to values under our columns, by its layout; clock times put on their days.

What the layout does not mention is kept as it is. A clock time follows the one before it, from the
day of its row on, as in `trip_days`. An end has the day of its own column where the layout names
one, or the last day of several.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from rodhours.errors import UnusableFile
from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import (
    CellFaults,
    Dates,
    cell_reader,
    kept_column,
    no_value,
    read_column,
)
from rodhours.log.cells.dates import ISO, is_clock, iso_date, last_day, read_date
from rodhours.log.cells.texts import label
from rodhours.log.layout.contents import filled_down
from rodhours.log.layout.layout import COLUMNS, LEAVE_OUT, Layout, targets
from rodhours.log.table import Fault, FileTable, known_columns
from rodhours.log.tables import TABLES
from rodhours.log.trip_days import TripDays

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
    raw = with_days(raw, layout)
    cells = cells_to_read(raw, layout)
    values: dict[str, list[Any]] = {}
    faults: dict[str, CellFaults] = {}
    names: dict[str, str] = {}
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
        else:
            values[ours], faults[ours] = _read(cells[name], ours, layout, name, raw)
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


_PAIRS = (("start", "end"), ("cast_in", "cast_out"), ("time", ""))


def with_days(raw: FileTable, layout: Layout) -> FileTable:
    """The table with its clock times as moments: each trip's follow one another from its day on.

    That is the day of the row in the layout's column of days, else in `date`; where the row has
    none, the first that its trip has.
    """
    cells, of = cells_to_read(raw, layout), {o: name for name, o in targets(raw, layout).items()}
    on, end_on = layout.dates.clock_on or "", layout.dates.clock_end_on or ""
    on = on or (of.get("date", "") if "session" in of else "")
    timed = {ours: list(cells[of[ours]]) for pair in _PAIRS for ours in pair if ours in of}
    if on not in cells or not any(is_clock(one.strip()) for c in timed.values() for one in set(c)):
        return raw
    nothing = [""] * len(raw.rows)
    key = [of["session"]] if "session" in of else layout.session_from
    trip_of = list(zip(*(cells[one] for one in key if one in cells), strict=True)) or nothing
    days = _days(cells[on], layout.dates.form)
    first = {label: day for label, day in zip(trip_of[::-1], days[::-1], strict=True) if day}
    ends_on = _days(cells.get(end_on, cells[on]), layout.dates.form, last=end_on not in cells)
    rods = cells[of["rod"]] if "rod" in of else nothing
    hours: Sequence[Any] = nothing
    if "hours" in of:
        hours = _read(cells[of["hours"]], "hours", layout, "", raw)[0]
    read = cell_reader(COLUMNS["cast_in"], workbook=raw.workbook, dates=layout.dates)
    trips: dict[object, TripDays] = {}
    faults: list[Fault] = []
    for at, label_of in enumerate(trip_of):
        day = days[at] or first.get(label_of)
        trip = trips.setdefault((label_of, day), TripDays(day))
        for pair in _PAIRS:
            said = [timed[one][at].strip() if one in timed else "" for one in pair]
            if not any(map(is_clock, said)):
                continue
            rod = (rods[at].strip() or f"row {at}") if "cast_in" in pair else ""
            placed: list[str] = []
            try:
                # A day at fault is said of its own cell.
                if day or not (on in layout.session_from or cells[on][at].strip()):
                    end_day = None if end_on in cells and not ends_on[at] else ends_on[at] or ""
                    stay = None if ends_on[at] else hours[at] or None
                    placed.extend(
                        _placed(
                            trip,
                            rod,
                            (
                                text if is_clock(text) or not text else str(read(text))
                                for text in said
                            ),
                            end_day,
                            stay,
                        )
                    )
            except CellFault as fault:
                which = len(placed)
                faults.append((at, pair[which], str(fault), said[which]))
            for one, text in zip(pair, [*placed, "", ""], strict=False):
                if one in timed:
                    timed[one][at] = text
    columns = {of[ours]: column for ours, column in timed.items()}
    return replace(raw.with_columns(columns), faults=(*raw.faults, *faults))


def _placed(
    trip: TripDays, rod: str, told: Iterator[str], end_day: str | None, hours: float | None
) -> Iterator[str]:
    """The moments of a start and of an end, empty where nothing is said."""
    begun = next(told)
    if begun:
        begun = trip.cast_in(rod, begun) if rod else trip.begun(begun)
    yield begun
    ended = next(told)
    if is_clock(ended):
        if not begun:
            raise CellFault("empty, or with the time of the start beside it")
        if end_day is None:
            raise CellFault("a time with its day: the row has no date of its end that can be read")
        ended = f"{end_day} {ended}".strip()
    yield trip.cast_out(rod, ended, begun or None, hours) if ended else ""


def _days(cells: Sequence[str], form: str, last: bool = False) -> list[str | None]:
    """The day of each cell, or the last of several, as ISO 8601; None where there is none."""

    def day(text: str) -> str | None:
        with suppress(CellFault):
            if ISO.match(text):
                return None if last else iso_date(text)
            return last_day(text, form) if last else read_date(text, form)
        return None

    known = {cell: day(cell.strip()) for cell in set(cells)}
    return [known[cell] for cell in cells]


def clock_said(dates: Dates) -> str:
    """Which day times of day without a date are of."""
    if dates.clock_end_on is not None:
        return (
            f"Times of day are of the days in {dates.clock_on} (the start) and "
            f"{dates.clock_end_on} (the end)."
        )
    return (
        f"Times of day are of the day in {dates.clock_on}, and an end before its start is of the "
        "next day: a stint of more than 24 h can be told only by a day of the week beside its "
        "end, or by a column of hours."
    )
