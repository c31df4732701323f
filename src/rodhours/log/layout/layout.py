"""What a layout says: which of their columns is which of ours, and how their cells are written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from rodhours.counts import listed
from rodhours.errors import UnusableFile
from rodhours.log.cells.cell import Dates, Units
from rodhours.log.table import FileTable, known_columns
from rodhours.log.tables import TABLES, Column
from rodhours.near import near_names

KEEP = "keep"
"""A column that stays as it is, under its own name."""
LEAVE_OUT = "leave out"
"""A column that is not imported."""

DECIMAL_MARKS = (".", ",")
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
ROD, BAIT, SHEET = "{rod}", "{bait}", "{sheet}"
"""In names of columns: a column for each rod, one for each bait; the name of a row's sheet."""

OF_A_ROD = (
    *("variant", "fish", "hours", "lost", "weight", "cast_in", "cast_out", "spot", "batch"),
    *("rig", "hook_size", "depth_m", "range_m"),
)
"""What each rod, or bait, may have of its own."""

SIDES = ("left", "right", "middle", "centre", "near", "far")
"""Where a rod stands: in the name of a column, the letter alone is the same rod."""

MARKS = {
    "titles": ("trips", "months"),
    "alike": ("one stint", "stints of their own"),
    "without_weight": ("a blank", "a fish"),
    "empty": ("nothing was written",),
    "empty_bait": ("not fished", "a blank"),
    "words": ("a fish",),
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


@dataclass(frozen=True)
class Layout:
    """One layout. Their names are keys and ours are values, but for `values`.

    `columns`: their column to ours, KEEP or LEAVE_OUT; several that are fish are added up, a name
    with {rod} or {bait} stands for a column of each; `baits`: where a column is called by its bait
    alone, their names; `values`: our column to their texts and ours; `session_from`: their columns
    that together make a session; `fill_down`: their columns whose empty cells mean "as above";
    `lists`: their columns whose cells list one thing for each rod, with the mark between them;
    `rows`: what its rows are like, as MARKS has it, and under `rods` their column of how many;
    `sheets`: those of a workbook that it is for, all without any; `table`: which of ours it is;
    `name` is where the layout stands.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    units: Units = field(default_factory=Units)
    dates: Dates = field(default_factory=Dates)
    session_from: tuple[str, ...] = ()
    fill_down: tuple[str, ...] = ()
    lists: Mapping[str, str] = field(default_factory=dict)
    baits: tuple[str, ...] = ()
    rows: Mapping[str, str] = field(default_factory=dict)
    sheets: tuple[str, ...] = ()
    table: str | None = None
    name: str = "layout"

    def theirs(self, *ours: str) -> str:
        """Their name of one of these columns of ours; empty where the layout has none."""
        return next((name for name, target in self.columns.items() if target in ours), "")

    def ours(self, theirs: str) -> str:
        """What one of their columns is: what is said of it, or what it is called."""
        return self.columns.get(theirs, theirs)

    @property
    def groups(self) -> dict[str, str]:
        """Their names with {rod} or {bait} to our columns."""
        return {
            name: ours
            for name, ours in self.columns.items()
            if (ROD in name or BAIT in name) and ours in COLUMNS
        }

    def fits(self, raw: FileTable) -> int:
        """How many of a table's columns it names."""
        if raw.sheet is not None and self.sheets and raw.sheet not in self.sheets:
            return 0
        named = sum(find_column(name, raw.names) is not None for name in self.columns)
        return named + len(side_by_side(self.groups, raw.names, self.baits))

    def spelt_as(self, header: Sequence[str]) -> Layout:
        """The same layout with the names of columns as a header spells them."""

        def spelt(name: str) -> str:
            return find_column(name, header) or name

        days = (self.dates.clock_on, self.dates.clock_end_on)
        clock_on, clock_end_on = (spelt(day) if day else None for day in days)
        return replace(
            self,
            columns={spelt(name): ours for name, ours in self.columns.items()},
            session_from=tuple(map(spelt, self.session_from)),
            fill_down=tuple(map(spelt, self.fill_down)),
            lists={spelt(name): mark for name, mark in self.lists.items()},
            rows={key: spelt(one) if key == "rods" else one for key, one in self.rows.items()},
            dates=replace(self.dates, clock_on=clock_on, clock_end_on=clock_end_on),
        )


def plain(name: str) -> str:
    """A column name by which it is found again: capitals and spaces do not matter."""
    return " ".join(name.split()).casefold()


def find_column(name: str, header: Sequence[str]) -> str | None:
    """The column of that name; capitals and spaces do not matter where only one is left then."""
    if name in header:
        return name
    alike = [one for one in header if one and plain(one) == plain(name)]
    return alike[0] if len(alike) == 1 else None


def rods_of_letters(header: Sequence[str]) -> dict[str, str]:
    """Letters that are a rod called otherwise in the same header: L is Left, and A is 1."""
    words = {plain(word): word for name in header for word in name.split()}
    found: dict[str, str] = {}
    for letters, names in (("lrmcnf", SIDES), ("abc", "123")):
        told = {one: words[name] for one, name in zip(letters, names, strict=True) if name in words}
        found |= told if len(told) > 1 else {}
    return found


def side_by_side(
    patterns: Iterable[str], header: Sequence[str], baits: Sequence[str] = ()
) -> dict[str, dict[str, str]]:
    """For each rod or bait named in the header the columns that the patterns find.

    A name to pattern and column; where `baits` are given, those alone. `L` is the rod `Left`.
    """
    groups: dict[str, dict[str, str]] = {}
    names = {plain(bait): bait for bait in baits}
    letters = rods_of_letters(header)
    for pattern in patterns:
        mark, one = (ROD, r"(\S{1,12})") if ROD in pattern else (BAIT, "(.{1,40})")
        before, _, after = plain(pattern).partition(mark)
        wanted = re.compile(re.escape(before) + one + re.escape(after), re.IGNORECASE)
        for column in header:
            found = wanted.fullmatch(" ".join(column.split()))
            if found and not (baits and plain(found[1]) not in names):
                called = letters.get(plain(found[1]), found[1]) if mark == ROD else found[1]
                name = names.setdefault(plain(called), called)
                groups.setdefault(name, {}).setdefault(pattern, column)
    return groups


def targets(raw: FileTable, layout: Layout) -> dict[str, str]:
    """What becomes of each column: our name, its own where it is kept, LEAVE_OUT."""
    known = known_columns(raw.table)
    found = {name: layout.columns.get(name, KEEP) for name in raw.names}
    return {
        name: ours if ours == LEAVE_OUT or ours in known else name for name, ours in found.items()
    }


def check_columns(layout: Layout, raws: Sequence[FileTable]) -> None:
    """UnusableFile where the layout names a column that none of these tables has."""
    everything = list(dict.fromkeys(name for raw in raws for name in raw.names))
    entries: dict[str, Iterable[str | None]] = {
        "[columns]": layout.columns,
        "[session] from": layout.session_from,
        "[fill_down] columns": layout.fill_down,
        "[lists]": layout.lists,
        "[rows] rods": [layout.rows.get("rods")],
        "[dates] clock_on": [layout.dates.clock_on],
        "[dates] clock_end_on": [layout.dates.clock_end_on],
    }
    for entry, name in ((entry, one or SHEET) for entry, of in entries.items() for one in of):
        patterns = {name} & layout.groups.keys()
        if name == SHEET or any(
            find_column(name, raw.names) or side_by_side(patterns, raw.names, layout.baits)
            for raw in raws
        ):
            continue
        near = [repr(one) for one in near_names(name, everything) if "{" not in name]
        meant = f" (did you mean {listed(near, 'or')}?)" if near else ""
        where = ", ".join(dict.fromkeys(raw.file for raw in raws))
        raise UnusableFile(
            f'{layout.name}: {entry} names the column "{name}", which {where} has not{meant}. '
            f"Its columns are {', '.join(everything)}. Correct the layout file, or remove that "
            "line."
        )
