"""Clock times without a date, put on the day that the layout names; past midnight too.

An end has the day of its own column where the layout names one, or the last day of several. Else
it is of the day of the week that it names, or of the next day where it is not after its start;
where the row has its hours as well, it lies as many whole days later as these say.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import CellFaults, Dates, cell_reader
from rodhours.log.cells.dates import iso_date, last_day, read_date, read_weekday_time
from rodhours.log.cells.times import DAY_SECONDS, at_time, span
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
        rows = list(
            zip(
                days.cells,
                clocks.get(first, empty),
                (end_days or days).cells,
                clocks.get(last, empty),
                hours if last else [None] * len(hours),
                strict=True,
            )
        )
        cells = {row: _both(row, days, end_days, layout) for row in set(rows)}
        for place, ours in enumerate((first, last)):
            if ours in clocks:
                faults = {
                    position: (fault, clocks[ours][position].strip() or None)
                    for position, row in enumerate(rows)
                    if (fault := cells[row][place][1]) is not None
                }
                found[ours] = [cells[row][place][0] for row in rows], faults
    return found


def _both(
    row: tuple[str, str, str, str, float | None],
    days: Days,
    end_days: Days | None,
    layout: Layout,
) -> tuple[_Cell, _Cell]:
    """Start and end of one row: its day, the start, the day of the end, the end, its hours."""
    day, begin, end_day, end, hours = (one.strip() if isinstance(one, str) else one for one in row)
    start, clock = _moment_or_clock(str(begin), layout)
    seconds = clock[1] if clock else None
    if clock is not None:
        start = _on_day(str(day), clock, days, layout)
    finish, end_clock = _moment_or_clock(str(end), layout)
    if end_clock is None:
        return start, finish
    weekday, ends = end_clock
    if end_days is not None:
        told = _on_day(str(end_day), end_clock, end_days, layout)
        return start, (None, _SAID) if start[1] and told[1] and not end_days.needed else told
    last = None
    if not _DATED.match(str(day)):
        try:
            last = last_day(str(day), layout.dates.form)
        except CellFault:
            last = None
    if last is not None:
        return start, (at_time(nearest(last, weekday), ends), None)
    if start[1] is not None:
        # The row says already that its start cannot be read.
        return start, (None, _SAID)
    if start[0] is None:
        return start, (None, "empty, or with the time of the start beside it")
    began = datetime.fromisoformat(start[0])
    begins = (began.hour * 60 + began.minute) * 60 + began.second
    if seconds is not None and seconds >= DAY_SECONDS:
        begins, began = seconds, began - timedelta(days=1)
    if weekday is not None:
        # The first such day that is not before the start.
        later = (weekday - began.weekday()) % 7 * DAY_SECONDS + ends - begins
        later += 7 * DAY_SECONDS if later <= 0 else 0
        return start, (at_time(began.date().isoformat(), begins + later), None)
    try:
        days_on = _whole_days(begins, ends, hours if isinstance(hours, float) else None)
        return start, (span(began.date().isoformat(), begins, ends + days_on)[1], None)
    except CellFault as wrong:
        return start, (None, str(wrong))


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


def nearest(day: str, weekday: int | None) -> str:
    """The day of the week that is nearest to an ISO date; that date itself where none is said."""
    told = date.fromisoformat(day)
    apart = 0 if weekday is None else (weekday - told.weekday() + 3) % 7 - 3
    return (told + timedelta(days=apart)).isoformat()


def other_day(days: Sequence[str], clocks: Sequence[str], form: str) -> str | None:
    """The first time that names another day of the week than its date has, and what it is then."""
    for day, clock in dict.fromkeys(zip(map(str.strip, days), map(str.strip, clocks), strict=True)):
        with suppress(CellFault):
            told = iso_date(day) if _DATED.match(day) else read_date(day, form)
            found = nearest(told, read_weekday_time(clock)[0])
            if found != told:
                return f"{clock} beside {day} is taken for {found}."
    return None


def _moment_or_clock(text: str, layout: Layout) -> tuple[_Cell, tuple[int | None, int] | None]:
    """A moment with its own date, or a clock time and the day of its week; else a fault."""
    if not text:
        return _NOTHING, None
    fault: CellFault | None = None
    if not _DATED.match(text):
        try:
            return _NOTHING, read_weekday_time(text)
        except CellFault as no_time:
            fault = no_time
    try:
        return (str(cell_reader(COLUMNS["cast_in"], dates=layout.dates)(text)), None), None
    except CellFault as no_moment:
        return (None, str(fault or no_moment)), None


def _on_day(day: str, clock: tuple[int | None, int], days: Days, layout: Layout) -> _Cell:
    """A clock time on the day of its column."""
    dates = layout.dates
    try:
        told = iso_date(day) if _DATED.match(day) else read_date(day, dates.form)
    except CellFault:
        says = (
            f"a time with its day: the column {days.column!r} of this row has no date "
            "that can be read"
        )
        return None, _SAID if days.needed else says
    return at_time(nearest(told, clock[0]), clock[1]), None


def _whole_days(begins: int, ends: int, hours: float | None) -> int:
    """Seconds of the whole days between start and end, as the hours tell; none without them."""
    if hours is None:
        return 0
    within = (ends - begins) / 3600
    days = round((hours - within) / 24)
    if days > 0 and abs(within + 24 * days - hours) <= TOLERANCE:
        return days * DAY_SECONDS
    return 0
