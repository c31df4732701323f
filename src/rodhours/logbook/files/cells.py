"""A typed cell of a workbook as text."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from typing import Any

_SECOND = timedelta(seconds=1)
_ISO_DURATION = re.compile(r"(-?)PT(\d{1,7})H(\d{1,2})M(\d{1,2}(?:\.\d+)?)S", re.ASCII)
_BEFORE_DATES = datetime(1900, 3, 1)
_DAY_NOUGHT = datetime(1899, 12, 31)
_DAY_NOUGHT_1904 = datetime(1904, 1, 1)
_BEFORE_DATES_1904 = datetime(1904, 3, 1)


def as_text(cell: Any) -> str:
    """Whole numbers without decimals, dates and times in ISO 8601, durations as `36:30`.

    A spreadsheet keeps a duration as days from its day nought: a time of day that runs past 24
    hours is a date of early 1900 (or 1904, by the other reckoning), and is written as the
    hours that it is.
    """
    if isinstance(cell, str):
        return cell
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, timedelta):
        return duration(cell)
    if isinstance(cell, date) and not isinstance(cell, datetime) and cell.year < 1905:
        cell = datetime(cell.year, cell.month, cell.day)
    if isinstance(cell, datetime):
        # Spreadsheets keep times as fractions of a day, a hair off the whole second.
        cell = (cell + timedelta(milliseconds=500)).replace(microsecond=0)
        if cell < _BEFORE_DATES:
            return duration(cell - _DAY_NOUGHT)
        if _DAY_NOUGHT_1904 <= cell < _BEFORE_DATES_1904:
            return duration(cell - _DAY_NOUGHT_1904)
        return str(cell.isoformat(timespec="seconds" if cell.second else "minutes"))
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, time):
        return duration(
            timedelta(
                hours=cell.hour,
                minutes=cell.minute,
                seconds=cell.second,
                microseconds=cell.microsecond,
            )
        )
    return str(cell)


def duration(span: timedelta) -> str:
    """Hours and minutes (and seconds, where they are not zero): `05:30`, `36:30`."""
    total = round(span / _SECOND)
    hours, rest = divmod(abs(total), 3600)
    minutes, seconds = divmod(rest, 60)
    sign = "-" if total < 0 else ""
    return f"{sign}{hours:02d}:{minutes:02d}" + (f":{seconds:02d}" if seconds else "")


def iso_duration(text: str) -> str:
    """A duration as .ods files keep it, PT36H30M00S, as `36:30`; any other text as it is."""
    parts = _ISO_DURATION.fullmatch(text)
    if not parts:
        return text
    span = timedelta(hours=int(parts[2]), minutes=int(parts[3]), seconds=float(parts[4]))
    return duration(-span if parts[1] else span)


def percentage(text: str) -> str:
    """The text of a number that the sheet shows as a percentage: 0.2 is 20%."""
    try:
        return f"{as_text(round(float(text) * 100, 9))}%"
    except ValueError:
        return text
