"""A spreadsheet's numbers of days as dates and times.

The 1900 system counts 1 January 1900 as 1 and has a 29 February 1900 that never was (60); the
1904 system counts 1 January 1904 as 0.
"""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

from rodhours.logbook.cells.faults import CellFault
from rodhours.logbook.cells.numbers import read_exactly
from rodhours.wording import cells as words

SERIAL_SYSTEMS = ("serial-1900", "serial-1904")

_FALSE_LEAP_DAY = 60
_LAST = {"serial-1900": 2_958_465, "serial-1904": 2_957_003}
"""31 December 9999, the last day of both systems."""
_SECONDS = 24 * 3600


def serial_moment(text: str, system: str) -> tuple[date, int | None]:
    """The day of a serial, and the seconds after midnight; None where it is a whole number.

    Serials keep a time as a fraction of a day, a hair off the second: the nearest is taken.
    Raises CellFault where the system has no such day.
    """
    try:
        serial = read_exactly(text)
    except CellFault:
        raise CellFault(words.a_date(system)) from None
    days, seconds = divmod(round(serial * _SECONDS), _SECONDS)
    first = 1 if system == "serial-1900" else 0
    if not first <= days <= _LAST[system]:
        raise CellFault(words.a_date(system))
    if system == "serial-1904":
        day = date(1904, 1, 1) + timedelta(days=days)
    elif days == _FALSE_LEAP_DAY:
        raise CellFault(words.A_DATE_THAT_EXISTS)
    else:
        # Below the false leap day the count is one day behind.
        day = date(1899, 12, 30 if days > _FALSE_LEAP_DAY else 31) + timedelta(days=days)
    return day, None if serial.denominator == 1 else seconds


def day_fraction_seconds(value: Fraction) -> int:
    """The seconds that a fraction of a day stands for, to the nearest."""
    return round(value * _SECONDS)
