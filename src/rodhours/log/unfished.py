"""Rows of a rotation's CSV that were never fished are passed over, and that is said.

Only a table with the column `planned` is treated so: there an untouched row is a plan, while in
any other log an empty count is a mistake.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.errors import UnusableFile
from rodhours.log.table import FileTable

PLANNED = "planned"
"""The column of the variant that was planned."""
FILLED_IN = ("hours", "cast_in", "cast_out", "fish", "lost")
"""A row with any of these was fished."""
TRIPS_NAMED = 3


def without_unfished(raws: Sequence[FileTable]) -> tuple[list[FileTable], list[str]]:
    """The tables without the planned rows in which nothing was filled in, and a hint on each.

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


def _fished(raw: FileTable) -> tuple[FileTable, str | None]:
    if raw.table != "stints" or PLANNED not in raw.header:
        return raw, None
    filled = [raw.columns[raw.header.index(name)] for name in FILLED_IN if name in raw.header]
    kept = [
        position
        for position in range(len(raw.rows))
        if position in raw.misfits or any(column[position].strip() for column in filled)
    ]
    if len(kept) == len(raw.rows):
        return raw, None
    return raw.only(kept), _hint(raw, set(kept))


def _hint(raw: FileTable, kept: set[int]) -> str:
    sheet = f", sheet {raw.sheet}" if raw.sheet is not None else ""
    unfished = len(raw.rows) - len(kept)
    rows = "1 planned row has" if unfished == 1 else f"{unfished} planned rows have"
    trips = ""
    if "session" in raw.header:
        of_row = raw.columns[raw.header.index("session")]
        fished = {of_row[position] for position in kept}
        whole = [one for one in dict.fromkeys(of_row) if one.strip() and one not in fished]
        if whole:
            more = f" and {len(whole) - TRIPS_NAMED} more" if len(whole) > TRIPS_NAMED else ""
            trips = f" (whole trips: {', '.join(whole[:TRIPS_NAMED])}{more})"
    return (
        f"{raw.file}{sheet}: {rows} nothing filled in and {'is' if unfished == 1 else 'are'} "
        f"passed over as not fished{trips}. A trip that was fished without a fish is written "
        "with its hours and 0: blanks are evidence."
    )
