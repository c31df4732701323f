"""Who belongs to which session: the numbers of the sessions, and each row's.

A table without anglers takes them from the other tables where a label has only one.
"""

from __future__ import annotations

from rodhours.logbook.rules.checked import Checked, Key, any_filled
from rodhours.logbook.table import Rows
from rodhours.wording import log_rules as words


def find_sessions(checked: Checked) -> None:
    """Number the sessions and give every row its session.

    A table without anglers takes them from the other tables where a label has only one.
    """
    log = checked.log
    numbers: dict[Key, int] = {}
    stints = log.tables["stints"].columns
    stint_anglers = list(stints["angler"])
    named = {
        name: _anglers_by_label(log.tables[name])
        for name in ("stints", "sessions")
        if any_filled(log.tables[name].columns["angler"])
    }
    unclear: list[tuple[str, int, str]] = []
    if "sessions" in named:
        own, others = named.get("stints", {}), named["sessions"]
        for position, (angler, label) in enumerate(
            zip(stint_anglers, stints["session"], strict=True)
        ):
            if angler is None and not own.get(label, {None}) - {None}:
                possible = others.get(label, {None})
                if len(possible) == 1:
                    stint_anglers[position] = next(iter(possible))
                elif label is not None:
                    unclear.append(("stints", position, label))
    final: dict[str, set[str | None]] = {}
    if any_filled(stint_anglers):
        for angler, label in zip(stint_anglers, stints["session"], strict=True):
            final.setdefault(label, set()).add(angler)
    unclear_rows = {(table, position) for table, position, _ in unclear}
    for name in ("stints", "sessions", "catches"):
        columns = log.tables[name].columns
        anglers = stint_anglers if name == "stints" else list(columns["angler"])
        if final and name != "stints":
            for position, (angler, label) in enumerate(
                zip(anglers, columns["session"], strict=True)
            ):
                possible = final.get(label, {None})
                if angler is None and None not in possible:
                    if len(possible) == 1:
                        anglers[position] = next(iter(possible))
                    elif label is not None:
                        unclear.append((name, position, label))
                        unclear_rows.add((name, position))
        keys = list(zip(anglers, columns["session"], strict=True))
        for key in dict.fromkeys(keys):
            if key[1] is not None:
                numbers.setdefault(key, len(numbers))
        session_of = [numbers.get(key, -1) for key in keys]
        for table, position in unclear_rows:
            if table == name:
                session_of[position] = -1
        checked.session_of[name] = session_of
    checked.keys = list(numbers)
    for name, position, label in unclear:
        log.problem(
            name,
            position,
            "angler",
            words.whose_session(label),
        )
        checked.unclear_labels.setdefault(label, log.place(name, position))


def _anglers_by_label(rows: Rows) -> dict[str, set[str | None]]:
    found: dict[str, set[str | None]] = {}
    for angler, label in zip(rows.columns["angler"], rows.columns["session"], strict=True):
        found.setdefault(label, set()).add(angler)
    return found
