"""Rows that are no stints: the example of a blank log, rods of a rotation left empty.

A row with the example's mark is nobody's data. In a table with the column `planned` an untouched
row is a plan, while in any other log an empty count is a mistake. A trip with some rods filled in
and some not waits, for rods left out because they blanked would bend every answer.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from rodhours.counts import tallied
from rodhours.errors import UnusableFile
from rodhours.log.table import Fault, FileTable

PLANNED = "planned"
"""The column of the variant that was planned."""
UNFISHED = "unfished"
"""The column, on one stint of a trip, of what was planned for rods that were not fished."""
FILLED_IN = ("hours", "cast_in", "cast_out", "fish", "lost")
"""A row with any of these was fished."""
NOT_FISHED = re.compile(r"\s*(not[ _-]fished|unfished)\s*", re.IGNORECASE)
"""In any of those cells: the rod stayed out."""
BETWEEN = "; "
_EMPTY = (
    "filled in like the other rods of this trip, or say not fished under hours: nothing is said "
    "of the rod planned with {}."
)
_OF_EMPTY = re.compile(re.escape(_EMPTY).replace(r"\{\}", "(.*?)"))


def without_unfished(raws: Sequence[FileTable]) -> tuple[list[FileTable], list[str]]:
    """The tables without planned trips in which nothing was filled in, and a hint on each.

    Rows that say that the rod was not fished are taken off too, and what was planned for them is
    noted on the first row of their trip; rows left empty beside others of their trip are at fault.
    UnusableFile where nothing at all was filled in.
    """
    found = [_fished(raw) for raw in raws]
    kept = [raw for raw, _ in found]
    hints = [hint for _, hint in found if hint]
    stints = [raw for raw in kept if raw.table == "stints"]
    if hints and not any(raw.rows for raw in stints):
        raise UnusableFile(
            f"{stints[0].file}: nothing is filled in yet. Write the hours (or cast_in and "
            "cast_out) and the fish of each row that was fished; a blank is written 0."
        )
    return kept, hints


def planned_of_empty(reasons: Iterable[str]) -> Counter[str]:
    """How many rods wait because nothing was said of them, by what was planned for them."""
    return Counter(found[1] for reason in reasons if (found := _OF_EMPTY.search(reason)))


def _fished(raw: FileTable) -> tuple[FileTable, str | None]:
    if raw.table != "stints" or not {PLANNED, "session"} <= set(raw.header):
        return raw, None
    cells = raw.named_columns
    filled = [cells[name] for name in FILLED_IN if name in cells]
    out, empty, kept = set[int](), set[int](), list[int]()
    for position in range(len(raw.rows)):
        told = [column[position] for column in filled if column[position].strip()]
        if position not in raw.misfits and any(map(NOT_FISHED.fullmatch, told)):
            out.add(position)
        elif told or position in raw.misfits:
            kept.append(position)
        else:
            empty.add(position)
    trip_of, planned = cells["session"], cells[PLANNED]
    first = {trip_of[position]: position for position in reversed(kept)}
    waits = {position for position in empty if trip_of[position] in first}
    faults: list[Fault] = [
        (position, None, _EMPTY.format(planned[position].strip() or "no bait"), None)
        for position in sorted(waits)
        if planned[position].strip() or cells["variant"][position].strip()
    ]
    unfished: dict[int, list[str]] = {}
    for position in sorted(out):
        at = first.get(trip_of[position])
        if at is not None and planned[position].strip():
            unfished.setdefault(at, []).append(planned[position].strip())
    if unfished and UNFISHED not in cells:
        column = [BETWEEN.join(unfished.get(at, ())) for at in range(len(raw.rows))]
        raw = replace(raw, header=(*raw.header, UNFISHED), columns=(*raw.columns, column))
    raw = replace(raw, faults=(*raw.faults, *faults))
    said = (
        f"{raw.place_of_table}: {tallied(len(empty - waits), 'planned row')} with nothing filled "
        "in passed over as not fished. A trip that was fished without a fish is written with its "
        "hours and 0: blanks are evidence."
    )
    return raw.only(sorted({*kept, *waits})), said if empty - waits else None


EXAMPLE_MARK = "EXAMPLE, not imported"


def without_example_rows(raws: Sequence[FileTable]) -> tuple[list[FileTable], list[str]]:
    """The tables without marked rows, and a hint for each file that had some.

    The example rows are no data rows: they are neither imported nor refused nor counted.
    """
    tables: list[FileTable] = []
    hints: dict[str, None] = {}
    for raw in raws:
        named = [raw.named_columns.get(name, ()) for name in ("session", "variant")]
        marked = {at for cells in named for at, cell in enumerate(cells) if cell == EXAMPLE_MARK}
        if marked:
            hints[f"{raw.file}: the example rows were left aside."] = None
            raw = raw.only([at for at in range(len(raw.rows)) if at not in marked])
        tables.append(raw)
    return tables, list(hints)
