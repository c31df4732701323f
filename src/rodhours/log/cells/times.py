"""Times of day, past midnight too, and their joining with a date.

A time is seconds after midnight of its own day; 24:30 is half past midnight of the next.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from rodhours.log.cells import CellFault

DAY_SECONDS = 24 * 3600

_A_TIME = (
    "a time of day such as 18:30, 1830 or 6.30pm (with both digits of the minutes: a spreadsheet "
    "keeps 18.30 as 18.3)"
)
_CLOCK = re.compile(
    r"(?P<hour>\d{1,2})(?:[:.h](?P<minute>[0-5]\d)(?::(?P<second>[0-5]\d)(?:\.0+)?)?)?"
    r"\s*(?P<half>[ap])?(?:\.?m\.?)?",
    re.ASCII | re.IGNORECASE,
)
_DIGITS = re.compile(r"(\d{1,2})([0-5]\d)\s*(?:h|hrs?|hours)?", re.ASCII | re.IGNORECASE)


def read_time(text: str) -> int:
    """Seconds after midnight: `18:30`, `18.30`, `1830`, `630`, `6.30pm`, `6 pm`, up to `47:59`.

    Raises CellFault with what would be right.
    """
    if text.lower() in ("noon", "midday"):
        return DAY_SECONDS // 2
    digits = _DIGITS.fullmatch(text)
    if digits:
        return _seconds(int(digits[1]), int(digits[2]), 0)
    clock = _CLOCK.fullmatch(text)
    if clock is None or (text[-1:].lower() == "m" and clock["half"] is None):
        raise CellFault(_A_TIME)
    hour, minute = int(clock["hour"]), clock["minute"]
    if clock["half"] is None:
        if minute is None:
            raise CellFault(_A_TIME)
    else:
        if not 1 <= hour <= 12:
            raise CellFault(_A_TIME)
        hour = hour % 12 + (12 if clock["half"].lower() == "p" else 0)
    return _seconds(hour, int(minute or 0), int(clock["second"] or 0))


def is_time(text: str) -> bool:
    """Whether a text is a time of day."""
    try:
        read_time(text)
    except CellFault:
        return False
    return True


def clock_text(seconds: int) -> str:
    """Seconds after midnight as `18:30`, with the seconds where there are any."""
    minutes, second = divmod(seconds, 60)
    text = f"{minutes // 60:02d}:{minutes % 60:02d}"
    return f"{text}:{second:02d}" if second else text


def at_time(day: str, seconds: int) -> str:
    """The local date and time that lies so many seconds after midnight of an ISO date."""
    value = datetime.fromisoformat(day) + timedelta(seconds=seconds)
    return value.isoformat(timespec="seconds" if value.second else "minutes")


def span(day: str, begins: int, ends: int) -> tuple[str, str]:
    """Local start and end on a date (ISO), from two times of day in seconds after midnight.

    An end before the start is of the next day. Raises CellFault where both are one time: that
    may be no time or a whole day.
    """
    if ends == begins:
        raise CellFault("two different times: the same time may be no hours at all or a whole day")
    if ends < begins:
        ends += DAY_SECONDS
    return at_time(day, begins), at_time(day, ends)


def _seconds(hour: int, minute: int, second: int) -> int:
    value = (hour * 60 + minute) * 60 + second
    if value >= 2 * DAY_SECONDS:
        raise CellFault(_A_TIME)
    return value
