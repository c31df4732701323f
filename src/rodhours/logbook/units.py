"""Cells to canonical values: numbers, weights, stated date formats, local times and their hours.

Nothing is guessed: a text that is not in a stated form raises `CellFault`, whose text says what
would be right. Every function here is pure.
"""

from __future__ import annotations

import math
import os
import re
import time
import unicodedata
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rodhours.logbook.tables import Column, Kind

KG_PER_LB = 0.45359237
"""The international pound, exact by definition (international yard and pound agreement, 1959)."""
OZ_PER_LB = 16

_NUMBER = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_WHOLE = re.compile(r"[+-]?\d+(\.0*)?", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+", re.ASCII)
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(:[0-5]\d)?", re.ASCII)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_MOMENT = re.compile(r"(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2}(:\d{2})?)(Z|[+-]\d{2}:\d{2})?", re.ASCII)
_WEIGHT = re.compile(r"(\d+(?:\.\d+)?)\s*(lbs?|oz|kg|g)", re.ASCII | re.IGNORECASE)
_POUNDS_OUNCES = re.compile(r"(\d+)\s*lbs?\s*(\d+(?:\.\d+)?)\s*oz", re.ASCII | re.IGNORECASE)
_PLAIN_DECIMAL = re.compile(r"[+-]?(0|[1-9]\d{0,14})\.(\d{1,15})", re.ASCII)
_POINTS = frozenset(re.findall("[A-Z]+", "N NNE NE ENE E ESE SE SSE S SSW SW WSW W WNW NW NNW"))
_KG_PER_UNIT = {
    "kg": 1.0,
    "g": 0.001,
    "lb": KG_PER_LB,
    "lbs": KG_PER_LB,
    "oz": KG_PER_LB / OZ_PER_LB,
}
WEIGHT_UNITS = ("lb", "kg")
MAX_WHOLE = 1_000_000


class CellFault(ValueError):
    """What would be right in a cell that cannot be taken."""


def label(text: str) -> str:
    """A text or label: outer space off, and one code for what looks the same (Unicode NFC)."""
    text = text.strip()
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def number(text: str) -> float:
    """A finite decimal number with a point."""
    if _NUMBER.fullmatch(text):
        value = float(text)
        if math.isfinite(value):
            return value + 0.0  # -0.0 becomes 0.0
    if _DECIMAL_COMMA.fullmatch(text):
        raise CellFault(f"a number with a decimal point: {text.replace(',', '.')}")
    raise CellFault("a number, such as 5.5")


def hours(text: str) -> float:
    """Decimal hours; a clock form is refused with the decimal hours it may stand for."""
    clock = _CLOCK.fullmatch(text)
    if clock:
        meant = int(clock[1]) + int(clock[2]) / 60
        raise CellFault(f"decimal hours (if hours and minutes are meant: {meant:.4g})")
    try:
        return number(text)
    except CellFault as fault:
        raise CellFault(f"decimal hours above 0: {fault}") from None


def whole(text: str) -> int:
    """A whole number; 2.0 is one, as spreadsheets write it."""
    if _WHOLE.fullmatch(text):
        value = int(text.partition(".")[0])
        if abs(value) <= MAX_WHOLE:
            return value
    raise CellFault("a whole number, such as 0 or 2")


def rod(text: str) -> str:
    """A rod position; a number is written without decimals, so that 1 and 1.0 are one rod."""
    if _WHOLE.fullmatch(text) and "." in text:
        return text.partition(".")[0]
    return label(text)


def extra(text: str) -> str:
    """A cell of a column the format does not know: text; 0.50 and 0.5 are one number."""
    text = label(text)
    if _PLAIN_DECIMAL.fullmatch(text):
        return text.rstrip("0").rstrip(".")
    return text


def iso_date(text: str) -> str:
    """An ISO 8601 date; midnight after it is a spreadsheet's way to write the same."""
    plain = text.removesuffix("T00:00")
    if _DATE.fullmatch(plain):
        try:
            return date.fromisoformat(plain).isoformat()
        except ValueError:
            raise CellFault("a date that exists, as year-month-day: 2025-04-12") from None
    raise CellFault("a date as year-month-day (ISO 8601): 2025-04-12")


def moment(text: str, bare_date_is_midnight: bool = False) -> str:
    """An ISO 8601 date and time in one spelling: seconds only where they are not zero.

    Real date cells of a workbook lose their time when it is midnight:
    `bare_date_is_midnight` reads those.
    """
    if bare_date_is_midnight and _DATE.fullmatch(text):
        text += "T00:00"
    parts = _MOMENT.fullmatch(text)
    if not parts:
        raise CellFault("a date and time as 2025-04-12T18:30 (ISO 8601)")
    try:
        value = datetime.fromisoformat(f"{parts[1]}T{parts[2]}{parts[4] or ''}")
    except ValueError:
        raise CellFault("a date and time that exist, as 2025-04-12T18:30") from None
    return value.isoformat(timespec="seconds" if value.second else "minutes")


def weight_kg(text: str, unit: str | None = None) -> float:
    """A weight in kilograms, to the milligram; `unit` (lb or kg) is what a bare number means."""
    both = _POUNDS_OUNCES.fullmatch(text)
    if both:
        ounces = float(both[2])
        if ounces >= OZ_PER_LB:
            raise CellFault("a weight with fewer than 16 oz beside the lb, such as 22lb 4oz")
        return round((int(both[1]) + ounces / OZ_PER_LB) * KG_PER_LB, 6)
    single = _WEIGHT.fullmatch(text)
    if single:
        return round(float(single[1]) * _KG_PER_UNIT[single[2].lower()], 6)
    if _NUMBER.fullmatch(text):
        if unit is not None:
            return round(float(text) * _KG_PER_UNIT[unit], 6)
        raise CellFault(f"a weight with its unit: {text} lb or {text} kg")
    raise CellFault("a weight such as 22lb 4oz, 22.25 lb or 10.1 kg")


def compass(text: str) -> str:
    """One of the 16 compass points."""
    point = text.upper()
    if point not in _POINTS:
        raise CellFault("a compass point such as N, NE, SSW or W")
    return point


def outcome(text: str) -> str:
    """`landed` or `lost`."""
    word = text.lower()
    if word not in ("landed", "lost"):
        raise CellFault("landed or lost")
    return word


def cell_parser(
    column: Column, *, workbook: bool, weight_unit: str | None
) -> Callable[[str], object]:
    """What turns a stripped, filled cell of this column into its canonical value.

    The parser raises CellFault with what would be right, bounds included.
    """
    simple: dict[Kind, Callable[[str], object]] = {
        Kind.TEXT: label,
        Kind.ROD: rod,
        Kind.WHOLE: whole,
        Kind.NUMBER: hours if column.name == "hours" else number,
        Kind.DATE: iso_date,
        Kind.MOMENT: lambda text: moment(text, bare_date_is_midnight=workbook),
        Kind.WEIGHT: lambda text: weight_kg(text, weight_unit),
        Kind.COMPASS: compass,
        Kind.OUTCOME: outcome,
    }
    parse = simple[column.kind]
    if column.low is None and column.high is None and column.above is None:
        return parse

    def bounded(text: str) -> object:
        value = parse(text)
        assert isinstance(value, float | int)
        if column.above is not None and value <= column.above:
            raise CellFault(f"a {column.kind.value} above {column.above:g}")
        if column.low is not None and value < column.low:
            raise CellFault(_range_of(column))
        if column.high is not None and value > column.high:
            raise CellFault(_range_of(column))
        return value

    return bounded


def _range_of(column: Column) -> str:
    if column.high is None:
        return f"a {column.kind.value} of {column.low:g} or more"
    return f"a {column.kind.value} from {column.low:g} to {column.high:g}"


def machine_zone() -> str | None:
    """The name of this machine's time zone, or None where the system does not tell its name."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named and _known(named):
        return named
    link = Path("/etc/localtime")
    if not named and link.is_symlink():
        name = str(link.resolve()).partition("zoneinfo/")[2]
        if name and _known(name):
            return name
    return None


def zone_label(name: str | None) -> str:
    """How a zone is written into the logbook."""
    return name if name is not None else f"this machine's ({'/'.join(time.tzname)})"


def _known(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def instant(text: str, zone: ZoneInfo | None) -> datetime:
    """The instant (UTC) of a canonical local date and time; an offset in the text wins.

    `zone` None means the machine's own rules. Raises CellFault where the clocks went back and
    the time came twice, or went forward and it never came.
    """
    local = datetime.fromisoformat(text)
    if local.tzinfo is not None:
        return local.astimezone(UTC)
    early, late = (_to_utc(local.replace(fold=fold), zone) for fold in (0, 1))
    if early == late:
        return early
    if early < late:
        raise CellFault(
            "a time with its offset, such as "
            f"{_with_offset(local, early)} or {_with_offset(local, late)}: "
            "the clocks went back and this time came twice"
        )
    raise CellFault("a time that existed: the clocks went forward past this one")


def _to_utc(local: datetime, zone: ZoneInfo | None) -> datetime:
    # Without a zone, astimezone() follows the operating system's rules.
    return (local.replace(tzinfo=zone) if zone else local).astimezone(UTC)


def _with_offset(local: datetime, utc: datetime) -> str:
    minutes = round((local.replace(tzinfo=UTC) - utc) / timedelta(minutes=1))
    sign, minutes = ("-" if minutes < 0 else "+"), abs(minutes)
    return f"{local.isoformat(timespec='minutes')}{sign}{minutes // 60:02d}:{minutes % 60:02d}"


def elapsed_hours(began: datetime, ended: datetime) -> float:
    """Real hours between two instants, whatever the clocks did meanwhile."""
    return (ended - began) / timedelta(hours=1)
