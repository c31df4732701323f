"""What a layout says: which of their columns is which of ours, and how their cells are written.

Only the frozen description and the words it may use; reading, writing, proposing and applying
each have a file of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from rodhours.log.cells.dates import PIVOT, YEAR_FIRST
from rodhours.log.cells.numbers import NumberForm
from rodhours.log.tables import TABLES, Column

KEEP = "keep"
"""A column that stays as it is, under its own name."""
LEAVE_OUT = "leave out"
"""A column that is not imported."""

DECIMAL_MARKS = (".", ",")
THOUSANDS_MARKS = ("", ",", ".", " ", "'")
MEASURES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "water_temp_c": ("C", "F"),
        "air_temp_c": ("C", "F"),
        "pressure_hpa": ("hPa", "inHg", "mmHg"),
        "depth_m": ("m", "ft"),
        "range_m": ("m", "yd", "ft"),
    }
)
"""The units that a column of plain numbers may be in; the first is ours."""
LIST_MARKS = (",", ";", "/", "|", "\n", "+", "&")
"""What may stand between the things that a cell lists, the likeliest first."""
ROD = "{rod}"
"""Stands for the rod in the column names of a wide log."""

MARKS = {
    "titles": ("trips", "months"),
    "alike": ("one stint", "stints of their own"),
    "without_weight": ("a blank", "a fish"),
    "empty": ("nothing was written",),
    "hours": ("each rod", "all rods"),
}
"""What the rows of a table may be like, each with what may be said of it."""

COLUMNS: Mapping[str, Column] = MappingProxyType(
    {
        **{column.name: column for table in TABLES.values() for column in table.columns},
        **{column.name: column for column in TABLES["stints"].columns},
    }
)
"""Every column of the trip log by its name; where tables share one, as in stints."""


def _none() -> Mapping[str, str]:
    return MappingProxyType({})


@dataclass(frozen=True)
class Units:
    """How quantities are written: `hours` the forms met, `measures` our column to their unit."""

    hours: tuple[str, ...] = ("decimal",)
    weight: str | None = None
    decimal: str = "."
    thousands: str = ""
    measures: Mapping[str, str] = field(default_factory=_none)

    @property
    def numbers(self) -> NumberForm:
        """How numbers are written, for the readers of cells."""
        return NumberForm(self.decimal, self.thousands or None)


@dataclass(frozen=True)
class Dates:
    """How dates are written.

    `pivot`: the first year of two digits that is one of the 1900s. `year`: that of the first date
    where dates are written without; it runs on over New Year. `clock_on`: their column
    with the day on which cells with a clock time alone begin, `clock_end_on` the one with the day
    on which they end (None: the same or the next, whichever comes after the start); `clock` how
    those are written.
    """

    form: str = YEAR_FIRST
    pivot: int = PIVOT
    zone: str | None = None
    clock_on: str | None = None
    clock_end_on: str | None = None
    clock: str = "clock"
    year: int | None = None


@dataclass(frozen=True)
class Layout:
    """One layout. Their names are keys and ours are values, but for `values` and `wide`.

    `columns`: their column to ours, KEEP or LEAVE_OUT; `values`: our column to their texts and
    ours; `session_from`: their columns that together make a session; `fill_down`: their columns
    whose empty cells mean "as above"; `lists`: their columns whose cells list one thing for each
    rod, with the mark between them; `wide`: our column to the pattern of theirs with {rod};
    `rows`: what its rows are like, as MARKS has it, and under `rods` their column of how many;
    `file`: how the file is written, as `[file]` has it; `name` is where the layout stands.
    """

    columns: Mapping[str, str] = field(default_factory=_none)
    values: Mapping[str, Mapping[str, str]] = field(default_factory=lambda: MappingProxyType({}))
    units: Units = Units()
    dates: Dates = Dates()
    session_from: tuple[str, ...] = ()
    fill_down: tuple[str, ...] = ()
    lists: Mapping[str, str] = field(default_factory=_none)
    wide: Mapping[str, str] = field(default_factory=_none)
    rows: Mapping[str, str] = field(default_factory=_none)
    file: Mapping[str, object] = field(default_factory=lambda: MappingProxyType({}))
    name: str = "layout"

    def theirs(self, ours: str) -> str | None:
        """Their name of one of our columns; None where the layout has none."""
        return next((name for name, target in self.columns.items() if target == ours), None)


def plain(name: str) -> str:
    """A column name by which it is found again: capitals and spaces do not matter."""
    return " ".join(name.split()).casefold()
