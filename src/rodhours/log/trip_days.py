"""The days of a trip's clock times: each rod's times go forward, from the trip's day on.

A time without a day is the first such time from six hours before the one it follows: so much
earlier is a slip, which the check of overlapping rods names, and no next day.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from rodhours.log.cells import CellFault
from rodhours.log.cells.dates import (
    DAY_FIRST,
    MONTH_FIRST,
    iso_date,
    read_date,
    read_weekday_time,
)
from rodhours.log.cells.times import DAY_SECONDS, read_time

EARLY = timedelta(hours=6)
DAY = timedelta(days=1)
NEAR = 1.05
"""Hours: the clock change, and hours that were written to a tenth."""
_OFFSET = re.compile(r"\s*(Z|[+-](?:0\d|1[0-4]):[0-5]\d)$", re.IGNORECASE)
_FROM = re.compile(r"(?:on|day|date|from|time)\s+(?=\S)", re.IGNORECASE)
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_YEAR = r"(?:19|20|21)\d\d"
_WHEN = re.compile(
    r"(?P<day>(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*[.,]?\s+)?(?:"
    r"\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./-]\d{1,2}(?:[./-](?:\d{4}|\d{2}))?"
    rf"|\d{{1,2}}(?:st|nd|rd|th)?[\s./-]*(?:of\s+)?{_MONTH}(?:[\s./-]+{_YEAR})?"
    rf"|{_MONTH}\s+\d{{1,2}}(?:st|nd|rd|th)?(?:\s+{_YEAR})?))"
    r"(?:[T\s]+(?:at\s+)?(?P<clock>\d.*))?",
    re.IGNORECASE,
)
NO_DAY = "a time with its day, such as 2025-04-12 18:30: the trip has none"


def when(text: str) -> tuple[str, str] | None:
    """The day and the time (either may be empty) of a text that looks so; None for another."""
    bare = _FROM.sub("", text)
    try:
        read_time(_OFFSET.sub("", bare))
    except CellFault:
        found = _WHEN.fullmatch(bare)
        return None if found is None else (found["day"], found["clock"] or "")
    return "", bare


def read_day(text: str, year: int | None) -> str:
    """A day as ISO date: `12 Apr 2026`, `Sun 12 April`, `2026-04-12`; `year` where it has none.

    Raises CellFault with what would be right, where day and month could be either way round too.
    """
    with suppress(CellFault):
        return iso_date(text)
    found: dict[str, None] = {}
    wrong = "a day with its year, such as 12 Apr 2026 (or a first line that says it: notes 2026)"
    for form in (DAY_FIRST, MONTH_FIRST):
        for whole in (text, f"{text} {year}"):
            try:
                found[read_date(whole, form)] = None
                break
            except CellFault as fault:
                wrong = wrong if "such as" in str(fault) else str(fault)
    if len(found) == 1:
        return next(iter(found))
    raise CellFault(f"a day with the name of its month: {' or '.join(found)}" if found else wrong)


@dataclass
class TripDays:
    """The times of one trip, in the order in which they are said.

    `day` is the trip's day (ISO), `start` its first time: when it began, or the first cast.
    """

    day: str | None = None
    start: datetime | None = None
    last: dict[str, datetime] = field(default_factory=dict)

    def begun(self, text: str) -> str:
        """When the trip began, on its day."""
        moment = self._placed(text, self._midnight())
        self.start = _local(moment)
        return moment

    def cast_in(self, rod: str, text: str) -> str:
        """When a rod went in: after it came out last, else after the trip began."""
        midnight, after = self._midnight(), self.last.get(rod, self.start)
        bounds = [midnight, after - EARLY if after is not None else None]
        moment = self._placed(text, max((one for one in bounds if one is not None), default=None))
        self.last[rod] = _local(moment)
        self.start = self.start or self.last[rod]
        return moment

    def cast_out(self, rod: str, text: str, cast_in: str | None, hours: float | None = None) -> str:
        """When it came out: within a day after it went in, or on the day that is said.

        `hours` that it was in tell how many whole days later, where they are near enough.
        """
        moment = self._placed(text, self._of_stint(text, cast_in))
        if hours is not None and cast_in is not None:
            within = between(cast_in, moment) / timedelta(hours=1)
            days = round((hours - within) / 24)
            if days > 0 and abs(within + 24 * days - hours) <= NEAR:
                moment = _written(datetime.fromisoformat(moment) + days * DAY)
        if cast_in is not None and not between(cast_in, moment):
            says = "two different times: the same time may be no hours at all or a whole day"
            raise CellFault(says)
        self.last[rod] = _local(moment)
        return moment

    def caught(self, text: str, cast_in: str | None, cast_out: str | None) -> str:
        """When a fish was hooked: while its rod was in."""
        moment = self._placed(text, self._of_stint(text, cast_in))
        if cast_out is not None and between(moment, cast_out) < timedelta(0):
            raise CellFault(f"a time while its rod was in: from {cast_in} to {cast_out}")
        return moment

    def _midnight(self) -> datetime | None:
        return None if self.day is None else datetime.fromisoformat(self.day)

    def _of_stint(self, text: str, cast_in: str | None) -> datetime | None:
        """The earliest local time of what comes after a cast, on the clock that it is said by."""
        if cast_in is None:
            return self.start or self._midnight()
        began = datetime.fromisoformat(cast_in)
        offset = _OFFSET.search(text)
        if began.tzinfo is not None and offset is not None:
            began = began.astimezone(datetime.fromisoformat(f"2000-01-01T00:00{offset[1]}").tzinfo)
        return began.replace(tzinfo=None)

    def _placed(self, text: str, earliest: datetime | None) -> str:
        """A time on its own day, else the first from `earliest` on; its offset stays with it."""
        day, said = when(text) or ("", text)
        offset = _OFFSET.search(said)
        weekday, seconds = read_weekday_time(_OFFSET.sub("", said))
        clock = timedelta(seconds=seconds % DAY_SECONDS)
        if day:
            moment = datetime.fromisoformat(self._day(day)) + clock
        elif earliest is None:
            raise CellFault(NO_DAY)
        else:
            moment = datetime(earliest.year, earliest.month, earliest.day) + clock
            moment += DAY * (moment < earliest)
            later = 0 if weekday is None else (weekday - moment.weekday()) % 7
            if later and earliest == self._midnight():
                raise CellFault(f"a time of its own day: {self.day} is another day of the week")
            moment += later * DAY
        return _written(moment) + (offset[1].upper() if offset else "")

    def _day(self, text: str) -> str:
        """A day that is said with a time: of the trip's year, or of the next one."""
        midnight = self._midnight()
        if midnight is None:
            return read_day(text, None)
        told = read_day(text, midnight.year)
        early = date.fromisoformat(told) < midnight.date() - 7 * DAY
        return read_day(text, midnight.year + 1) if early else told


def _written(moment: datetime) -> str:
    return moment.isoformat(timespec="seconds" if moment.second else "minutes")


def _local(moment: str) -> datetime:
    return datetime.fromisoformat(moment).replace(tzinfo=None)


def between(began: str, ended: str) -> timedelta:
    """From one local moment to another: by their offsets where both have one, else by the clock."""
    first, last = datetime.fromisoformat(began), datetime.fromisoformat(ended)
    if first.tzinfo is None or last.tzinfo is None:
        first, last = first.replace(tzinfo=None), last.replace(tzinfo=None)
    return last - first
