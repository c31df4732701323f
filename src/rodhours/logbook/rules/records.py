"""The sessions' own columns, from `sessions` and from what stints carried: they must agree."""

from __future__ import annotations

from typing import Any

from rodhours.logbook.reading import MOVED_SESSIONS
from rodhours.logbook.rules.checked import Checked
from rodhours.wording import log_rules as words


def gather_records(checked: Checked) -> None:
    """The sessions' own columns, from `sessions` and from what stints carried."""
    log = checked.log
    sessions, stints = log.tables["sessions"], log.tables["stints"]
    first_row: dict[int, int] = {}
    for position, number in enumerate(checked.session_of["sessions"]):
        if number < 0:
            continue
        if number in first_row:
            earlier = first_row[number]
            differing = [
                column
                for column in ("date", "start", "venue")
                if sessions.columns[column][position] != sessions.columns[column][earlier]
            ]
            says = words.one_row_a_session(log.place("sessions", earlier), differing)
            log.problem("sessions", position, "session", says)
        else:
            first_row[number] = position
    for column in MOVED_SESSIONS:
        known = {
            number: value
            for number, value in zip(
                checked.session_of["sessions"], sessions.columns[column.name], strict=True
            )
            if value is not None
        }
        carried = stints.moved.get(column.name)
        if carried is not None:
            pairs = {
                pair
                for pair in zip(checked.session_of["stints"], carried, strict=True)
                if pair[1] is not None
            }
            if len(pairs | set(known.items())) == len({*known, *(number for number, _ in pairs)}):
                known.update(pairs)
            else:
                _settle(checked, column.name, known, carried, first_row)
        known.pop(-1, None)
        checked.records[column.name] = known
    for name, values in sessions.extras.items():
        checked.record_extras[name] = {
            number: value
            for number, value in zip(checked.session_of["sessions"], values, strict=True)
            if value is not None and number >= 0
        }


def _settle(
    checked: Checked,
    column: str,
    known: dict[int, Any],
    carried: list[Any],
    session_rows: dict[int, int],
) -> None:
    """Name each stint whose session column is not what the session had before."""
    log = checked.log
    said_at: dict[int, tuple[str, int]] = {
        number: ("sessions", session_rows[number]) for number in known if number in session_rows
    }
    for position, (number, value) in enumerate(
        zip(checked.session_of["stints"], carried, strict=True)
    ):
        if value is None or number < 0:
            continue
        if number not in known:
            known[number] = value
            said_at[number] = ("stints", position)
        elif known[number] != value:
            says = words.session_says(
                known[number],
                log.place(*said_at[number]),
                is_another_session=column in ("date", "start", "venue"),
            )
            log.problem("stints", position, column, says)
