"""Rows whose session cannot be read: the sessions beside them in the file wait with them.

Otherwise a trip whose third rod has a slip in its date would be counted with two rods only.
"""

from __future__ import annotations

from collections.abc import Iterable

from rodhours.logbook.layout.match import rods_of
from rodhours.logbook.rules.checked import Checked, any_filled
from rodhours.wording import log_rules as words

OF_A_STINT = ("variant", "hours", "fish", "cast_in", "cast_out")
TELL_APART = ("date", "start", "venue", "swim")
"""Columns of a session; where both have one and they differ, the row is of another session."""

SAID = 3
"""More such rows than this are counted."""


def hold_back_beside(checked: Checked) -> None:
    """Hold back the nearest sessions above and below each such row that it may belong to."""
    stints = checked.log.tables["stints"].columns
    said: list[str] = []
    tables = ["stints"] if any_filled(stints["fish"]) else ["stints", "catches"]
    for name in tables:
        labels = checked.log.tables[name].columns["session"]
        if None not in labels:
            continue
        nearest = _nearest(checked, name)
        rods = checked.log.tables[name].columns["rod"]
        # Where a rod fishes several stints of a session, it tells nothing.
        fished = (
            None
            if name == "catches" or _a_rod_twice(checked)
            else set(zip(checked.session_of[name], rods, strict=True))
        )
        for position, label in enumerate(labels):
            if label is not None or not _is_filled(checked, name, position):
                continue
            place = checked.log.place(name, position)
            beside = [
                number
                for number in dict.fromkeys(nearest[position])
                if number >= 0
                and (
                    fished is None
                    or rods[position] is None
                    or (number, rods[position]) not in fished
                )
                and _may_be(checked, name, position, number)
            ]
            newly = [number for number in beside if number not in checked.held_back]
            for number in newly:
                checked.held_back[number] = place
                checked.perhaps.add(number)
            if newly:
                names = [checked.keys[number][1] for number in newly]
                said.append(words.may_wait_too(place, names))
    if len(said) > SAID:
        said[SAID:] = [words.more_wait_too(len(said) - SAID)]
    checked.log.findings.hints.extend(said)


def _is_filled(checked: Checked, name: str, position: int) -> bool:
    """Whether the row is a stint or a fish at all, not a remark below the table."""
    if name == "catches":
        return True
    raw, _ = checked.log.raw(name, position)
    if raw.layout is not None and rods_of(raw, raw.layout):
        # A row of a wide log is a trip of its own.
        return False
    columns = checked.log.tables[name].columns
    return any(columns[column][position] is not None for column in OF_A_STINT)


def _nearest(checked: Checked, name: str) -> list[tuple[int, int]]:
    """For each row the nearest session that is known above it and below, in its own sheet or file.

    -1 where there is none.
    """
    source, numbers = checked.log.tables[name].source, checked.session_of[name]

    def last_known(positions: Iterable[int]) -> list[int]:
        found, last, sheet = [], -1, -1
        for position in positions:
            if source[position] != sheet:
                last, sheet = -1, source[position]
            found.append(last)
            last = numbers[position] if numbers[position] >= 0 else last
        return found

    count = len(numbers)
    below = last_known(reversed(range(count)))
    return list(zip(last_known(range(count)), reversed(below), strict=True))


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
    """Whether nothing that the row says of its session is said otherwise of that one."""
    rows = checked.log.tables[name]
    angler = rows.columns["angler"][position]
    if angler is not None and angler != checked.keys[number][0]:
        return False
    for column in TELL_APART:
        carried = rows.moved.get(column)
        own = carried[position] if carried is not None else None
        held = checked.records.get(column, {}).get(number)
        if own is not None and held is not None and own != held:
            return False
    return True
