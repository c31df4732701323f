"""Hours in a stated form: decimal, clock (36:30), spelt (36 h 30 min), or kept in days.

Values are correctly rounded from exact fractions.
"""

from __future__ import annotations

import re
from fractions import Fraction

from rodhours.log.cells import CellFault
from rodhours.log.cells.numbers import (
    LONGEST_NUMBER,
    PLAIN,
    NumberForm,
    as_plain,
    read_exactly,
    read_number,
)
from rodhours.log.cells.times import read_time

HOURS_FORMS = ("decimal", "clock", "spelt", "days")
"""`days` is a plain number of days, as spreadsheets store a duration; only a layout states it."""

MOST_HOURS = 100_000
"""More than eleven years: no stint, but a number read in a form that is not its own."""

_IN_FORM = {
    "clock": "hours and minutes, such as 36:30",
    "spelt": "hours in words, such as 36h, 36 h 30 min, 1d 12h or 90 min",
    "days": "a number of days, such as 1.5 for 36 hours",
}
_CLOCK = re.compile(r"(\d{1,4}):([0-5]\d)(?::([0-5]\d)(?:\.0+)?)?", re.ASCII)
_NAMES = (
    (r"d|days?", 24, None),
    (r"h|hrs?|hours?", 1, 24),
    (r"m|mins?|minutes?", Fraction(1, 60), 60),
)
"""Each unit's names, its hours, and how many make one of the unit before it."""
_PART = r"(\d+(?:[.,]\d+)?|[.,]\d+)"
_GAP = r"(?:^|(?<=[a-z]),?\s*(?:and\s*)?)"
_SPELT = re.compile(
    "".join(rf"(?:{_GAP}{_PART}\s*(?:{names})(?![a-z]))?" for names, _, _ in _NAMES),
    re.ASCII | re.IGNORECASE,
)
_FROM_TO = re.compile(
    r"(?:from\s+)?(\d.*?\d.*?|\d+\s*[ap]m)\s*(?:-|–|to|till|until)\s*(\d.*)", re.IGNORECASE
)
_HOURS_AND_BARE_MINUTES = re.compile(r"(\d+)\s*(?:h|hrs?)\s*(\d\d)", re.ASCII | re.IGNORECASE)

_COUNTS = {"": 1, "a": 1, "an": 1, "one": 1, "all": 1, "over": 1, "two": 2, "three": 3, "four": 4}
_STAY = re.compile(r"(?:(\d{1,2})|(a|an|one|all|over|two|three|four))?[ -]*(night|day)s?", re.I)


def read_stay(text: str) -> tuple[int, str] | None:
    """How many nights, or days, a text says: `2 nights`, `a day`, `overnight`; else None."""
    found = _STAY.fullmatch(text)
    if found is None or _spelt(text, PLAIN) is not None:
        return None
    count = int(found[1]) if found[1] else _COUNTS[(found[2] or "").lower()]
    return (count, found[3].lower()) if count else None


def read_hours(text: str, form: str = "decimal", numbers: NumberForm = PLAIN) -> float:
    """The hours that a text in this form stands for.

    `form` is one of HOURS_FORMS, `numbers` how its numbers are written. Raises CellFault with
    what would be right; bounds are not looked at.
    """
    if form == "decimal":
        return _decimal(text, numbers)
    if form == "days":
        found: Fraction | None = _days(text, numbers)
    else:
        found = _clock(text) if form == "clock" else _spelt(text, numbers)
    if found is None or found > MOST_HOURS:
        raise CellFault(_IN_FORM[form])
    return float(found)


def hours_readings(text: str, numbers: NumberForm = PLAIN) -> tuple[tuple[str, float], ...]:
    """Every form that could be meant by the text alone, with its hours.

    A number of days looks like decimal hours, so `days` is never among them.
    """
    found: list[tuple[str, Fraction | None]] = [
        ("decimal", _number(text, numbers)),
        ("clock", _clock(text)),
        ("spelt", _spelt(text, numbers)),
    ]
    return tuple((form, float(value)) for form, value in found if value is not None)


def hours(text: str, *, workbook: bool = False) -> float:
    """Hours without a stated form: decimal, or spelt, which has one meaning.

    A clock form is taken where a workbook keeps it as a duration, and refused as typed text,
    with the decimal hours that it may stand for.
    """
    if as_plain(text) is not None:  # as nearly every cell is
        return _decimal(text, PLAIN)
    readings = dict(hours_readings(text))
    if "spelt" in readings:
        return readings["spelt"]
    if "clock" in readings:
        if workbook:
            return readings["clock"]
        raise CellFault(
            f"decimal hours (if hours and minutes are meant: {readings['clock']:.4g}), or say so "
            'in a layout: [units] hours = "clock"'
        )
    with_a_comma = dict(hours_readings(text, NumberForm(",")))
    if "spelt" in with_a_comma:
        meant = with_a_comma["spelt"]
        raise CellFault(f"decimal hours with a point: {meant:.4g}, if that is meant")
    return _decimal(text, PLAIN)


def hours_were_read(text: str) -> bool:
    """Whether the hours had to be read out of a text that is no decimal number."""
    return as_plain(text) is None and any(form != "decimal" for form, _ in hours_readings(text))


def _decimal(text: str, numbers: NumberForm) -> float:
    try:
        return read_number(text, numbers)
    except CellFault as fault:
        raise CellFault(f"decimal hours above 0: {fault}") from None


def _days(text: str, numbers: NumberForm) -> Fraction | None:
    days = _number(text, numbers)
    return days * 24 if days is not None else None


def _number(text: str, numbers: NumberForm) -> Fraction | None:
    """A finite number; None for any other text, and for one beyond floating point."""
    try:
        return read_exactly(text, numbers)
    except CellFault:
        return None


def _clock(text: str) -> Fraction | None:
    clock = _CLOCK.fullmatch(text)
    if clock is None:
        return None
    return int(clock[1]) + Fraction(int(clock[2]), 60) + Fraction(int(clock[3] or 0), 3600)


def _spelt(text: str, numbers: NumberForm) -> Fraction | None:
    """Days, hours and minutes, each at most once; only the last one may have decimals.

    From one time of day to another, too: `18:00-08:00`, `6pm to 8am`.
    """
    span = _FROM_TO.fullmatch(text) if len(text) < LONGEST_NUMBER else None
    if span and all(":" in one or one.lower().endswith("m") for one in span.groups()):
        try:
            seconds = (read_time(span[2]) - read_time(span[1])) % (24 * 3600)
        except CellFault:
            return None
        return Fraction(seconds, 3600) or None
    bare = _HOURS_AND_BARE_MINUTES.fullmatch(text)
    spelt = _SPELT.fullmatch(text)
    parts: tuple[str | None, ...] = spelt.groups() if spelt else ()
    if bare:
        parts = (None, bare[1], bare[2])
    if not any(parts):
        return None
    total = Fraction(0)
    given = [index for index, part in enumerate(parts) if part is not None]
    for index in given:
        _, hours_each, fits = _NAMES[index]
        plain = as_plain(parts[index] or "", numbers)
        if plain is None:
            return None
        count = Fraction(plain)
        if index != given[-1] and count.denominator != 1:
            return None
        if index != given[0] and fits is not None and count >= fits:
            return None
        total += count * hours_each
    return total
