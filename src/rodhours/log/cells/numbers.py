"""Numbers in a stated form: the decimal sign and the thousands separator are never guessed.

What Python would take for a number and a log does not mean (nan, inf, 1_0, other digits) is
refused.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from rodhours.log.cells import CellFault

MAX_WHOLE = 1_000_000
LONGEST_NUMBER = 64
"""No number of a log has more characters; a longer text is none."""

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d+(\.0*)?", re.ASCII)
_TWO_COUNTS = re.compile(
    r"(\d+)\s*(?:\+|/|&|,|;|and|\()\s*(\d+)\s*(?P<lost>lost|dropped|off|pulled|gone)?\s*\)?",
    re.ASCII | re.IGNORECASE,
)
_GROUPED = re.compile(r"\d{1,3}([,' \u00a0\u2009\u202f]\d{3})+", re.ASCII)
_WITH_UNIT = re.compile(r"(\d+(?:\.\d+)?)\s*([°a-zA-Z%][^\d]*)")
_OTHER_UNIT = re.compile(r"(?:°?\s*f|ft|feet|yd|yard|in|mmhg)[a-z.]*", re.IGNORECASE)
"""Units that no column is in: a number beside one of them is not the number of the column."""
_FORCE = re.compile(r"(?:force|f|bft)\s*(\d{1,2})|(\d{1,2})\s*(?:force|bft)", re.I | re.ASCII)
_RANGE = re.compile(r"(\d{1,2})\s*(?:-|–|to)\s*(\d{1,2})", re.I | re.ASCII)
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
A_NUMBER = "a number, such as 5.5"
_SPACES = " \u00a0\u2009\u202f"
"""The spaces that separate thousands: plain, no-break, thin, narrow no-break."""


@dataclass(frozen=True)
class NumberForm:
    """How numbers are written: `decimal` is "." or ",", `thousands` one of ". , ' " or a space.

    `thousands` None means that no separator is allowed; a space stands for every kind of space.
    """

    decimal: str = "."
    thousands: str | None = None


PLAIN = NumberForm()
"""A decimal point and no separator, as the trip log's own format has it."""
NUMBER_FORMS = tuple(
    NumberForm(decimal, thousands)
    for decimal in (".", ",")
    for thousands in (None, ".", ",", "'", " ")
    if decimal != thousands
)
"""Every form there is, the plainest first."""


def as_plain(text: str, form: NumberForm = PLAIN) -> str | None:
    """The number that a text in this form stands for, written plainly; None where it is none.

    Thousands separators must stand before groups of three digits, all of them or none.
    """
    if len(text) > LONGEST_NUMBER:
        return None
    if form.thousands is not None:
        signs = re.escape(_SPACES if form.thousands == " " else form.thousands)
        point = re.escape(form.decimal)
        grouped = re.fullmatch(rf"([+-]?\d{{1,3}}([{signs}]\d{{3}})+)({point}\d*)?", text, re.ASCII)
        if grouped:
            text = re.sub(f"[{signs}]", "", grouped[1]) + (grouped[3] or "")
    if form.decimal == ",":
        if "." in text:
            return None
        text = text.replace(",", ".")
    return text if _NUMBER.fullmatch(text) else None


def read_number(text: str, form: NumberForm = PLAIN) -> float:
    """A finite number written in this form. Raises CellFault with what would be right."""
    plain = as_plain(text, form)
    if plain is not None:
        value = float(plain)
        if math.isfinite(value):
            return value + 0.0  # -0.0 becomes 0.0
    raise CellFault(_number_remedy(text, form))


def read_exactly(text: str, form: NumberForm = PLAIN) -> Fraction:
    """As `read_number`, without the rounding of floating point."""
    read_number(text, form)
    return Fraction(as_plain(text, form) or "")


def number_readings(text: str) -> tuple[tuple[NumberForm, float], ...]:
    """Every form in which the text is a number, with that number; the plainest form first."""
    found = []
    for form in NUMBER_FORMS:
        plain = as_plain(text, form)
        if plain is not None and math.isfinite(float(plain)):
            found.append((form, float(plain) + 0.0))
    return tuple(found)


def percentage(text: str) -> float:
    """A number of percent, with its sign or without: a spreadsheet shows a share of 0.2 as 20%."""
    return read_number(text.removesuffix("%").rstrip())


def read_whole(text: str, form: NumberForm = PLAIN) -> int:
    """A whole number in this form; 2.0 is one, as spreadsheets write it."""
    plain = as_plain(text, form)
    if plain is not None and _WHOLE.fullmatch(plain):
        value = int(plain.partition(".")[0])
        if abs(value) <= MAX_WHOLE:
            return value
    raise CellFault(_whole_remedy(text))


def is_whole(text: str) -> bool:
    """Whether the text is a whole number, written plainly or as 2.0."""
    return _WHOLE.fullmatch(text) is not None


def _number_remedy(text: str, form: NumberForm) -> str:
    values = dict.fromkeys(value for _, value in number_readings(text))
    if values:
        sign = "point" if form.decimal == "." else "comma"
        meant = [_shown(value).replace(".", form.decimal) for value in values]
        which = ", whichever is meant" if len(meant) > 1 else ""
        return f"a number with a decimal {sign}: {' or '.join(meant)}{which}"
    with_unit = _WITH_UNIT.fullmatch(text)
    if with_unit and form == PLAIN:
        if _OTHER_UNIT.fullmatch(with_unit[2]):
            return "a number in the unit that the name of the column says, such as 5.5"
        minus = "-" if with_unit[2].lower() in ("s", "w") else ""
        return _alone("number", f"{minus}{with_unit[1]}")
    return A_NUMBER if form.decimal == "." else "a number with a decimal comma, such as 5,5"


def _alone(what: str, meant: str) -> str:
    return f"a {what} alone, without its unit: {meant}, if that is meant"


def _whole_remedy(text: str) -> str:
    if _GROUPED.fullmatch(text):
        plain = re.sub(r"\D", "", text, flags=re.ASCII)
        return f"a whole number in plain digits: {plain}, if that is meant"
    both = _TWO_COUNTS.fullmatch(text)
    if both:
        counts = f"fish {int(both[1])} and lost {int(both[2])}"
        if both["lost"] is not None:
            return f"one whole number; write the fish lost in their own column: {counts}"
        return f"one whole number; if the second are fish lost, write {counts} in two columns"
    either = _RANGE.fullmatch(text)
    if either:
        return f"one whole number: {either[1]} or {either[2]}"
    force = _FORCE.fullmatch(text)
    if force:
        return _alone("whole number", force[1] or force[2])
    count = COUNT_WORDS.get(text.lower())
    if count is None:
        return "a whole number, such as 0 or 2"
    if count == 0:
        return "a whole number: 0 for none"
    return f"a whole number in plain digits: {count}, if that is meant"


def _shown(value: float) -> str:
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
