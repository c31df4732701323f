"""Weights in a stated form to kilograms, exactly: nothing is rounded before the last step.

Conversions are those of NIST Special Publication 811, Appendix B.8 (exact by definition). What
a decimal point means beside pounds is never guessed: 22.4 may be 22 lb 4 oz.
"""

from __future__ import annotations

import re
from contextlib import suppress
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from rodhours.log.cells import CellFault
from rodhours.log.cells.numbers import as_plain

KG_PER_LB = 0.45359237
"""The international pound, exact by definition (international yard and pound agreement, 1959)."""
OZ_PER_LB = 16
MOST_KG = 1000
"""No fish of a log weighs as much; such a number is no weight or has another unit."""
WEIGHT_UNITS = ("lb", "kg")
"""What weights are shown in."""
WEIGHT_FORMS = ("lb", "decimal lb", "lb.oz", "kg", "g", "oz")
"""What a weight without a unit may be stated to mean.

With `decimal lb` the digits behind the point of pounds are decimals, with `lb.oz` ounces; with
`lb` that is not stated.
"""

_POUND_FORMS = ("lb", "decimal lb", "lb.oz")
_POUND = Fraction("0.45359237")
_KG_PER_UNIT = {"kg": Fraction(1), "g": Fraction(1, 1000), "lb": _POUND, "oz": _POUND / OZ_PER_LB}
_NAMES = {
    "kg": r"kgs?|kilos?|kilograms?",
    "g": r"g|gr|grams?",
    "lb": r"(?:lbs?|pounds?)\.?",
    "oz": r"(?:ozs?|ounces?)\.?",
}
_ONE_UNIT = re.compile(
    r"(?P<number>(?:\d|\.\d)[\d.,' \u00a0\u2009\u202f]*)\s*(?:"
    + "|".join(f"(?P<{unit}>{names})" for unit, names in _NAMES.items())
    + ")?",
    re.ASCII | re.IGNORECASE,
)
_POUNDS_OUNCES = re.compile(
    rf"(\d{{1,3}})\s*{_NAMES['lb']}\s*[,&-]?\s*(?:and\s*)?(\d{{1,2}}(?:\.\d+)?)\s*(?:{_NAMES['oz']})?",
    re.ASCII | re.IGNORECASE,
)
_BARE_POUNDS_OUNCES = re.compile(r"(\d{1,3})\s*[-:]\s*(\d{1,2})(?:\s*[-:]\s*0{1,2})?", re.ASCII)
_MONTH = "(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_DATE = re.compile(
    r"\d{4}-\d{1,2}-\d{1,2}(?:[T ][\d:.]+)?|\d{1,2}[-/. ]\d{1,2}[-/. ]\d{4}(?: [\d:.]+)?"
    r"|\d{1,2}/\d{1,2}/\d{2}"
    rf"|\d{{1,2}}[-/. ]{_MONTH}(?:[-/. ]\d{{2,4}})?|{_MONTH}[-/. ]\d{{1,4}}",
    re.ASCII | re.IGNORECASE,
)
_BECAME_A_DATE = (
    "a weight: the spreadsheet turned this one into a date. Make the column's cells text, then "
    "write the weight again, such as 22lb 4oz"
)
_SERIALS = range(36526, 73051)
"""The years 2000 to 2099 as a spreadsheet's numbers of days: no fish weighs as many lb or kg."""
_DECIMAL_POUNDS = re.compile(r"\d+\.(\d{1,2})", re.ASCII)


def read_weight(text: str, form: str | None = None, decimal: str = ".") -> float:
    """Kilograms of `22lb 4oz`, `22lb4`, `22-4`, `22.25 lb`, `10.1 kg` or `850 g`.

    `form` is one of WEIGHT_FORMS or None, `decimal` the mark of decimals. The value is the
    exact one, rounded once to a float. Raises CellFault with what would be right: no unit,
    ounces that are none, a point that may stand before ounces, a weight turned into a date.
    """
    return float(_read(text, form, decimal)[0])


def weight_family(text: str, form: str | None = None, decimal: str = ".") -> str:
    """What a weight was written in: `lb` (ounces too) or `kg` (grams too)."""
    return _read(text, form, decimal)[1]


def plain_weight(text: str, form: str | None = None, decimal: str = ".") -> str:
    """The same weight in a spelling that needs no form: `22lb 4oz` or `10.1 kg`, not rounded.

    Raises CellFault as `read_weight` does.
    """
    exactly, family = _read(text, form, decimal)
    if family == "kg":
        return f"{_decimals(exactly)} kg"
    ounces = exactly / _KG_PER_UNIT["oz"]
    return f"{ounces // OZ_PER_LB}lb {_decimals(ounces % OZ_PER_LB)}oz"


@lru_cache(maxsize=10_000)
def weight_readings(text: str, decimal: str = ".") -> tuple[tuple[str | None, float], ...]:
    """Every form under which the text is a weight, with its kilograms.

    Where the text is a weight without any form, that reading stands alone, with None.
    """
    found: list[tuple[str | None, float]] = []
    for form in (None, *WEIGHT_FORMS):
        with suppress(CellFault):
            found.append((form, read_weight(text, form, decimal)))
    return tuple(found[:1] if found and found[0][0] is None else found)


def _decimals(value: Fraction) -> str:
    """A number as it is written, to the last digit: every weight that was written has one."""
    return f"{Decimal(value.numerator) / Decimal(value.denominator):f}"


def _read(text: str, form: str | None, decimal: str) -> tuple[Fraction, str]:
    """Kilograms, exactly, and the family of the unit."""
    if _DATE.fullmatch(text):
        raise CellFault(_BECAME_A_DATE)
    named, bare = _POUNDS_OUNCES.fullmatch(text), _BARE_POUNDS_OUNCES.fullmatch(text)
    if both := named or bare:
        pounds, ounces = int(both[1]), Fraction(both[2])
        if bare and form not in _POUND_FORMS:
            raise CellFault(
                f"a weight with its units, such as {pounds}lb {ounces}oz; or say that weights "
                "without a unit are pounds (--weight-unit lb)"
            )
        if ounces >= OZ_PER_LB:
            raise CellFault("a weight with fewer than 16 oz beside the lb, such as 22lb 4oz")
        return (pounds + ounces / OZ_PER_LB) * _POUND, "lb"
    single = _ONE_UNIT.fullmatch(text)
    plain = as_plain(single["number"].strip(), decimal) if single else None
    if single is None or plain is None:
        raise CellFault(f"a weight such as 22lb 4oz, 22{decimal}25 lb or 10{decimal}1 kg")
    unit = next((unit for unit in _NAMES if single[unit]), None)
    if unit is None:
        if form != "g" and plain.isdigit() and int(plain) in _SERIALS:
            raise CellFault(_BECAME_A_DATE)
        if form is None:
            raise CellFault(_unit_remedy(plain))
        unit = form if form in _KG_PER_UNIT else "lb"
    value = _pounds_with_a_point(plain, form) if unit == "lb" else Fraction(plain)
    if value * _KG_PER_UNIT[unit] >= MOST_KG:
        raise CellFault(f"a weight below {MOST_KG:,g} kg")
    return value * _KG_PER_UNIT[unit], "lb" if unit in ("lb", "oz") else "kg"


def _ounces_behind(plain: str) -> int | None:
    """The digits behind the point of pounds, which may be ounces; None where there are no such."""
    parts = _DECIMAL_POUNDS.fullmatch(plain)
    return int(parts[1]) if parts else None


def _unit_remedy(plain: str) -> str:
    """What a bare number may be; as pounds only in a spelling that has one meaning."""
    ounces, pounds = _ounces_behind(plain), f"{plain} lb"
    if ounces and ounces < OZ_PER_LB:
        pounds = f"{int(Fraction(plain))}lb {ounces}oz, {float(plain):.3f} lb"
    return f"a weight with its unit: {pounds} or {plain} kg"


def _pounds_with_a_point(plain: str, form: str | None) -> Fraction:
    """Pounds from a number whose decimals may be ounces."""
    value, ounces = Fraction(plain), _ounces_behind(plain)
    if form == "decimal lb" or value.denominator == 1:
        return value
    whole, one_digit = int(value), plain.endswith(".1")
    if form == "lb.oz":
        if ounces is None or ounces >= OZ_PER_LB:
            raise CellFault("pounds and ounces with 0 to 15 ounces behind the point, such as 22.04")
        if one_digit:
            # A spreadsheet that took 22.10 for a number keeps 22.1.
            raise CellFault(
                f"{whole}lb 1oz or {whole}lb 10oz, whichever is meant: a spreadsheet keeps "
                f"{whole}.10 as {whole}.1"
            )
        return whole + Fraction(ounces, OZ_PER_LB)
    if ounces and ounces < OZ_PER_LB:
        or_ten = f", {whole}lb 10oz" if one_digit else ""
        raise CellFault(
            f"pounds and ounces, such as {whole}lb {ounces}oz{or_ten}, or decimal pounds with "
            f"three decimals, such as {float(plain):.3f} lb: the digits behind the point may be "
            "ounces or decimals. A layout can say which: [units] weight = "
            '"lb.oz" or "decimal lb"'
        )
    return value
