"""One record for each session and variant, from their tables and from what stints carried."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.log.reading import MOVED_SESSIONS, MOVED_VARIANTS
from rodhours.log.rules.checked import CHOOSE_SESSION_COLUMNS, Checked, first_rows
from rodhours.log.table import Log
from rodhours.log.tables import ESSENTIAL

UNKNOWN = (None, -1)
"""No variant, and no session."""
MAKE_A_TRIP = ("date", "start", "venue")


def gather_records(checked: Checked) -> None:
    """The sessions' own columns: one row a session, and stints that agree with it."""
    log = checked.log
    sessions, stints = log.tables["sessions"], log.tables["stints"]
    numbers = checked.session_of["sessions"]
    first = first_rows(numbers)
    for position, number in enumerate(numbers):
        earlier = first.get(number, position)
        if earlier != position:
            says = f"one row for each session; {log.place('sessions', earlier)} has it already"
            differing = [
                column
                for column in MAKE_A_TRIP
                if sessions.columns[column][position] != sessions.columns[column][earlier]
            ]
            if differing:
                says += f" with another {' and '.join(differing)}. {CHOOSE_SESSION_COLUMNS}"
            log.problem("sessions", position, "session", says)
    own_rows = {number: ("sessions", row) for number, row in first.items()}
    for column in (one.name for one in MOVED_SESSIONS):
        known = _filled(numbers, sessions.columns[column])
        carried = stints.moved.get(column)
        if carried is not None:
            of_stints = checked.session_of["stints"]
            found = _agreed(of_stints, carried, known)
            if found is None and column in ESSENTIAL:
                what = f"session; {CHOOSE_SESSION_COLUMNS}" if column in MAKE_A_TRIP else "session"
                found = _settled(log, column, (of_stints, carried), known, own_rows, what)
            known.update(_kept_by_stint(checked, column, known) if found is None else found)
        known.pop(-1, None)
        checked.records[column] = known
    for name, values in sessions.extras.items():
        checked.record_extras[name] = _filled(numbers, values)
        checked.record_extras[name].pop(-1, None)


def gather_variants(checked: Checked) -> None:
    """One record for each variant: its row in `variants`, and what stints carried of it."""
    log = checked.log
    variants, stints = log.tables["variants"], log.tables["stints"]
    positions: dict[str, list[int]] = defaultdict(list)
    for position, name in enumerate(variants.columns["variant"]):
        if name is not None:
            positions[name].append(position)
    values = [*variants.columns.values(), *variants.extras.values()]
    for name, repeated in positions.items():
        checked.variant_rows[name] = repeated[0]
        same = len({tuple(column[p] for column in values) for p in repeated}) == 1
        for position in (repeated[1:] if same else repeated) if len(repeated) > 1 else ():
            other = repeated[0] if position != repeated[0] else repeated[1]
            says = f"one row for each variant; {log.place('variants', other)} is of {name} too"
            log.problem("variants", position, "variant", says)
    labels, rows = stints.columns["variant"], checked.variant_rows
    own_rows = {name: ("variants", row) for name, row in rows.items()}
    for column in (one.name for one in MOVED_VARIANTS):
        cells = stints.moved.get(column)
        if cells is not None:
            known = _filled(list(rows), [variants.columns[column][row] for row in rows.values()])
            found = _agreed(labels, cells, known)
            if found is None:
                found = _settled(log, column, (labels, cells), known, own_rows, "variant")
            for name, value in found.items():
                checked.carried.setdefault(name, {})[column] = value


def _filled(keys: Sequence[Any], values: Sequence[Any]) -> dict[Any, Any]:
    return {key: value for key, value in zip(keys, values, strict=True) if value is not None}


def _agreed(
    keys: Sequence[Any], values: Sequence[Any], known: Mapping[Any, Any]
) -> dict[Any, Any] | None:
    """What rows say of their session or variant; None where it is not one thing of each."""
    pairs = set(zip(keys, values, strict=True))
    if None in keys or None in values:
        pairs = {(key, value) for key, value in pairs if key is not None and value is not None}
    of = dict(pairs)
    return of if len(pairs | set(known.items())) == len({*known, *of}) else None


def _settled(
    log: Log,
    column: str,
    said: tuple[Sequence[Any], Sequence[Any]],
    known: Mapping[Any, Any],
    own_rows: Mapping[Any, tuple[str, int]],
    what: str,
) -> dict[Any, Any]:
    """What its own row, else most stints, say of each session or variant; others are named.

    `said` are the keys and the cells of the stints, `known` what is filled in the `own_rows`.
    """
    rows: dict[Any, dict[Any, list[int]]] = defaultdict(lambda: defaultdict(list))
    for position, (key, value) in enumerate(zip(*said, strict=True)):
        if key not in UNKNOWN and value is not None:
            rows[key][value].append(position)
    settled = {}
    for key, by_value in rows.items():
        right = known.get(key, max(by_value, key=lambda value: len(by_value[value])))
        settled[key] = right
        place = own_rows[key] if key in known else ("stints", by_value[right][0])
        for value, positions in by_value.items():
            for position in positions if value != right else ():
                says = f"{right}, as {log.place(*place)} says of the same {what}"
                log.problem("stints", position, column, says)
    return settled


def _kept_by_stint(checked: Checked, column: str, known: Mapping[int, Any]) -> dict[int, Any]:
    """What all stints of a session say alike; what differs from rod to rod stays with them."""
    stints, numbers = checked.log.tables["stints"], checked.session_of["stints"]
    carried = stints.moved[column]
    said: dict[int, set[Any]] = defaultdict(set)
    for number, value in zip(numbers, carried, strict=True):
        if value is not None and number >= 0:
            said[number].add(value)
    alike = {
        number: next(iter(values))
        for number, values in said.items()
        if len(values) == 1 and known.get(number) in (None, *values)
    }
    stints.extras[column] = [
        None if value is None or number < 0 or number in alike else str(value)
        for number, value in zip(numbers, carried, strict=True)
    ]
    return alike
