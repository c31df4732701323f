"""Dates and moments in a stated form, and which forms could be meant by a whole column.

The order of day and month is stated, never guessed: a column that both orders read is named.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from datetime import date, datetime, timedelta
from itertools import islice, pairwise

from rodhours.log.cells import LOG_YEARS, CellFault
from rodhours.log.cells.times import DAY_SECONDS, clock_text, is_time, read_time

YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "year-month-day", "day-month-year", "month-day-year"
DATE_FORMS = (YEAR_FIRST, DAY_FIRST, MONTH_FIRST)
LEAP_YEAR = 2024
PIVOT = 69
"""Two-digit years from here on are of the 1900s, those below of the 2000s, as POSIX has it."""

ISO = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_EXAMPLES = {YEAR_FIRST: "2025-04-12", DAY_FIRST: "12/04/2025", MONTH_FIRST: "04/12/2025"}
_AS_ISO = "a date as year-month-day (ISO 8601)"
_A_DATE_THAT_EXISTS = "a date that exists, as year-month-day: 2025-04-12"
_A_LIKELY_YEAR = "a date of the years 1900 to 2199"
_SERIAL = re.compile(r"[345]\d{4}(\.\d+)?", re.ASCII)
_ISO_MOMENT = re.compile(
    r"(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2}(:\d{2})?)(Z|[+-]\d{2}:\d{2})?", re.ASCII
)
_FULL_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july"),
    *("august", "september", "october", "november", "december"),
)
_MONTH_OF = {"sept": 9} | {
    name: number for number, full in enumerate(_FULL_MONTHS, start=1) for name in (full[:3], full)
}
_FULL_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DAY_OF = {"tues": 1, "weds": 2, "thur": 3, "thurs": 3} | {
    name: number for number, full in enumerate(_FULL_DAYS) for name in (full[:3], full)
}
_NAME = "[A-Za-z]{3,9}"
_TO = (
    r"(?:\s?(?:-|–|/|&|\+|to|and)\s?(?:[a-z]{3,9}\.?\s)?(?P<last>\d{1,2})(?:st|nd|rd|th)?(?=\s*(?:of\s+)?[a-z]{3})"
    r"|\s?[-–&]\s?(?P<till>\d{1,2})(?=[/.]))?"
)
"""The last of several days, `12-14 April`, `12-14/4/25`: the first is the date."""
_RANGE = re.compile(r"\s+(?:-|–|to)\s+", re.IGNORECASE)
_FROM = re.compile(r"^from\s+", re.IGNORECASE)
_TO_TIME = re.compile(r"\s*(?:-|–|\bto\b|\btill?\b|\buntil\b)\s*", re.IGNORECASE)
_PLAINLY_A_TIME = re.compile(r":|\d\.\d|\d\s*[ap]\.?m|noon|midday", re.IGNORECASE)
_DAY = rf"(?P<day>\d{{1,2}})(?:st|nd|rd|th)?{_TO}"
_MONTH = rf"(?P<month>\d{{1,2}}|{_NAME})\.?"
_YEAR = r"(?P<year>\d{4}|\d{2}|'\d{2})"
_GAP = r"(?:\s*[/.\-]\s*|\s*,\s*|\s+)"
_WEEKDAY = rf"(?:(?P<weekday>{_NAME})[.,]?\s+)?"
_WEEKDAY_TIME = re.compile(
    rf"{_WEEKDAY}(?P<clock>\d.*?|noon|midday)(?:,?\s+(?P<after>{_NAME})\.?)?", re.IGNORECASE
)
_CLOCK = r"(?:(?:T|\s*,?\s+)(?P<clock>\d.*))?"
_ORDERS = {
    YEAR_FIRST: rf"{_WEEKDAY}(?P<year>\d{{4}}){_GAP}{_MONTH}{_GAP}{_DAY}{_CLOCK}",
    DAY_FIRST: rf"{_WEEKDAY}{_DAY}{_GAP}(?:of\s+)?{_MONTH}{_GAP}{_YEAR}{_CLOCK}",
    MONTH_FIRST: rf"{_WEEKDAY}{_MONTH}{_GAP}{_DAY}{_GAP}{_YEAR}{_CLOCK}",
}
_YEARLESS = {
    DAY_FIRST: re.compile(rf"{_WEEKDAY}{_DAY}{_GAP}(?:of\s+)?{_MONTH}", re.ASCII | re.IGNORECASE),
    MONTH_FIRST: re.compile(rf"{_WEEKDAY}{_MONTH}{_GAP}{_DAY}\.?", re.ASCII | re.IGNORECASE),
}
_LONGEST = 60
"""No date has more characters; the patterns are not tried on a longer text."""
_A_MONTH = 31
_PATTERNS = {
    form: re.compile(pattern, re.ASCII | re.IGNORECASE) for form, pattern in _ORDERS.items()
}


def read_date(text: str, form: str = YEAR_FIRST) -> str:
    """A date in this form as ISO 8601; midnight after it is a spreadsheet's way to say the same.

    `form` is one of DATE_FORMS. Raises CellFault with what would be right.
    """
    day, seconds = _split(text, form)
    if seconds:
        raise _in_form(form)
    return day.isoformat()


def read_date_and_time(
    text: str, form: str = YEAR_FIRST, bare_date_is_midnight: bool = False
) -> str:
    """A local date and time in this form, as ISO 8601; seconds only where they are not zero.

    `bare_date_is_midnight` reads the date cells of a workbook, which lose a time of midnight.
    """
    day, seconds = _split(text, form)
    if seconds is None and not bare_date_is_midnight:
        raise _in_form(form, with_time=True)
    return f"{day.isoformat()}T{clock_text(seconds or 0)}"


def read_weekday_time(text: str) -> tuple[int | None, int]:
    """The day of the week (Monday is 0; None where none is said) and the seconds after midnight.

    `Fri 6pm`, `08:00 Sun`, `18:30`. Raises CellFault with what would be right.
    """
    found = _WEEKDAY_TIME.fullmatch(text) if len(text) <= _LONGEST else None
    said = (found["weekday"] or found["after"] or "").lower() if found else ""
    if found and said in _DAY_OF and not (found["weekday"] and found["after"]):
        return _DAY_OF[said], read_time(found["clock"])
    return None, read_time(text)


def is_clock(text: str) -> bool:
    """Whether a text is a time of day, be it with its day of the week."""
    with suppress(CellFault):
        return bool(read_weekday_time(text))
    return False


def read_period(text: str) -> int | None:
    """The seconds between two times, `Fri 6pm - Sun 10am`, `6pm till 9am`; None for no period."""
    text = _FROM.sub("", text)
    for split in _TO_TIME.finditer(text) if len(text) <= _LONGEST else ():
        ends = text[: split.start()], text[split.end() :]
        with suppress(CellFault):
            (first, begins), (last, finishes) = map(read_weekday_time, ends)
            if first is last is None and not all(map(_PLAINLY_A_TIME.search, ends)):
                return None  # 4-6 may be anything
            if (first is None) != (last is None):
                return None
            week = (1 if first is None else 7) * DAY_SECONDS
            return (finishes - begins + ((last or 0) - (first or 0)) * DAY_SECONDS) % week or None
    return None


def is_dated(text: str, form: str) -> bool:
    """Whether a text is a date in this form, with or without a time."""
    with suppress(CellFault):
        return bool(_split(text, form))
    return False


def day_of_year(text: str, form: str = DAY_FIRST) -> int | None:
    """The day (1 to 366, as of a leap year) of a date written without its year; else None."""
    text = _RANGE.split(text[: _LONGEST + 1], 1)[0]
    found = _YEARLESS[form].fullmatch(text) if form in _YEARLESS and len(text) <= _LONGEST else None
    if found is None or (found["weekday"] or "mon").lower() not in _DAY_OF:
        return None
    with suppress(ValueError):
        day = date(LEAP_YEAR, _month(found["month"]) or 0, int(found["day"]))
        return day.timetuple().tm_yday
    return None


def with_years(cells: Sequence[str], form: str, year: int) -> list[str]:
    """Dates without a year with theirs: `year` is that of the first, and New Year adds one.

    Where the newest stands first it takes one off. A date with its own year sets it for those
    below. A step of up to a month the wrong way is a row out of order.
    """
    days = {cell: day_of_year(cell.strip(), form) for cell in set(cells)}
    own: dict[str, date] = {}
    for cell in days:
        with suppress(CellFault):
            own[cell] = date.fromisoformat(read_date(cell.strip(), form))
            days[cell] = own[cell].timetuple().tm_yday
    met = [day for cell in cells if (day := days[cell]) is not None]
    half = 183
    steps = [(later - day + half) % (2 * half) - half for day, later in pairwise(met)]
    way = -1 if sum((step > 0) - (step < 0) for step in steps) < 0 else 1
    found: list[str] = []
    last: int | None = None
    for cell in cells:
        day = days[cell]
        if cell in own:
            year = own[cell].year
        elif day is not None and last is not None and (last - day) * way > _A_MONTH:
            year += way
        if day is not None and cell not in own:
            first, *others = (part.rstrip(".") for part in _RANGE.split(cell.strip(), 1))
            ends = [f"{one} {year + ((day_of_year(one, form) or day) < day)}" for one in others]
            cell = " - ".join([f"{first} {year}", *ends])
        found.append(cell)
        last = day if day is not None else last
    return found


def last_day(text: str, form: str) -> str | None:
    """The last day of several, `12-14 April 2025`, as ISO 8601; None of a single day."""
    found = _PATTERNS[form].fullmatch(text) if form in _PATTERNS and len(text) <= _LONGEST else None
    if found is None:
        _, *last = _RANGE.split(text[:_LONGEST], 1)
        return read_date(last[0], form) if last else None
    told = found["last"] or found["till"]
    if not told:
        return None
    first = date.fromisoformat(read_date(text, form))
    days = (first + timedelta(days=step) for step in range(_A_MONTH + 1))
    return next((day.isoformat() for day in days if day.day == int(told)), None)


def ambiguous(texts: Iterable[str]) -> tuple[str, ...]:
    """Up to two texts of a column whose day and month could be either way round, else none.

    Both orders must read every text, and to different days; the texts named are such. What is in
    ISO 8601 says nothing.
    """
    filled = [text for text in dict.fromkeys(map(str.strip, texts)) if text and not ISO.match(text)]
    if not all(is_dated(text, form) for text in filled for form in (DAY_FIRST, MONTH_FIRST)):
        return ()
    differing = (text for text in filled if _split(text, DAY_FIRST) != _split(text, MONTH_FIRST))
    return tuple(islice(differing, 2))


def iso_date(text: str) -> str:
    """An ISO 8601 date; midnight after it is a spreadsheet's way to write the same."""
    plain = text.removesuffix("T00:00")
    if ISO.fullmatch(plain):
        try:
            day = date.fromisoformat(plain)
        except ValueError:
            raise CellFault(_A_DATE_THAT_EXISTS) from None
        if day.year not in LOG_YEARS:
            raise CellFault(_A_LIKELY_YEAR)
        return plain
    if _SERIAL.fullmatch(text):
        raise CellFault(f"{_AS_ISO}: this is a spreadsheet's number of days; format it as a date")
    raise CellFault(
        f'{_AS_ISO}: 2025-04-12, or said once for all in a layout: [dates] form = "day-month-year"'
    )


def moment(text: str, bare_date_is_midnight: bool = False) -> str:
    """An ISO 8601 date and time in one spelling: seconds only where they are not zero.

    Real date cells of a workbook lose their time when it is midnight:
    `bare_date_is_midnight` reads those.
    """
    if bare_date_is_midnight and ISO.fullmatch(text):
        text += "T00:00"
    parts = _ISO_MOMENT.fullmatch(text)
    if not parts:
        joins = (
            "; a layout joins times of day with the column of their dates: [dates] clock_on = "
            '"date"'
        )
        says = "a date and time as 2025-04-12T18:30 (ISO 8601)"
        raise CellFault(says + (joins if is_time(text) else ""))
    try:
        value = datetime.fromisoformat(f"{parts[1]}T{parts[2]}{parts[4] or ''}")
    except ValueError:
        raise CellFault("a date and time that exist, as 2025-04-12T18:30") from None
    if value.year not in LOG_YEARS:
        raise CellFault(_A_LIKELY_YEAR)
    return value.isoformat(timespec="seconds" if value.second else "minutes")


def _in_form(form: str, with_time: bool = False) -> CellFault:
    example = f"a date as {form}, such as {_EXAMPLES[form]}"
    timed = f"a date as {form} and a time, such as {_EXAMPLES[form]} 18:30"
    return CellFault(timed if with_time else example)


def _split(text: str, form: str) -> tuple[date, int | None]:
    """The day, and the seconds after its midnight where a time of day is given."""
    found = _PATTERNS[form].fullmatch(text) if len(text) <= _LONGEST else None
    if found is None:
        first, *others = _RANGE.split(text[:_LONGEST], 1)
        # From one day to another, `28 Apr - 2 May 2025`: the first is the date.
        last = _split(others[0], form)[0] if others else date.min
        for begun in (first, f"{first} {last.year}", f"{first} {last.year - 1}") if others else ():
            with suppress(CellFault):
                day, _ = _split(begun, form)
                if timedelta(0) <= last - day <= timedelta(days=_A_MONTH):
                    return day, None
        raise _in_form(form)
    number, weekday = _month(found["month"]), (found["weekday"] or "").lower()
    if number is None or (weekday and weekday not in _DAY_OF):
        raise _in_form(form)
    year = int(found["year"].lstrip("'"))
    if len(found["year"]) < 4:
        year += 1900 if year >= PIVOT else 2000
    try:
        day = date(year, number, int(found["day"]))
    except ValueError:
        raise CellFault(_A_DATE_THAT_EXISTS) from None
    if day.year not in LOG_YEARS:
        raise CellFault(_A_LIKELY_YEAR)
    if weekday and day.weekday() != _DAY_OF[weekday]:
        was = _FULL_DAYS[day.weekday()].capitalize()
        raise CellFault(f"a date and its own day of the week: {day.isoformat()} was a {was}")
    if found["clock"] is None:
        return day, None
    after = read_time(found["clock"])
    if after >= DAY_SECONDS:
        raise _in_form(form, with_time=True)
    return day, after


def _month(text: str) -> int | None:
    return int(text) if text.isdigit() else _MONTH_OF.get(text.lower())
