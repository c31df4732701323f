"""Clock times without a date, put on the day that the layout names; past midnight too.

An end has the day of its own column where the layout names one. Else it is of the next day where
it is not after its start, and where the row has its hours as well, it lies as many whole days
later as these say.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

from rodhours.logbook.cells.dates import iso_date, read_date
from rodhours.logbook.cells.faults import CellFault
from rodhours.logbook.cells.times import DAY_SECONDS, at_time, read_time, span
from rodhours.logbook.layout.forms import cell_reader
from rodhours.logbook.layout.laying import Laying
from rodhours.logbook.layout.layout import COLUMNS
from rodhours.logbook.layout.matching import find_column
from rodhours.logbook.tables import Kind
from rodhours.wording import layouts as words

PAIRS = (("cast_in", "cast_out"), ("start", "end"))
TOLERANCE = 1.05
"""Hours: the clock change, and hours that were written to a tenth."""

_WITH_MIDNIGHT = re.compile(r"\d{4}-\d{2}-\d{2}")


def with_days(laying: Laying) -> None:
    """Give every clock time of the table its day; cells that hold a date keep their own."""
    clock_on = laying.layout.dates.clock_on
    if clock_on is None:
        return
    source = find_column(clock_on, [name for name in laying.raw.header if name])
    moments = [c for c in laying.texts if c in COLUMNS and COLUMNS[c].kind is Kind.MOMENT]
    if source is None or not moments:
        return
    days = laying.raw_texts[source]
    end_on = laying.layout.dates.clock_end_on
    end_source = find_column(end_on, laying.raw.header) if end_on is not None else None
    end_days = laying.raw_texts[end_source] if end_source is not None else days
    hours = laying.texts.get("hours", [""] * len(days))
    for first, last in PAIRS:
        if first in moments or last in moments:
            empty = [""] * len(days)
            begins, ends = laying.texts.get(first, empty), laying.texts.get(last, empty)
            columns = (days, begins, ends, hours, end_days)
            _pair(laying, (first, last), (source, end_source), columns)
    if "time" in moments:
        column = laying.texts["time"]
        empty = [""] * len(days)
        _pair(laying, ("time", ""), (source, None), (days, column, empty, empty, empty))


_Sources = tuple[str, str | None]
"""Their column with the day of the start, and the one with the day of the end."""


def _pair(
    laying: Laying, names: tuple[str, str], sources: _Sources, columns: tuple[Sequence[str], ...]
) -> None:
    rows = list(zip(*columns, strict=True))
    read = {row: _read(laying, names, sources, row) for row in set(rows)}
    for index, name in enumerate(names):
        if name not in laying.texts:
            continue
        laying.texts[name] = [read[row][index][0] for row in rows]
        faults = {
            position: (fault, row[index + 1].strip() or None)
            for position, row in enumerate(rows)
            if (fault := read[row][index][1]) is not None
        }
        if faults:
            laying.faults[name] = faults


_Cell = tuple[str, str | None]


def _read(
    laying: Laying, names: tuple[str, str], sources: _Sources, row: Sequence[str]
) -> tuple[_Cell, _Cell]:
    """Both cells of one row as text and fault."""
    day_text, begin_text, end_text, hours, end_day_text = (text.strip() for text in row)
    cells: list[_Cell] = [("", None), ("", None)]
    clocks: dict[int, int] = {}
    for index, text in enumerate((begin_text, end_text)):
        if not text:
            continue
        reader = cell_reader(names[index] or "cast_out", laying.layout, workbook=False)
        assert reader is not None
        try:
            clocks[index] = read_time(text, laying.layout.dates.clock, laying.layout.units.numbers)
        except CellFault as fault:
            try:
                cells[index] = (reader(text), None)
            except CellFault:
                cells[index] = ("", str(fault))
    if not clocks:
        return cells[0], cells[1]
    source, end_source = sources
    needed = dict.fromkeys(clocks, (source, day_text))
    if end_source is not None and 1 in clocks:
        needed[1] = (end_source, end_day_text)
    elif begin_text and 0 not in clocks:
        # The day of the end is that of the start, which has its own or cannot be read.
        needed.pop(1)
    days: dict[int, str] = {}
    told = False
    for index, (column, text) in needed.items():
        try:
            days[index] = _day(laying, text)
        except CellFault:
            # Said once in a row: at the first time, where neither date nor session says it already.
            said = _says_so_itself(laying, column) or (told and column == source)
            cells[index], told = ("", "" if said else words.no_day_for_clock(column)), True
    if len(days) < len(needed):
        if 1 in clocks and cells[1][1] is None:
            cells[1] = ("", "")
        return cells[0], cells[1]
    if 0 in clocks:
        cells[0] = (at_time(days[0], clocks[0]), None)
    if 1 in clocks:
        cells[1] = _end(cells[0], clocks, days, hours, on_its_own_day=end_source is not None)
    return cells[0], cells[1]


def _end(
    begin: _Cell, clocks: dict[int, int], days: dict[int, str], hours: str, *, on_its_own_day: bool
) -> _Cell:
    """The end, by its own day, else by the start before it."""
    if on_its_own_day:
        return at_time(days[1], clocks[1]), None
    text, fault = begin
    if fault is not None:
        # The row says already that its start cannot be read.
        return "", ""
    if not text:
        return "", words.CLOCK_WITHOUT_START
    starts = datetime.fromisoformat(text)
    day = days[0] if 0 in clocks else starts.date().isoformat()
    begins = clocks[0] if 0 in clocks else (starts.hour * 60 + starts.minute) * 60 + starts.second
    try:
        return span(day, begins, clocks[1] + _whole_days(begins, clocks[1], hours))[1], None
    except CellFault as wrong:
        return "", str(wrong)


def _says_so_itself(laying: Laying, source: str) -> bool:
    """Whether a row without a day is refused for that already."""
    header = laying.raw.header
    return source in [find_column(name, header) for name in laying.layout.session_from]


def _day(laying: Laying, text: str) -> str:
    dates = laying.layout.dates
    if _WITH_MIDNIGHT.match(text):
        return iso_date(text)
    return read_date(text, dates.form, dates.pivot)


def _whole_days(begins: int, ends: int, hours: str) -> int:
    """Seconds of the whole days between start and end, as the hours tell; none without them."""
    try:
        wanted = float(hours)
    except ValueError:
        return 0
    within = (ends - begins) / 3600
    days = round((wanted - within) / 24)
    if days > 0 and abs(within + 24 * days - wanted) <= TOLERANCE:
        return days * DAY_SECONDS
    return 0
