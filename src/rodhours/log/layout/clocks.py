"""Clock times without a date, put on the day that the layout names; past midnight too.

An end has the day of its own column where the layout names one. Else it is of the next day where
it is not after its start, and where the row has its hours as well, it lies as many whole days
later as these say.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import CellFaults, Reader, bounded
from rodhours.log.cells.dates import iso_date, read_date
from rodhours.log.cells.times import DAY_SECONDS, at_time, read_time, span
from rodhours.log.layout.forms import form_reader
from rodhours.log.layout.layout import COLUMNS, Layout

TOLERANCE = 1.05
"""Hours: the clock change, and hours that were written to a tenth."""
_DATED = re.compile(r"\d{4}-\d{2}-\d{2}")
_SAID = ""
"""What would be right, where another fault of the row says it already."""

_Cell = tuple[str | None, str | None]
"""A moment, and what would be right where there is none."""
_NOTHING: _Cell = (None, None)


@dataclass(frozen=True)
class Days:
    """A column of days: its name, its cells, and whether a row without one is refused anyhow."""

    column: str
    cells: Sequence[str]
    needed: bool


def with_days(
    clocks: Mapping[str, Sequence[str]],
    days: Days,
    end_days: Days | None,
    hours: Sequence[float | None],
    layout: Layout,
) -> dict[str, tuple[list[Any], CellFaults]]:
    """Moments and faults of our columns that may hold clock times, each given with its cells.

    Cells that hold a date keep their own.
    """
    empty = [""] * len(hours)
    found = {}
    for first, last in (("cast_in", "cast_out"), ("start", "end"), ("time", "")):
        if first not in clocks and last not in clocks:
            continue
        row_reader = _RowReader(layout, days, end_days if last else None)
        rows = list(
            zip(
                days.cells,
                clocks.get(first, empty),
                clocks.get(last, empty),
                hours if last else [None] * len(hours),
                (row_reader.end_days or days).cells,
                strict=True,
            )
        )
        cells = {row: row_reader.read(*row) for row in set(rows)}
        for place, ours in enumerate((first, last)):
            if ours in clocks:
                faults = {
                    position: (fault, clocks[ours][position].strip() or None)
                    for position, row in enumerate(rows)
                    if (fault := cells[row][place][1]) is not None
                }
                found[ours] = [cells[row][place][0] for row in rows], faults
    return found


class _RowReader:
    """Reads the start and the end of one row together."""

    def __init__(self, layout: Layout, days: Days, end_days: Days | None) -> None:
        self.layout = layout
        self.days = days
        self.end_days = end_days
        column = COLUMNS["cast_in"]
        moment = form_reader(column.name, layout, workbook=False)
        assert moment is not None
        self.moment: Reader = bounded(column, moment)

    def read(
        self, day: str, begin: str, end: str, hours: float | None, end_day: str
    ) -> tuple[_Cell, _Cell]:
        """Both cells of one row."""
        cells = [_NOTHING, _NOTHING]
        clocks: dict[int, int] = {}
        for place, text in enumerate((begin.strip(), end.strip())):
            if text:
                cells[place], seconds = self._moment_or_clock(text)
                if seconds is not None:
                    clocks[place] = seconds
        needed = dict.fromkeys(clocks, (self.days, day))
        if self.end_days is not None and 1 in clocks:
            needed[1] = (self.end_days, end_day)
        elif begin.strip() and 0 not in clocks:
            # The day of the end is that of the start, which has its own or cannot be read.
            needed.pop(1, None)
        dates: dict[int, str] = {}
        told = False
        for place, (source, text) in needed.items():
            try:
                dates[place] = self._day(text.strip())
            except CellFault:
                # Said once in a row: at the first time, where nothing says it already.
                said = source.needed or (told and source is self.days)
                says = (
                    f"a time with its day: the column {source.column!r} of this row has no date "
                    "that can be read"
                )
                cells[place] = (None, _SAID if said else says)
                told = True
        if len(dates) < len(needed):
            if 1 in clocks and cells[1][1] is None:
                cells[1] = (None, _SAID)
            return cells[0], cells[1]
        if 0 in clocks:
            cells[0] = (at_time(dates[0], clocks[0]), None)
        if 1 in clocks and self.end_days is not None:
            cells[1] = (at_time(dates[1], clocks[1]), None)
        elif 1 in clocks:
            cells[1] = _end_after(cells[0], clocks, dates.get(0), hours)
        return cells[0], cells[1]

    def _moment_or_clock(self, text: str) -> tuple[_Cell, int | None]:
        """A moment with its own date, or the seconds of a clock time; else a fault."""
        fault: CellFault | None = None
        if not _DATED.match(text):
            try:
                clock = self.layout.dates.clock
                return _NOTHING, read_time(text, clock, self.layout.units.numbers)
            except CellFault as no_time:
                fault = no_time
        try:
            return (str(self.moment(text)), None), None
        except CellFault as no_moment:
            return (None, str(fault or no_moment)), None

    def _day(self, text: str) -> str:
        dates = self.layout.dates
        return iso_date(text) if _DATED.match(text) else read_date(text, dates.form, dates.pivot)


def _end_after(
    begin: _Cell, clocks: Mapping[int, int], day: str | None, hours: float | None
) -> _Cell:
    """The end as a clock time, by the start before it; `day` is that of a start without its own."""
    moment, fault = begin
    if fault is not None:
        # The row says already that its start cannot be read.
        return None, _SAID
    if moment is None:
        return None, "empty, or with the time of the start beside it"
    starts = datetime.fromisoformat(moment)
    begins = (starts.hour * 60 + starts.minute) * 60 + starts.second
    if day is None:
        day = starts.date().isoformat()
    else:
        begins = clocks[0]
    try:
        return span(day, begins, clocks[1] + _whole_days(begins, clocks[1], hours))[1], None
    except CellFault as wrong:
        return None, str(wrong)


def _whole_days(begins: int, ends: int, hours: float | None) -> int:
    """Seconds of the whole days between start and end, as the hours tell; none without them."""
    if hours is None:
        return 0
    within = (ends - begins) / 3600
    days = round((hours - within) / 24)
    if days > 0 and abs(within + 24 * days - hours) <= TOLERANCE:
        return days * DAY_SECONDS
    return 0
