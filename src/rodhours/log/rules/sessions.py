"""Who belongs to which session: their numbers, each row's, and sessions that wait for a row.

A table without anglers takes them from the other tables where a label has only one. One file that
names a session's angler in some of its rows only is refused: it would be two sessions.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, repeat
from operator import itemgetter

from rodhours.counts import tallied
from rodhours.log.rules.checked import Checked, Key, any_filled
from rodhours.log.table import Rows

OF_A_STINT = ("variant", "hours", "fish", "cast_in", "cast_out")
TELL_APART = ("date", "start", "venue", "swim")
"""Columns of a session; where both have one and they differ, the row is of another session."""
SAID = 3
"""More rows whose session cannot be read than this are counted."""

Anglers = dict[str, set[str | None]]
"""The anglers of each session label."""


def find_sessions(checked: Checked) -> None:
    """Number the sessions and give every row its session."""
    log = checked.log
    tables = {name: log.tables[name] for name in ("stints", "sessions", "catches")}
    labels = {name: rows.columns["session"] for name, rows in tables.items()}
    anglers = {name: list(rows.columns["angler"]) for name, rows in tables.items()}
    unclear: list[tuple[str, int, str]] = []
    if any_filled(anglers["sessions"]):
        named = _anglers_by_label(tables["sessions"])
        own = _anglers_by_label(tables["stints"])
        left = {label for label, of_label in own.items() if not of_label - {None}}
        unclear += _take_over("stints", anglers["stints"], labels["stints"], named, left)
    if any_filled(anglers["stints"]):
        named = {}
        for angler, label in zip(anglers["stints"], labels["stints"], strict=True):
            named.setdefault(label, set()).add(angler)
        clear = {label for label, of_label in named.items() if None not in of_label}
        for name in ("sessions", "catches"):
            unclear += _take_over(name, anglers[name], labels[name], named, clear)
    half_named = _half_named(checked, anglers["stints"])
    unclear += half_named
    numbers: dict[Key, int] = {}
    unclear_rows = {(name, position) for name, position, _ in unclear}
    for name in labels:
        keys = list(zip(anglers[name], labels[name], strict=True))
        for key in dict.fromkeys(keys):
            if key[1] is not None:
                numbers.setdefault(key, len(numbers))
        checked.session_of[name] = list(map(numbers.get, keys, repeat(-1)))
    for name, position in unclear_rows:
        checked.session_of[name][position] = -1
    checked.keys = list(numbers)
    for name, position, label in unclear:
        says = (
            f"the angler, as other rows of session {label} have it"
            if (name, position, label) in half_named
            else f"the angler: more than one person used the session label {label}"
        )
        log.problem(name, position, "angler", says)
        checked.unclear_labels.setdefault(label, log.place(name, position))


def _half_named(checked: Checked, anglers: list[str | None]) -> list[tuple[str, int, str]]:
    """The stints without an angler that stand together with stints of their session that have one.

    Two people's rows under one label stand apart.
    """
    if None not in anglers or not any_filled(anglers):
        return []
    stints = checked.log.tables["stints"]
    found = []
    rows = enumerate(zip(stints.source, stints.columns["session"], strict=True))
    for (_, label), run in groupby(rows, key=itemgetter(1)):
        positions = [position for position, _ in run]
        without = [position for position in positions if anglers[position] is None]
        if label is not None and 0 < len(without) < len(positions):
            found += [("stints", position, label) for position in without]
    return found


def _anglers_by_label(rows: Rows) -> Anglers:
    found: Anglers = {}
    for angler, label in zip(rows.columns["angler"], rows.columns["session"], strict=True):
        found.setdefault(label, set()).add(angler)
    return found


def _take_over(
    table: str,
    anglers: list[str | None],
    labels: Sequence[str | None],
    named: Anglers,
    wanted: set[str],
) -> list[tuple[str, int, str]]:
    """Give rows with a label in `wanted` and no angler the only one that has it elsewhere.

    What is left are the rows that may be of several anglers.
    """
    unclear = []
    for position, (angler, label) in enumerate(zip(anglers, labels, strict=True)):
        if angler is None and label is not None and label in wanted:
            possible = named.get(label, {None})
            if len(possible) == 1:
                anglers[position] = next(iter(possible))
            else:
                unclear.append((table, position, label))
    return unclear


def hold_back_above(checked: Checked) -> None:
    """Hold back the session above each row whose session cannot be read, where it may be of it.

    Otherwise a trip whose third rod has a slip in its date would be counted with two rods only.
    """
    stints = checked.log.tables["stints"].columns
    said: list[str] = []
    for name in ["stints"] if any_filled(stints["fish"]) else ["stints", "catches"]:
        rows = checked.log.tables[name]
        if None not in rows.columns["session"]:
            continue
        numbers, rods = checked.session_of[name], rows.columns["rod"]
        # Where a rod fishes several stints of a session, it tells nothing.
        fished = (
            set()
            if name == "catches" or _a_rod_twice(checked)
            else {*zip(numbers, rods, strict=True)}
        )
        above, source = -1, -1
        for position, label in enumerate(rows.columns["session"]):
            if rows.source[position] != source:
                above, source = -1, rows.source[position]
            if (
                label is None
                and above >= 0
                and above not in checked.held_back
                and (rods[position] is None or (above, rods[position]) not in fished)
                and _may_be(checked, name, position, above)
            ):
                place = checked.log.place(name, position)
                checked.held_back[above] = place
                checked.perhaps.add(above)
                said.append(
                    f"{place}: which session this row is of cannot be read, so session "
                    f"{checked.keys[above][1]} above it waits with it: it may be a part of that "
                    "one."
                )
            above = numbers[position] if numbers[position] >= 0 else above
    if len(said) > SAID:
        more = tallied(len(said) - SAID, "further row")
        said[SAID:] = [f"The same holds for {more}: the sessions above them wait too."]
    checked.log.findings.hints.extend(said)


def _a_rod_twice(checked: Checked) -> bool:
    """Whether any session has two stints of one rod."""
    rods = checked.log.tables["stints"].columns["rod"]
    pairs = [
        (number, rod)
        for number, rod in zip(checked.session_of["stints"], rods, strict=True)
        if number >= 0 and rod is not None
    ]
    return len(set(pairs)) < len(pairs)


def _may_be(checked: Checked, name: str, position: int, number: int) -> bool:
    """Whether the row is a stint or a fish, and says nothing of its session that is said otherwise.

    A row of a wide log is a trip of its own.
    """
    rows = checked.log.tables[name]
    raw, _ = checked.log.raw(name, position)
    if name == "stints" and (
        raw.own or all(rows.columns[column][position] is None for column in OF_A_STINT)
    ):
        return False
    angler = rows.columns["angler"][position]
    if angler is not None and angler != checked.keys[number][0]:
        return False
    for column in TELL_APART:
        own = rows.moved[column][position] if column in rows.moved else None
        held = checked.records.get(column, {}).get(number)
        if own is not None and held is not None and own != held:
            return False
    return True
