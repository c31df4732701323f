"""Clock times without a date, put on the day that the layout names; past midnight too.

An end that is not after its start is of the next day. Where the row has its hours as well, the
end lies as many whole days later as these say.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rodhours.logbook.layouts.forms import cell_reader
from rodhours.logbook.layouts.layout import COLUMNS
from rodhours.logbook.layouts.matching import find_column
from rodhours.logbook.tables import Kind
from rodhours.logbook.units.dates import iso_date, read_date
from rodhours.logbook.units.faults import CellFault
from rodhours.logbook.units.times import DAY_SECONDS, at_time, read_time, span
from rodhours.wording import layouts as words

if TYPE_CHECKING:
    from rodhours.logbook.layouts.applying import Laying

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
    hours = laying.texts.get("hours", [""] * len(days))
    for first, last in PAIRS:
        if first in moments or last in moments:
            empty = [""] * len(days)
            begins, ends = laying.texts.get(first, empty), laying.texts.get(last, empty)
            _pair(laying, (first, last), source, (days, begins, ends, hours))
    if "time" in moments:
        column = laying.texts["time"]
        empty = [""] * len(days)
        _pair(laying, ("time", ""), source, (days, column, empty, empty))


def _pair(
    laying: Laying, names: tuple[str, str], source: str, columns: tuple[Sequence[str], ...]
) -> None:
    rows = list(zip(*columns, strict=True))
    read = {row: _read(laying, names, source, row) for row in set(rows)}
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
    laying: Laying, names: tuple[str, str], source: str, row: Sequence[str]
) -> tuple[_Cell, _Cell]:
    """Both cells of one row as text and fault."""
    day_text, begin_text, end_text, hours = (text.strip() for text in row)
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
    try:
        day = _day(laying, day_text)
    except CellFault:
        # Said once in a row: at the first time, where neither date nor session says it already.
        says = "" if _says_so_itself(laying, source) else words.no_day_for_clock(source)
        for index in clocks:
            cells[index], says = ("", says), ""
        return cells[0], cells[1]
    try:
        if len(clocks) == 2:
            begins, ends = span(day, clocks[0], clocks[1] + _whole_days(clocks, hours))
            return (begins, None), (ends, None)
        for index, seconds in clocks.items():
            if index == 0:
                cells[0] = (at_time(day, seconds), None)
            else:
                cells[1] = ("", words.CLOCK_WITHOUT_START)
    except CellFault as fault:
        cells[1] = ("", str(fault))
    return cells[0], cells[1]


def _says_so_itself(laying: Laying, source: str) -> bool:
    """Whether a row without a day is refused for that already."""
    header = laying.raw.header
    return source in [find_column(name, header) for name in laying.layout.session_from]


def _day(laying: Laying, text: str) -> str:
    dates = laying.layout.dates
    if _WITH_MIDNIGHT.match(text):
        return iso_date(text)
    return read_date(text, dates.form, dates.pivot)


def _whole_days(clocks: dict[int, int], hours: str) -> int:
    """Seconds of the whole days between start and end, as the hours tell; none without them."""
    try:
        wanted = float(hours)
    except ValueError:
        return 0
    within = (clocks[1] - clocks[0]) / 3600
    days = round((wanted - within) / 24)
    if days > 0 and abs(within + 24 * days - wanted) <= TOLERANCE:
        return days * DAY_SECONDS
    return 0
