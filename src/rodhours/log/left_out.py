"""Sessions left out of every answer: a mark on a session, whose rows stay as they are.

All functions take a connection, inside a transaction where they write.
"""

from __future__ import annotations

import sqlite3
from dataclasses import asdict, dataclass
from typing import Any

from rodhours.errors import UsageError
from rodhours.log import change_texts as words
from rodhours.log.history import LEAVE_OUT, TAKE_BACK, record, standing
from rodhours.near import near_names


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
        raise UsageError(words.left_out_before(label, mark.because))
    details = {"session": label, "angler": owner, "because": because}
    return LeftOut(label, owner, because, record(run, LEAVE_OUT, sessions=1, details=details))


def take_back(run: sqlite3.Connection, session: str, angler: str | None) -> LeftOut:
    """Count a session again that was left out; UsageError where it was not."""
    label, owner = _session(run, session, angler)
    mark = _marks(run).get((label, owner))
    if mark is None:
        raise UsageError(words.not_left_out(label))
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
    """The one session meant, by its label and, where that is not enough, its angler."""
    held = _sessions(run)
    alike = [key for key in held if key[0] == session]
    if not alike:
        raise UsageError(
            words.no_such_session(session, near_names(session, {key[0] for key in held}))
        )
    if angler is not None:
        anglers = sorted({owner or "" for _, owner in alike})
        alike = [key for key in alike if (key[1] or "") == angler]
        if not alike:
            raise UsageError(words.not_that_anglers(session, angler, anglers))
    if len(alike) > 1:
        raise UsageError(words.several_anglers(session, sorted(key[1] or "" for key in alike)))
    return alike[0]
