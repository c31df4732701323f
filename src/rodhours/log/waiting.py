"""Trips that no answer counts: those that wait to be imported or dropped, and those left out.

A refused row waits while the import that refused it stands, and no standing change has done with
it. A session left out is a mark; its rows stay. All functions take a connection, inside a
transaction where they write.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Mapping, Sequence, Set
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from rodhours.counts import listed
from rodhours.errors import UsageError
from rodhours.log.change_texts import meant_perhaps
from rodhours.log.history import DROP_WAITING, LEAVE_OUT, TAKE_BACK, record, standing

HELD_BACK = "held back"
"""The kind of a trip that is not in the logbook in any version."""
Key = tuple[str | None, str]


@dataclass(frozen=True)
class WaitingRow:
    """A refused row: its trip, its address, why it was refused, and its cells by column.

    `trip` is the session's label, or the row's address where that cannot be read; `kind` is what
    became of it (`held back`, `conflict`, `probable double`); `fish` those it says were landed.
    """

    trip: str
    angler: str | None
    kind: str
    file: str
    sheet: str | None
    of_table: str
    row: int
    reason: str
    cells: str
    fish: int

    @property
    def place(self) -> tuple[str, str | None, str, int]:
        """Where the row stood, wherever its file was."""
        return Path(self.file).name, self.sheet, self.of_table, self.row

    @property
    def written(self) -> str:
        """The cells as they were, separated by bars."""
        return " | ".join(json.loads(self.cells))

    def is_now(self, cells: Sequence[str]) -> bool:
        """Whether these cells are the row's own, but for one that was mended."""
        own = json.loads(self.cells)
        return len(own) == len(cells) and sum(map(str.__ne__, own, cells)) < 2


@dataclass(frozen=True)
class WaitingTrip:
    """A trip that waits, with its rows; `fish` are those its rows say were landed."""

    session: str
    angler: str | None
    kind: str
    fish: int
    rows: tuple[WaitingRow, ...]

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        names = ("file", "sheet", "of_table", "row", "reason")
        rows = [
            {name.removeprefix("of_"): getattr(row, name) for name in names}
            | {"cells": json.loads(row.cells)}
            for row in self.rows
        ]
        return vars(self) | {"rows": rows}


def waiting_rows(run: sqlite3.Connection) -> dict[int, WaitingRow]:
    """Every row that waits, by its number."""
    names = ", ".join(WaitingRow.__dataclass_fields__)
    rows = run.execute(f"SELECT id, {names} FROM waits ORDER BY id").fetchall()
    return {row[0]: WaitingRow(*row[1:]) for row in rows}


def waiting_trips(run: sqlite3.Connection) -> list[WaitingTrip]:
    """Every trip that waits; refused rows of `variants` are listed by the bait."""
    trips: dict[tuple[str, str | None, bool], list[WaitingRow]] = {}
    for row in waiting_rows(run).values():
        trips.setdefault((row.trip, row.angler, row.of_table == "variants"), []).append(row)
    for rows in trips.values():
        rows.sort(key=lambda row: (row.file, row.sheet or "", row.row))
    return [
        WaitingTrip(trip, angler, rows[0].kind, _fish(rows), tuple(rows))
        for (trip, angler, _), rows in trips.items()
    ]


def _fish(rows: Iterable[WaitingRow]) -> int:
    """The fish of a trip, be they counted in its stints, listed in catches, or both."""
    of_table = {"stints": 0, "catches": 0}
    for row in rows:
        if row.of_table in of_table:
            of_table[row.of_table] += row.fish
    return max(of_table.values())


def news(
    held: Mapping[int, WaitingRow],
    refused: Sequence[WaitingRow],
    here: Set[Key],
    taken: Mapping[tuple[str, str | None, str, int], Sequence[Sequence[str]]],
) -> tuple[list[WaitingRow], list[int]]:
    """The rows that wait from now on, and the numbers of those that wait no longer.

    `held` are those that wait already, `refused` the rows that an import refuses, `here` the
    sessions it does not refuse, `taken` the cells of the rows it does not, by place: a row a rod,
    where rods stand side by side. A row is done
    with where its session is here (one in conflict, or a double, by its own file alone), where it
    was taken under another label, and where its file refuses the trip otherwise now.
    """
    files = {(row.angler, row.trip, Path(row.file).name) for row in refused}
    again = set(refused)
    own_files = {place[0] for place in taken}
    done = []
    for number, row in held.items():
        key, name = (row.angler, row.trip), Path(row.file).name
        is_here = key in here and (row.kind == HELD_BACK or name in own_files)
        was_taken = any(map(row.is_now, taken.get(row.place, ())))
        if is_here or was_taken or ((*key, name) in files and row not in again):
            done.append(number)
    known = set(held.values())
    return [row for row in refused if row not in known], done


def keep(
    run: sqlite3.Connection, change: int, rows: Sequence[WaitingRow], done: Iterable[int]
) -> None:
    """Write what waits from a change on, and what waits no longer."""
    if rows:
        names = tuple(WaitingRow.__dataclass_fields__)
        marks = ", ".join("?" * (len(names) + 1))
        run.executemany(
            f"INSERT INTO waiting (change_id, {', '.join(names)}) VALUES ({marks})",
            ((change, *(getattr(row, name) for name in names)) for row in rows),
        )
    run.executemany(
        "INSERT INTO waiting_done (change_id, waiting_id) VALUES (?, ?)",
        ((change, number) for number in done),
    )


def drop(run: sqlite3.Connection, session: str, angler: str | None, because: str) -> WaitingTrip:
    """Take a trip off the list, into the history; UsageError where none, or several, are meant."""
    trips = waiting_trips(run)
    held = [(trip.session, trip.angler) for trip in trips]
    none = f"No trip '{session}' waits: rodhours waiting lists them."
    key = the_one_meant(session, angler, held, none)
    meant = [trip for trip in trips if (trip.session, trip.angler) == key]
    details = {"session": session, "angler": meant[0].angler, "because": because}
    change = record(run, DROP_WAITING, sessions=1, details=details)
    gone = {row for trip in meant for row in trip.rows}
    keep(run, change, (), [n for n, row in waiting_rows(run).items() if row in gone])
    return meant[0]


@dataclass(frozen=True)
class LeftOut:
    """A session that is left out of every answer, and why."""

    session: str
    angler: str | None
    because: str
    change: int

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        return asdict(self)


def left_out(run: sqlite3.Connection) -> list[LeftOut]:
    """Every session of the log that is left out, by label."""
    held = set(_sessions(run))
    marks = [mark for key, mark in _marks(run).items() if key in held]
    return sorted(marks, key=lambda mark: (mark.session, mark.angler or ""))


def leave_out(run: sqlite3.Connection, session: str, angler: str | None, because: str) -> LeftOut:
    """Leave a session out of every answer.

    UsageError for a session that is not there, is more than one, or is left out already.
    """
    key, mark = _session(run, session, angler)
    if mark is not None:
        raise UsageError(f"Session {session} is left out already, because: {mark.because}")
    return _marked(run, LEAVE_OUT, key, because)


def take_back(run: sqlite3.Connection, session: str, angler: str | None) -> LeftOut:
    """Count a session again that was left out; UsageError where it was not."""
    key, mark = _session(run, session, angler)
    if mark is None:
        raise UsageError(f"Session {session} is not left out; there is nothing to take back.")
    return _marked(run, TAKE_BACK, key, mark.because)


def _marked(
    run: sqlite3.Connection, kind: str, key: tuple[str, str | None], because: str
) -> LeftOut:
    details = {"session": key[0], "angler": key[1], "because": because}
    return LeftOut(*key, because, record(run, kind, sessions=1, details=details))


def _marks(run: sqlite3.Connection) -> dict[tuple[str, str | None], LeftOut]:
    """What the last standing change says that speaks of a session, be the session there or not."""
    marks: dict[tuple[str, str | None], LeftOut] = {}
    for change in standing(run, LEAVE_OUT, TAKE_BACK):
        mark = LeftOut(**change.details, change=change.id)
        marks.pop((mark.session, mark.angler), None)
        if change.kind == LEAVE_OUT:
            marks[mark.session, mark.angler] = mark
    return marks


def _sessions(run: sqlite3.Connection) -> list[tuple[str, str | None]]:
    rows = run.execute("SELECT session, angler FROM sessions WHERE id IN (SELECT id FROM current)")
    return [(session, angler) for session, angler in rows]


def _session(
    run: sqlite3.Connection, session: str, angler: str | None
) -> tuple[tuple[str, str | None], LeftOut | None]:
    """The one session meant, and its mark where it is left out."""
    none = f"The logbook has no session '{session}'."
    key = the_one_meant(session, angler, _sessions(run), none)
    return key, _marks(run).get(key)


def the_one_meant(
    session: str, angler: str | None, held: Collection[tuple[str, str | None]], none: str
) -> tuple[str, str | None]:
    """The one trip meant, by its label and, where that is not enough, its angler.

    UsageError, `none` where no trip has the label.
    """
    alike = {owner for label, owner in held if label == session}
    if not alike:
        raise UsageError(none + meant_perhaps(session, {label for label, _ in held}))
    names = listed([owner or "a trip without an angler" for owner in sorted(alike, key=str)])
    meant = [owner for owner in alike if angler is None or (owner or "") == angler]
    if not meant:
        raise UsageError(
            f"There is no session '{session}' of {angler}; that label is used by {names}."
        )
    if len(meant) > 1:
        without = ', or --angler "" for the one without.' if None in alike else "."
        raise UsageError(
            f"The session label '{session}' was used by {names}: name one with --angler{without}"
        )
    return session, meant[0]
