"""Texts, labels, rods, compass points and outcomes: what is no quantity, in one spelling each."""

from __future__ import annotations

import re
import unicodedata

from rodhours.log.cells import CellFault
from rodhours.log.cells.numbers import is_whole
from rodhours.log.tables import COMPASS_POINTS
from rodhours.unseen import without_silent

_PLAIN_DECIMAL = re.compile(r"[+-]?(0|[1-9]\d{0,14})\.(\d{1,15})", re.ASCII)


def label(text: str) -> str:
    """A text or label: outer space and what nobody sees off, one code for what looks the same
    (Unicode NFC)."""
    text = text.strip()
    return text if text.isascii() else unicodedata.normalize("NFC", without_silent(text)).strip()


def rod(text: str) -> str:
    """A rod position; a number is written without decimals, so that 1 and 1.0 are one rod."""
    if is_whole(text) and "." in text:
        return text.partition(".")[0]
    return label(text)


def extra(text: str) -> str:
    """A cell of a column the format does not know: text; 0.50 and 0.5 are one number."""
    text = label(text)
    if _PLAIN_DECIMAL.fullmatch(text):
        return text.rstrip("0").rstrip(".")
    return text


def compass(text: str) -> str:
    """One of the 16 compass points."""
    if text.upper() not in COMPASS_POINTS:
        raise CellFault("a compass point such as N, NE, SSW or W")
    return text.upper()


def outcome(text: str) -> str:
    """`landed` or `lost`."""
    word = text.lower()
    if word not in ("landed", "lost"):
        raise CellFault("landed or lost")
    return word


def may_be_pounds(name: str) -> bool:
    """Whether a column name speaks of weights that may be in pounds: 22.10 is not 22.1 there."""
    words = set(re.sub(r"[^\w]+|_", " ", name.casefold()).split())
    weight = {"weight", "weights", "wt", "lb", "lbs", "oz", "biggest", "best", "pb"}
    return bool(words & weight) and not words & {"kg", "kgs", "kilo", "kilos", "g", "grams"}
