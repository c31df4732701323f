"""Dates with times as the trip log has them (ISO 8601), in one spelling."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from rodhours.logbook.cells.dates import DAY_FIRST, MONTH_FIRST, YEAR_FIRST, read_date_and_time
from rodhours.logbook.cells.faults import LOG_YEARS, CellFault
from rodhours.logbook.cells.times import read_time
from rodhours.wording import cells as words

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_MOMENT = re.compile(r"(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2}(:\d{2})?)(Z|[+-]\d{2}:\d{2})?", re.ASCII)
_PAST_MIDNIGHT = re.compile(r"(\d{4}-\d{2}-\d{2})[T ](2[4-9]|3\d|4[0-7])(:[0-5]\d)", re.ASCII)


def moment(text: str, bare_date_is_midnight: bool = False) -> str:
    """An ISO 8601 date and time in one spelling: seconds only where they are not zero.

    Real date cells of a workbook lose their time when it is midnight:
    `bare_date_is_midnight` reads those.
    """
    if bare_date_is_midnight and _DATE.fullmatch(text):
        text += "T00:00"
    parts = _MOMENT.fullmatch(text)
    if not parts:
        raise CellFault(_remedy(text))
    try:
        value = datetime.fromisoformat(f"{parts[1]}T{parts[2]}{parts[4] or ''}")
    except ValueError:
        raise CellFault(_that_exists(text)) from None
    if value.year not in LOG_YEARS:
        raise CellFault(words.A_LIKELY_YEAR)
    return value.isoformat(timespec="seconds" if value.second else "minutes")


def _remedy(text: str) -> str:
    """What a text in another form may stand for; a time of day alone needs its date."""
    meant = []
    for form in (YEAR_FIRST, DAY_FIRST, MONTH_FIRST):
        try:
            meant.append(read_date_and_time(text, form))
        except CellFault:
            continue
    if meant:
        return words.a_moment_in_another_form(list(dict.fromkeys(meant)))
    try:
        read_time(text)
    except CellFault:
        return words.A_MOMENT
    return words.A_TIME_WITHOUT_ITS_DATE


def _that_exists(text: str) -> str:
    """A time past midnight as it stands on the next day's clock, where that is what is wrong."""
    past = _PAST_MIDNIGHT.fullmatch(text)
    if past is None:
        return words.A_MOMENT_THAT_EXISTS
    try:
        first = datetime.fromisoformat(f"{past[1]}T{int(past[2]) - 24:02d}{past[3]}")
    except ValueError:
        return words.A_MOMENT_THAT_EXISTS
    later = (first + timedelta(days=1)).isoformat(timespec="minutes")
    return words.a_moment_in_another_form([later])
