"""Which column of a file is meant by a name in a layout, and the error where there is none."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from rodhours.errors import UnusableFile
from rodhours.logbook.layouts.layout import ROD, Layout, plain
from rodhours.logbook.raw_table import RawTable
from rodhours.near import near_names
from rodhours.wording import layouts as words


def find_column(name: str, header: Sequence[str]) -> str | None:
    """The column of that name; capitals and spaces do not matter where only one is left then."""
    if name in header:
        return name
    alike = [one for one in header if one and plain(one) == plain(name)]
    return alike[0] if len(alike) == 1 else None


def wide_groups(patterns: Iterable[str], header: Sequence[str]) -> dict[str, dict[str, str]]:
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


def check_columns(layout: Layout, raws: Sequence[RawTable]) -> None:
    """UnusableFile where the layout names a column that none of these tables has."""
    headers = [[name for name in raw.header if name] for raw in raws]
    where = ", ".join(dict.fromkeys(raw.file for raw in raws))
    named = [
        *(("[columns]", name) for name in layout.columns),
        *(("[session] from", name) for name in layout.session_from),
        *(("[fill_down] columns", name) for name in layout.fill_down),
        *(
            (f"[dates] {entry}", name)
            for entry, name in (
                ("clock_on", layout.dates.clock_on),
                ("clock_end_on", layout.dates.clock_end_on),
            )
            if name is not None
        ),
    ]
    everything = list(dict.fromkeys(name for header in headers for name in header))
    for entry, name in named:
        if all(find_column(name, header) is None for header in headers):
            near = near_names(name, everything)
            raise UnusableFile(
                words.no_such_column(layout.name, entry, name, near, everything, where)
            )
    for pattern in layout.wide.values():
        if not any(wide_groups([pattern], header) for header in headers):
            raise UnusableFile(
                words.no_such_column(layout.name, "[wide]", pattern, [], everything, where)
            )
