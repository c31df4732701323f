"""Numbers with a decimal point or comma: which of the two is stated, never guessed.

What Python would take for a number and a log does not mean (nan, inf, 1_0, other digits) is
refused.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from rodhours.log.cells import CellFault

MAX_WHOLE = 1_000_000
LONGEST_NUMBER = 64
"""No number of a log has more characters; a longer text is none."""

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d+(\.0*)?", re.ASCII)
COUNT_WORDS = {
    word: count
    for count, names in enumerate(
        (
            (
                *("none", "nil", "zero", "blank", "blanked", "b", "no fish", "nothing", "nowt"),
                *("-", "–", "—", "x"),
            ),
            ("one",),
            ("two",),
        )
    )
    for word in names
}


def as_plain(text: str, decimal: str = ".") -> str | None:
    """The number that a text stands for, with a decimal point; None where it is none.

    `decimal` is the mark of its decimals, a point or a comma; nothing stands between thousands.
    """
    if len(text) > LONGEST_NUMBER:
        return None
    if decimal == ",":
        if "." in text:
            return None
        text = text.replace(",", ".")
    return text if _NUMBER.fullmatch(text) else None


def read_number(text: str, decimal: str = ".") -> float:
    """A finite number. Raises CellFault with what would be right."""
    plain = as_plain(text, decimal)
    if plain is not None:
        value = float(plain)
        if math.isfinite(value):
            return value + 0.0  # -0.0 becomes 0.0
    name, other = "point" if decimal == "." else "comma", as_plain(text, ",."[decimal == ","])
    meant = "alone and in the unit of its column"
    if other is not None:
        meant = f"{other.replace('.', decimal)}, if that is meant"
    raise CellFault(f"a number with a decimal {name}: {meant}")


def read_exactly(text: str, decimal: str = ".") -> Fraction:
    """As `read_number`, without the rounding of floating point."""
    read_number(text, decimal)
    return Fraction(as_plain(text, decimal) or "")


def is_number(text: str) -> bool:
    """Whether a text is a number, be it with a comma."""
    return any(as_plain(text, decimal) is not None for decimal in ".,")


def read_whole(text: str, decimal: str = ".") -> int:
    """A whole number; 2.0 is one, as spreadsheets write it."""
    plain = as_plain(text, decimal)
    if plain is not None and _WHOLE.fullmatch(plain):
        value = int(plain.partition(".")[0])
        if abs(value) <= MAX_WHOLE:
            return value
    raise CellFault("one whole number in plain digits, such as 0 or 2")


def is_whole(text: str) -> bool:
    """Whether the text is a whole number, written plainly or as 2.0."""
    return _WHOLE.fullmatch(text) is not None
