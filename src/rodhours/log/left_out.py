"""Sessions left out of every answer: a mark on a session, whose rows stay as they are.

All functions take a connection, inside a transaction where they write.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from dataclasses import asdict, dataclass
from typing import Any

from rodhours.counts import listed
from rodhours.errors import UsageError
from rodhours.log.change_texts import meant_perhaps
from rodhours.log.history import LEAVE_OUT, TAKE_BACK, record, standing


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
    marks = _marks(run)
    held = set(_sessions(run)) if marks else set()
    return sorted(
        (mark for key, mark in marks.items() if key in held),
        key=lambda mark: (mark.session, mark.angler or ""),
    )


def leave_out(run: sqlite3.Connection, session: str, angler: str | None, because: str) -> LeftOut:
    """Leave a session out of every answer.

    UsageError for a session that is not there, is more than one, or is left out already.
    """
    label, owner = _session(run, session, angler)
    mark = _marks(run).get((label, owner))
    if mark is not None:
        raise UsageError(f"Session {label} is left out already, because: {mark.because}")
    details = {"session": label, "angler": owner, "because": because}
    return LeftOut(label, owner, because, record(run, LEAVE_OUT, sessions=1, details=details))


def take_back(run: sqlite3.Connection, session: str, angler: str | None) -> LeftOut:
    """Count a session again that was left out; UsageError where it was not."""
    label, owner = _session(run, session, angler)
    mark = _marks(run).get((label, owner))
    if mark is None:
        raise UsageError(f"Session {label} is not left out; there is nothing to take back.")
    details = {"session": label, "angler": owner, "because": mark.because}
    return LeftOut(label, owner, mark.because, record(run, TAKE_BACK, sessions=1, details=details))


def _marks(run: sqlite3.Connection) -> dict[tuple[str, str | None], LeftOut]:
    """What the last standing change says that speaks of a session, be the session there or not."""
    marks = {}
    for change in standing(run, LEAVE_OUT, TAKE_BACK):
        mark = LeftOut(**change.details, change=change.id)
        key = mark.session, mark.angler
        if change.kind == LEAVE_OUT:
            marks[key] = mark
        else:
            marks.pop(key, None)
    return marks


def _sessions(run: sqlite3.Connection) -> list[tuple[str, str | None]]:
    rows = run.execute("SELECT session, angler FROM sessions WHERE id IN (SELECT id FROM current)")
    return [(session, angler) for session, angler in rows]


def _session(run: sqlite3.Connection, session: str, angler: str | None) -> tuple[str, str | None]:
    return the_one_meant(
        session, angler, _sessions(run), f"The logbook has no session '{session}'."
    )


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
