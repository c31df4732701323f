"""Hours: decimal (36.5), by the clock (36:30, 18:00-06:30), spelt (36 h 30 min), or in days.

Values are correctly rounded from exact fractions.
"""

from __future__ import annotations

import re
from fractions import Fraction

from rodhours.log.cells import CellFault
from rodhours.log.cells.dates import read_period
from rodhours.log.cells.numbers import LONGEST_NUMBER, as_plain, read_exactly

MOST_HOURS = 100_000
"""More than eleven years: no stint, but a number read in a form that is not its own."""
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
_HOURS_AND_BARE_MINUTES = re.compile(r"(\d+)\s*(?:h|hrs?)\s*(\d\d)", re.ASCII | re.IGNORECASE)
OF_RODS = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(?:(?:h|hrs?|hours?)\s*)?[x×*]\s*(\d)(?:\s*rods?)?",
    re.ASCII | re.IGNORECASE,
)
"""`12 x 2 rods`: hours of each."""
_COUNTS = {"": 1, "a": 1, "an": 1, "one": 1, "all": 1, "over": 1, "two": 2, "three": 3, "four": 4}
_STAY = re.compile(r"(?:(\d{1,2})|(a|an|one|all|over|two|three|four))?[ -]*(night|day)s?", re.I)


def hours(text: str, decimal: str = ".", in_days: bool = False) -> float:
    """The hours that a text stands for; a bare number is of days with `in_days`.

    `decimal` is the mark of decimals. Raises CellFault with what would be right; bounds are not
    looked at.
    """
    if as_plain(text, decimal) is not None:  # as nearly every cell is
        found: Fraction | None = read_exactly(text, decimal) * (24 if in_days else 1)
    else:
        found = in_words(text, decimal)
    if found is not None and found <= MOST_HOURS:
        return float(found)
    raise CellFault(f"hours, such as 36{decimal}5, 36:30, 36 h 30 min or 18:00-06:30")


def in_words(text: str, decimal: str = ".") -> Fraction | None:
    """Hours by the clock, spelt, of several rods, from one time to another; else None."""
    if len(text) > LONGEST_NUMBER:
        return None
    rods = OF_RODS.fullmatch(text)
    if rods is not None:
        each = as_plain(rods[1], decimal)
        return Fraction(each) * int(rods[2]) if each is not None else None
    clock = _CLOCK.fullmatch(text)
    if clock is not None:
        return int(clock[1]) + Fraction(int(clock[2]), 60) + Fraction(int(clock[3] or 0), 3600)
    seconds = read_period(text)
    return Fraction(seconds, 3600) if seconds else _spelt(text, decimal)


def read_stay(text: str) -> tuple[int, str] | None:
    """How many nights, or days, a text says: `2 nights`, `a day`, `overnight`; else None."""
    found = _STAY.fullmatch(text)
    if found is None or in_words(text) is not None:
        return None
    count = int(found[1]) if found[1] else _COUNTS[(found[2] or "").lower()]
    return (count, found[3].lower()) if count else None


def _spelt(text: str, decimal: str) -> Fraction | None:
    """Days, hours and minutes, each at most once; only the last one may have decimals."""
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
        plain = as_plain(parts[index] or "", decimal)
        if plain is None:
            return None
        count = Fraction(plain)
        if index != given[-1] and count.denominator != 1:
            return None
        if index != given[0] and fits is not None and count >= fits:
            return None
        total += count * hours_each
    return total
