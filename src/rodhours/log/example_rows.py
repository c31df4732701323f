"""The example row of a blank trip log: how it is marked, and that an import leaves it aside.

The mark stands where the label of a session or variant would be: a row that bears it is nobody's
data. A row whose mark was overwritten is read like any other.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.log.table import FileTable

EXAMPLE_MARK = "EXAMPLE, not imported"


def without_example_rows(raws: Sequence[FileTable]) -> tuple[list[FileTable], list[str]]:
    """The tables without marked rows, and a hint for each file that had some.

    The example rows are no data rows: they are neither imported nor refused nor counted.
    """
    tables: list[FileTable] = []
    places: dict[str, list[str]] = {}
    for raw in raws:
        marked = {
            position
            for name, cells in zip(raw.header, raw.columns, strict=True)
            if name in ("session", "variant") and EXAMPLE_MARK in cells
            for position, cell in enumerate(cells)
            if cell == EXAMPLE_MARK
        }
        if marked:
            rows = [f"row {raw.rows[position]}" for position in sorted(marked)]
            sheet = f" of {raw.sheet}" if raw.sheet is not None else ""
            places.setdefault(raw.file, []).extend(row + sheet for row in rows)
            raw = raw.only(
                [position for position in range(len(raw.rows)) if position not in marked]
            )
        tables.append(raw)
    return tables, [_left_aside(file, rows) for file, rows in places.items()]


def _left_aside(file: str, places: Sequence[str]) -> str:
    rows = "The example row was" if len(places) == 1 else "Example rows were"
    return f"{file}: {rows} left aside ({', '.join(places)})."
