"""The logbook's current log as the tables of the open format: names of columns, rows of cells.

Columns that are filled nowhere are left out, rows stand in an order that follows from their
content alone, so that the same log gives the same tables.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rodhours.log.catches import FISH_LISTED
from rodhours.log.history import OPENED_KEY
from rodhours.log.logbook import Logbook
from rodhours.log.relabelling import BAG_CODES, told
from rodhours.log.tables import CATCHES, SESSIONS, STINTS, UNREAD, VARIANTS, Kind, Table

Cell = str | float | int | None
Cells = dict[str, Any]


@dataclass(frozen=True)
class OpenTable:
    """A table of the open format: the names of its columns and its rows, None for an empty cell."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def open_tables(book: Logbook) -> tuple[OpenTable, ...]:
    """Stints, sessions, catches and variants, all four of them, be it without rows."""
    by_date = ("date", "start", "session", "angler")
    sessions = sorted(
        map(dict, book.sessions()), key=lambda row: [row[name] or "" for name in by_date]
    )
    trips = {row["id"]: {name: row[name] for name in ("session", "angler")} for row in sessions}
    stints: list[Cells] = [{**trips[row["session_id"]], **dict(row)} for row in book.stints()]
    catches = [{**trips[row["session_id"]], **dict(row)} for row in book.catches()]
    listed = Counter(row["stint_id"] for row in catches if row["outcome"] != "lost")
    if any(row["fish"] is not None for row in stints):
        # One table has one column: where some counts come from catches, they are written out.
        for row in stints:
            row["fish"] = listed[row["id"]] if row["fish"] is None else row["fish"]
    with_list = {row["session_id"] for row in catches}
    # In a log that lists the fish of others, some sessions may only count them.
    counted = {row["session_id"] for row in stints if with_list and row["fish"]} - with_list
    for row in sessions:
        row[FISH_LISTED] = "no" if row["id"] in counted else None
    codes = {book.labels().of(bait): text for bait, text in told(book.standing(OPENED_KEY)).items()}
    recipes = {str(row["variant"]): row for row in book.variants()}
    for bait, text in codes.items():
        recipes[bait] = {**recipes.get(bait, {"variant": bait}), BAG_CODES: text}
    places = {number: place for place, number in enumerate(trips)}
    return (
        _table(STINTS, ((places[row["session_id"]], row) for row in stints)),
        _table(SESSIONS, enumerate(sessions)),
        _table(CATCHES, ((places[row["session_id"]], row) for row in catches)),
        _table(VARIANTS, ((0, row) for row in recipes.values())),
    )


def _table(table: Table, placed: Iterable[tuple[int, Cells]]) -> OpenTable:
    """The rows, each with its place among the sessions and its unknown columns in one JSON text."""
    known = {*table.names, FISH_LISTED, BAG_CODES}
    weights = [column.name for column in table.columns if column.kind is Kind.WEIGHT]
    rows: list[tuple[int, Cells]] = []
    for place, row in placed:
        cells = {name: row[name] for name in row if name in known}
        for name in weights:
            if cells.get(name) is not None:
                cells[name] = f"{text_of(cells[name])} kg"
        for name, text in json.loads(row.get("extra") or "{}").items():
            cells[name.removeprefix(UNREAD)] = text
        rows.append((place, cells))
    filled = {name for _, row in rows for name, cell in row.items() if cell is not None}
    own = filled.difference(table.names)
    columns = (
        *(column.name for column in table.columns if column.needed or column.name in filled),
        *sorted(own, key=lambda name: (name == BAG_CODES, name != FISH_LISTED, name)),
    )

    def key(one: tuple[int, Cells]) -> tuple[Any, ...]:
        """By session, by rod (2 before 10), then by all its cells as text."""
        rod = str(one[1].get("rod") or "")
        return one[0], len(rod), rod, [text_of(one[1].get(name)) for name in columns]

    in_order = sorted(rows, key=key)
    return OpenTable(
        table.name, columns, tuple(tuple(map(row.get, columns)) for _, row in in_order)
    )


def text_of(cell: Cell) -> str:
    """A cell as text: numbers with every digit they have, so that they come back the same."""
    if cell is None:
        return ""
    if isinstance(cell, float):
        if cell.is_integer() and abs(cell) < 1e15:
            return str(int(cell))
        return format(Decimal(repr(cell)), "f")
    return str(cell)
