"""Who belongs to which session: their numbers, each row's, and sessions that wait for a row.

A table without anglers takes them from the other tables where a label has only one. One file that
names a session's angler in some of its rows only is refused: it would be two sessions.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
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

Anglers = dict[str | None, set[str | None]]
"""The anglers of each session label."""


def find_sessions(checked: Checked) -> None:
    """Number the sessions and give every row its session."""
    log = checked.log
    tables = {name: log.tables[name] for name in ("stints", "sessions", "catches")}
    labels = {name: rows.columns["session"] for name, rows in tables.items()}
    anglers = {name: list(rows.columns["angler"]) for name, rows in tables.items()}
    unclear: dict[tuple[str, int], str] = {}
    several = "the angler: more than one person used the session label {}"

    def take_over(name: str, source: str, wanted: set[str | None]) -> None:
        """Give rows with a label in `wanted` and no angler the only one that has it elsewhere."""
        named = _by_label(labels[source], anglers[source])
        for position, (angler, label) in enumerate(zip(anglers[name], labels[name], strict=True)):
            if angler is None and label is not None and label in wanted:
                possible = named.get(label, {None})
                if len(possible) == 1:
                    (anglers[name][position],) = possible
                else:
                    unclear[name, position] = several

    if any_filled(anglers["sessions"]):
        own = _by_label(labels["stints"], anglers["stints"])
        take_over("stints", "sessions", {one for one, named in own.items() if named == {None}})
    if any_filled(anglers["stints"]):
        own = _by_label(labels["stints"], anglers["stints"])
        clear = {label for label, named in own.items() if None not in named}
        for name in ("sessions", "catches"):
            take_over(name, "stints", clear)
        if None in anglers["stints"]:
            for position in _half_named(tables["stints"], anglers["stints"]):
                says = "the angler, as other rows of session {} have it"
                unclear["stints", position] = says
    numbers: dict[Key, int] = {}
    for name in labels:
        keys = list(zip(anglers[name], labels[name], strict=True))
        for key in dict.fromkeys(keys):
            if key[1] is not None:
                numbers.setdefault(key, len(numbers))
        checked.session_of[name] = list(map(numbers.get, keys, repeat(-1)))
    checked.keys = list(numbers)
    for (name, position), says in unclear.items():
        label = labels[name][position]
        checked.session_of[name][position] = -1
        log.problem(name, position, "angler", says.format(label))
        checked.unclear_labels.setdefault(label, log.place(name, position))


def _by_label(labels: Sequence[str | None], anglers: Sequence[str | None]) -> Anglers:
    found: Anglers = defaultdict(set)
    for label, angler in zip(labels, anglers, strict=True):
        found[label].add(angler)
    return found


def _half_named(stints: Rows, anglers: Sequence[str | None]) -> Iterator[int]:
    """The stints without an angler that stand together with stints of their session that have one.

    Two people's rows under one label stand apart.
    """
    rows = enumerate(zip(stints.source, stints.columns["session"], strict=True))
    for (_, label), run in groupby(rows, key=itemgetter(1)):
        positions = [position for position, _ in run]
        without = [position for position in positions if anglers[position] is None]
        if label is not None and 0 < len(without) < len(positions):
            yield from without


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
        pairs = [pair for pair in zip(numbers, rods, strict=True) if pair[0] >= 0 and pair[1]]
        # Where a rod fishes several stints of a session, it tells nothing.
        tells = name == "stints" and len(set(pairs)) == len(pairs)
        fished = set(pairs) if tells else set()
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
