"""A table of a file to values under our columns, by its layout; clock times put on their days.

What the layout does not mention is kept as it is. The end of a clock time has the day of its own
column where the layout names one, or the last day of several. Else it is of the day of the week
that it names, or of the next day where it is not after its start; where the row has its hours as
well, it lies as many whole days later as these say.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
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
from rodhours.log.cells.dates import ISO, iso_date, last_day, read_date, read_weekday_time
from rodhours.log.cells.texts import label
from rodhours.log.cells.times import DAY_SECONDS, at_time, span
from rodhours.log.layout.contents import filled_down
from rodhours.log.layout.layout import COLUMNS, LEAVE_OUT, Layout, targets
from rodhours.log.table import Fault, FileTable, known_columns
from rodhours.log.tables import TABLES, Kind

SESSION_SEPARATOR = ", "
TOLERANCE = 1.05
"""Hours: the clock change, and hours that were written to a tenth."""


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


@dataclass(frozen=True)
class Days:
    """A column of days: its name, its cells, and whether a row without one is refused anyhow."""

    column: str
    cells: Sequence[str]
    needed: bool


@dataclass(frozen=True)
class Clocks:
    """How clock times are put on days: the days of the start, those of the end, the layout."""

    days: Days
    end_days: Days | None
    layout: Layout

    def read(
        self, clocks: Mapping[str, Sequence[str]], hours: Sequence[float | None]
    ) -> dict[str, tuple[list[Any], CellFaults]]:
        """Moments and faults of our columns that may hold clock times, each given with its cells.

        Cells that hold a date keep their own.
        """
        empty = [""] * len(hours)
        end_cells = (self.end_days or self.days).cells
        found: dict[str, tuple[list[Any], CellFaults]] = {}
        for first, last in (("cast_in", "cast_out"), ("start", "end"), ("time", "")):
            begins = clocks.get(first, empty)
            if first in clocks:
                starts = zip(begins, self.days.cells, strict=True)
                found[first] = _read_once(begins, list(starts), self._start)
            if last in clocks:
                rows = zip(clocks[last], begins, self.days.cells, end_cells, hours, strict=True)
                found[last] = _read_once(clocks[last], list(rows), self._end)
        return found

    def _told(self, text: str) -> str | tuple[int | None, int] | None:
        """A moment with its own date; or the day of the week, if one is said, and the seconds."""
        no_time = None
        if not text:
            return None
        if not ISO.match(text):
            try:
                return read_weekday_time(text)
            except CellFault as fault:
                no_time = fault
        try:
            return str(cell_reader(COLUMNS["cast_in"], dates=self.layout.dates)(text))
        except CellFault as no_moment:
            raise no_time or no_moment from None

    def _start(self, text: str, day: str) -> str | None:
        return self._on_day(self._told(text), day, self.days)

    def _on_day(
        self, told: str | tuple[int | None, int] | None, day: str, days: Days
    ) -> str | None:
        """A moment, if need be on the day of its column."""
        if not isinstance(told, tuple):
            return told
        try:
            return at_time(nearest(as_iso(day, self.layout.dates.form), told[0]), told[1])
        except CellFault:
            says = f"a time with its day: the column {days.column!r} of this row has no date"
            raise CellFault("" if days.needed else f"{says} that can be read") from None

    def _end(
        self, text: str, begin: str, day: str, end_day: str, hours: float | None
    ) -> str | None:
        """The end of a row; its fault is empty where another one of the row says it already."""
        told = self._told(text)
        if not isinstance(told, tuple):
            return told
        weekday, ends = told
        start: str | CellFault | None
        try:
            start = self._start(begin, day)
        except CellFault as fault:
            start = fault
        if self.end_days is not None:
            try:
                return self._on_day(told, end_day, self.end_days)
            except CellFault:
                if isinstance(start, CellFault) and str(start):
                    raise CellFault("") from None
                raise
        with suppress(CellFault):
            last = None if ISO.match(day) else last_day(day, self.layout.dates.form)
            if last is not None:
                return at_time(nearest(last, weekday), ends)
        if isinstance(start, CellFault):
            raise CellFault("")
        if start is None:
            raise CellFault("empty, or with the time of the start beside it")
        began = datetime.fromisoformat(start)
        begins = (began.hour * 60 + began.minute) * 60 + began.second
        clock = self._told(begin)
        if isinstance(clock, tuple) and clock[1] >= DAY_SECONDS:
            begins, began = clock[1], began - timedelta(days=1)
        midnight = began.date().isoformat()
        if weekday is not None:
            # The first such day that is not before the start.
            later = (weekday - began.weekday()) % 7 * DAY_SECONDS + ends - begins
            later += 7 * DAY_SECONDS if later <= 0 else 0
            return at_time(midnight, begins + later)
        return span(midnight, begins, ends + _whole_days(begins, ends, hours))[1]


def _read_once(
    cells: Sequence[str], rows: Sequence[tuple[Any, ...]], read: Callable[..., str | None]
) -> tuple[list[Any], CellFaults]:
    """What is read of each row, and the faults by position; equal rows are read once."""
    values: dict[tuple[Any, ...], str | None] = {}
    bad: dict[tuple[Any, ...], str] = {}
    for row in set(rows):
        try:
            values[row] = read(*(one.strip() if isinstance(one, str) else one for one in row))
        except CellFault as fault:
            values[row], bad[row] = None, str(fault)
    faults = {
        at: (bad[row], cells[at].strip() or None) for at, row in enumerate(rows) if row in bad
    }
    return [values[row] for row in rows], faults


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


def as_iso(day: str, form: str) -> str:
    """A day in ISO 8601 or in a form of dates, as ISO 8601."""
    return iso_date(day) if ISO.match(day) else read_date(day, form)


def nearest(day: str, weekday: int | None) -> str:
    """The day of the week that is nearest to an ISO date; that date itself where none is said."""
    told = date.fromisoformat(day)
    apart = 0 if weekday is None else (weekday - told.weekday() + 3) % 7 - 3
    return (told + timedelta(days=apart)).isoformat()


def other_day(days: Sequence[str], clocks: Sequence[str], form: str) -> str | None:
    """The first time that names another day of the week than its date has, and what it is then."""
    for day, clock in dict.fromkeys(zip(map(str.strip, days), map(str.strip, clocks), strict=True)):
        with suppress(CellFault):
            told = as_iso(day, form)
            found = nearest(told, read_weekday_time(clock)[0])
            if found != told:
                return f"{clock} beside {day} is taken for {found}."
    return None


def _whole_days(begins: int, ends: int, hours: float | None) -> int:
    """Seconds of the whole days between start and end, as the hours tell; none without them."""
    if not isinstance(hours, float):
        return 0
    within = (ends - begins) / 3600
    days = round((hours - within) / 24)
    near = abs(within + 24 * days - hours) <= TOLERANCE
    return days * DAY_SECONDS if days > 0 and near else 0
