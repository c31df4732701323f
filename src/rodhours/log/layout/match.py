"""Which column of a file is meant by a name in a layout, and what becomes of each."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from rodhours.counts import listed
from rodhours.errors import UnusableFile
from rodhours.log.layout.layout import KEEP, LEAVE_OUT, ROD, Layout, plain
from rodhours.log.table import FileTable, known_columns
from rodhours.near import near_names


def find_column(name: str, header: Sequence[str]) -> str | None:
    """The column of that name; capitals and spaces do not matter where only one is left then."""
    if name in header:
        return name
    alike = [one for one in header if one and plain(one) == plain(name)]
    return alike[0] if len(alike) == 1 else None


def rod_groups(patterns: Iterable[str], header: Sequence[str]) -> dict[str, dict[str, str]]:
    """For each rod named in the header the columns that the patterns find: pattern to column."""
    groups: dict[str, dict[str, str]] = {}
    names: dict[str, str] = {}
    for pattern in patterns:
        before, after = plain(pattern).split(ROD)
        wanted = re.compile(rf"{re.escape(before)}(\S{{1,12}}){re.escape(after)}", re.IGNORECASE)
        for column in header:
            found = wanted.fullmatch(" ".join(column.split()))
            if found:
                rod = names.setdefault(plain(found[1]), found[1])
                groups.setdefault(rod, {}).setdefault(pattern, column)
    return groups


def rods_of(raw: FileTable, layout: Layout) -> dict[str, dict[str, str]]:
    """The rods of a wide log that have a column for the bait: each with our columns to theirs."""
    return {
        rod: {ours: found[pattern] for ours, pattern in layout.wide.items() if pattern in found}
        for rod, found in rod_groups(layout.wide.values(), raw.names).items()
        if layout.wide["variant"] in found
    }


def targets(raw: FileTable, layout: Layout) -> dict[str, str]:
    """What becomes of each column: our name, its own where it is kept, LEAVE_OUT.

    The columns of the rods of a wide log are not among them.
    """
    known, header = known_columns(raw.table), raw.names
    of_rods = {name for columns in rods_of(raw, layout).values() for name in columns.values()}
    named = {find_column(name, header): ours for name, ours in layout.columns.items()}
    found = {name: named.get(name, KEEP) for name in header if name not in of_rods}
    return {
        name: ours if ours == LEAVE_OUT or ours in known else name for name, ours in found.items()
    }


def names_of(raw: FileTable, layout: Layout) -> list[dict[str, str]]:
    """The file's names of our columns; of a wide log for each rod."""
    shared = {ours: name for name, ours in targets(raw, layout).items() if ours != LEAVE_OUT}
    rods = rods_of(raw, layout)
    return [shared | columns | {"rod": columns["variant"]} for columns in rods.values()] or [shared]


def fits(layout: Layout, raw: FileTable) -> int:
    """How many of a table's columns a layout names."""
    sheets = layout.file.get("sheets")
    if raw.sheet is not None and isinstance(sheets, list) and raw.sheet not in sheets:
        return 0
    return sum(find_column(name, raw.names) is not None for name in layout.columns) + len(
        rod_groups(layout.wide.values(), raw.names)
    )


def check_columns(layout: Layout, raws: Sequence[FileTable]) -> None:
    """UnusableFile where the layout names a column that none of these tables has."""
    headers = [raw.names for raw in raws]
    everything = list(dict.fromkeys(name for header in headers for name in header))
    where = ", ".join(dict.fromkeys(raw.file for raw in raws))
    entries: list[tuple[str, Iterable[str | None]]] = [
        ("[columns]", layout.columns),
        ("[session] from", layout.session_from),
        ("[fill_down] columns", layout.fill_down),
        ("[lists]", layout.lists),
        ("[rows] rods", [layout.rows.get("rods")]),
        ("[dates] clock_on", [layout.dates.clock_on]),
        ("[dates] clock_end_on", [layout.dates.clock_end_on]),
    ]
    for entry, names in entries:
        for name in names:
            if name is not None and all(find_column(name, header) is None for header in headers):
                raise _no_such_column(layout.name, entry, name, everything, where)
    for pattern in layout.wide.values():
        if not any(rod_groups([pattern], header) for header in headers):
            raise _no_such_column(layout.name, "[wide]", pattern, everything, where)


def _no_such_column(
    layout: str, entry: str, theirs: str, header: Sequence[str], where: str
) -> UnusableFile:
    near = [] if ROD in theirs else [repr(name) for name in near_names(theirs, header)]
    meant = f" (did you mean {listed(near, 'or')}?)" if near else ""
    return UnusableFile(
        f'{layout}: {entry} names the column "{theirs}", which {where} has not{meant}. Its '
        f"columns are {', '.join(header)}. Correct the layout file, or remove that line."
    )
