"""The logbook's current log as the tables of the open format: names of columns, rows of cells.

Columns that are filled nowhere are left out, rows stand in an order that follows from their
content alone, so that the same log gives the same tables.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rodhours.log.bag_codes import BAG_CODES, told
from rodhours.log.catches import FISH_LISTED
from rodhours.log.history import OPENED_KEY
from rodhours.log.logbook import Logbook, Row
from rodhours.log.schema import CATCH_DATA, SESSION_DATA, STINT_DATA, VARIANT_DATA
from rodhours.log.tables import CATCHES, SESSIONS, STINTS, UNREAD, VARIANTS, Kind, Table

Cell = str | float | int | None


@dataclass(frozen=True)
class OpenTable:
    """A table of the open format: the names of its columns and its rows, None for an empty cell."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def open_tables(book: Logbook) -> tuple[OpenTable, ...]:
    """Stints, sessions, catches and variants, all four of them, be it without rows."""
    sessions, catches = book.sessions(), book.catches()
    stints: list[tuple[Any, ...]] = list(map(tuple, book.stints()))
    keys = {row["id"]: (row["session"], row["angler"]) for row in sessions}
    by_date = ("date", "start", "session", "angler")
    placed = sorted(sessions, key=lambda row: [row[name] or "" for name in by_date])
    order = {row["id"]: place for place, row in enumerate(placed)}
    listed = Counter(row["stint_id"] for row in catches if row["outcome"] != "lost")
    fish = 2 + STINT_DATA.index("fish")
    if any(row[fish] is not None for row in stints):
        # One table has one column: where some counts come from catches, they are written out.
        stints = [
            row if row[fish] is not None else (*row[:fish], listed[row[0]], *row[fish + 1 :])
            for row in stints
        ]
    unlisted = _unlisted(stints, catches, fish)
    codes = {book.labels().of(bait): text for bait, text in told(book.standing(OPENED_KEY)).items()}
    recipes = _table(
        VARIANTS,
        ("variant", *VARIANT_DATA),
        [(0, tuple(row.values())) for row in book.variants()],
    )
    return (
        _table(
            STINTS,
            ("session", "angler", *STINT_DATA),
            [(order[row[1]], (*keys[row[1]], *row[2:])) for row in stints],
        ),
        _table(
            SESSIONS,
            ("session", "angler", *SESSION_DATA),
            [(order[row[0]], row[1:]) for row in sessions],
            {order[number] for number in unlisted},
        ),
        _table(
            CATCHES,
            ("session", "angler", *CATCH_DATA),
            [(order[row[0]], (*keys[row[0]], *row[2:])) for row in catches],
        ),
        _with_codes(recipes, codes) if codes else recipes,
    )


def _with_codes(recipes: OpenTable, codes: Mapping[str, str]) -> OpenTable:
    """The table with the codes of its baits, and a row for each that has no recipe."""
    rows = [(*row, codes.get(str(row[0]))) for row in recipes.rows]
    empty = [None] * (len(recipes.columns) - 1)
    rows += [(bait, *empty, codes[bait]) for bait in codes.keys() - {row[0] for row in rows}]
    columns = (*recipes.columns, BAG_CODES)
    return OpenTable(recipes.name, columns, tuple(sorted(rows, key=lambda row: str(row[0]))))


def _unlisted(stints: Sequence[tuple[Any, ...]], catches: Sequence[Row], fish: int) -> set[int]:
    """The sessions whose fish are counted only, in a log that lists the fish of others."""
    with_list = {row["session_id"] for row in catches}
    if not with_list:
        return set()
    return {row[1] for row in stints if row[fish] and row[1] not in with_list}


def _table(
    table: Table,
    names: tuple[str, ...],
    placed: Iterable[tuple[int, tuple[Any, ...]]],
    unlisted: set[int] | None = None,
) -> OpenTable:
    """The rows, each with its place among the sessions and its unknown columns in one JSON text."""
    kinds = {column.name: column.kind for column in table.columns}
    rows = [
        (place, row[:-1], json.loads(row[-1]) if row[-1] is not None else {})
        for place, row in placed
    ]
    unread = {name for _, _, extra in rows for name in extra if name.startswith(UNREAD)}
    own = sorted(name.removeprefix(UNREAD) for name in unread)
    further = sorted({name for _, _, extra in rows for name in extra} - unread)
    # Cells of columns that belong to another table stand here, beside what differs by row.
    further = sorted({*further, *(set(own) - {*names})})
    marks = [FISH_LISTED] if unlisted else []
    needed = {column.name for column in table.columns if column.needed}
    declared = [name for name in table.names if name in names]
    at = {name: names.index(name) for name in declared}
    filled = [
        name
        for name in declared
        if name in needed or name in own or any(row[at[name]] is not None for _, row, _ in rows)
    ]
    cells = [
        (
            place,
            (
                *(extra.get(UNREAD + name, _cell(row[at[name]], kinds[name])) for name in filled),
                *("no" if place in (unlisted or ()) else None for _ in marks),
                *(extra.get(UNREAD + name, extra.get(name)) for name in further),
            ),
        )
        for place, row, extra in rows
    ]
    rod = filled.index("rod") if "rod" in filled else None
    cells.sort(key=lambda one: _place(one[0], one[1], rod))
    return OpenTable(table.name, (*filled, *marks, *further), tuple(row for _, row in cells))


def _place(session: int, row: tuple[Cell, ...], rod: int | None) -> tuple[Any, ...]:
    """Where a row stands: by session, by rod (2 before 10), then by all its cells as text."""
    position = "" if rod is None else str(row[rod] or "")
    return (session, len(position), position, tuple(map(text_of, row)))


def _cell(value: Any, kind: Kind) -> Cell:
    if value is not None and kind is Kind.WEIGHT:
        return f"{text_of(value)} kg"
    result: Cell = value
    return result


def text_of(cell: Cell) -> str:
    """A cell as text: numbers with every digit they have, so that they come back the same."""
    if cell is None:
        return ""
    if isinstance(cell, float):
        if cell.is_integer() and abs(cell) < 1e15:
            return str(int(cell))
        return format(Decimal(repr(cell)), "f")
    return str(cell)
