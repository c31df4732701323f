"""Clock times without a date, put on the day that the layout names; past midnight too.

An end has the day of its own column where the layout names one, or the last day of several. Else
it is of the day of the week that it names, or of the next day where it is not after its start;
where the row has its hours as well, it lies as many whole days later as these say.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import CellFaults, Dates, cell_reader
from rodhours.log.cells.dates import ISO, iso_date, last_day, read_date, read_weekday_time
from rodhours.log.cells.times import DAY_SECONDS, at_time, span
from rodhours.log.layout.layout import COLUMNS, Layout

TOLERANCE = 1.05
"""Hours: the clock change, and hours that were written to a tenth."""


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
