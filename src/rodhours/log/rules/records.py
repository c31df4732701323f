"""One record for each session and variant, from their tables and from what stints carried."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from typing import Any, TypeVar

from rodhours.log.reading import MOVED_SESSIONS, MOVED_VARIANTS
from rodhours.log.rules.checked import CHOOSE_SESSION_COLUMNS, Checked
from rodhours.log.table import Log
from rodhours.log.tables import ESSENTIAL

_Key = TypeVar("_Key", bound=Hashable)


def gather_records(checked: Checked) -> None:
    """The sessions' own columns: one row a session, and stints that agree with it."""
    log = checked.log
    sessions, stints = log.tables["sessions"], log.tables["stints"]
    numbers = checked.session_of["sessions"]
    first_row: dict[int, int] = {}
    for position, number in enumerate(numbers):
        earlier = first_row.setdefault(number, position)
        if number >= 0 and earlier != position:
            differing = [
                column
                for column in ("date", "start", "venue")
                if sessions.columns[column][position] != sessions.columns[column][earlier]
            ]
            says = f"one row for each session; {log.place('sessions', earlier)} has it already"
            if differing:
                says += f" with another {' and '.join(differing)}. {CHOOSE_SESSION_COLUMNS}"
            log.problem("sessions", position, "session", says)
    for column in MOVED_SESSIONS:
        known = _filled(numbers, sessions.columns[column.name])
        carried = stints.moved.get(column.name)
        if carried is not None:
            pairs = _agreed(checked.session_of["stints"], carried, known)
            if pairs is not None:
                known.update(pairs)
            elif column.name not in ESSENTIAL:
                _keep_by_stint(checked, column.name, known, carried)
            else:
                _settle_session(checked, column.name, known, carried, first_row)
        known.pop(-1, None)
        checked.records[column.name] = known
    for name, values in sessions.extras.items():
        checked.record_extras[name] = _filled(numbers, values)
        checked.record_extras[name].pop(-1, None)


def _filled(keys: Sequence[_Key], values: Sequence[Any]) -> dict[_Key, Any]:
    return {key: value for key, value in zip(keys, values, strict=True) if value is not None}


def _agreed(
    keys: Sequence[_Key], values: Sequence[Any], known: Mapping[_Key, Any]
) -> dict[_Key, Any] | None:
    """What rows say of their session or variant; None where it is not one thing of each."""
    pairs = set(zip(keys, values, strict=True))
    if None in keys or None in values:
        pairs = {(key, value) for key, value in pairs if key is not None and value is not None}
    of = dict(pairs)
    return of if len(pairs | set(known.items())) == len({*known, *of}) else None


def _settle_session(
    checked: Checked,
    column: str,
    known: dict[int, Any],
    carried: list[Any],
    session_rows: Mapping[int, int],
) -> None:
    """Name each stint whose session column is not what the session had before."""
    log = checked.log
    said_at = {number: ("sessions", session_rows[number]) for number in known}
    for position, (number, value) in enumerate(
        zip(checked.session_of["stints"], carried, strict=True)
    ):
        if value is None or number < 0:
            continue
        if number not in known:
            known[number] = value
            said_at[number] = ("stints", position)
        elif known[number] != value:
            says = f"{known[number]}, as {log.place(*said_at[number])} says of the same session"
            if column in ("date", "start", "venue"):
                says += f"; {CHOOSE_SESSION_COLUMNS}"
            log.problem("stints", position, column, says)


def _keep_by_stint(
    checked: Checked, column: str, known: dict[int, Any], carried: list[Any]
) -> None:
    """What differs from rod to rod stays with the stints, as a column of their own.

    What all stints of a session say alike is the session's.
    """
    numbers = checked.session_of["stints"]
    said: dict[int, set[Any]] = {}
    for number, value in zip(numbers, carried, strict=True):
        if value is not None and number >= 0:
            said.setdefault(number, set()).add(value)
    own = {number for number, values in said.items() if len(values) > 1} | {
        number for number, values in said.items() if number in known and {known[number]} != values
    }
    known.update({number: values.pop() for number, values in said.items() if number not in own})
    checked.log.tables["stints"].extras[column] = [
        None if value is None or number not in own else str(value)
        for number, value in zip(numbers, carried, strict=True)
    ]


def gather_variants(checked: Checked) -> None:
    """One record for each variant: its row in `variants`, and what stints carried of it."""
    log = checked.log
    variants, stints = log.tables["variants"], log.tables["stints"]
    positions: dict[str, list[int]] = {}
    for position, name in enumerate(variants.columns["variant"]):
        if name is not None:
            positions.setdefault(name, []).append(position)
    values = [*variants.columns.values(), *variants.extras.values()]
    for name, repeated in positions.items():
        checked.variant_rows[name] = repeated[0]
        if len(repeated) == 1:
            continue
        same = len({tuple(column[p] for column in values) for p in repeated}) == 1
        for position in repeated[1:] if same else repeated:
            other = repeated[0] if position != repeated[0] else repeated[1]
            says = f"one row for each variant; {log.place('variants', other)} is of {name} too"
            log.problem("variants", position, "variant", says)
    labels = stints.columns["variant"]
    carried: dict[str, dict[str, Any]] = {}
    for column in MOVED_VARIANTS:
        cells = stints.moved.get(column.name)
        if cells is None:
            continue
        rows = checked.variant_rows
        of_rows = [variants.columns[column.name][position] for position in rows.values()]
        known = _filled(list(rows), of_rows)
        found = _agreed(labels, cells, known)
        if found is None:
            found = _settle_variants(log, column.name, known, labels, cells)
        for name, value in found.items():
            carried.setdefault(name, {})[column.name] = value
    for name, record in carried.items():
        if name in checked.variant_rows:
            checked.variant_fills[name] = record
        else:
            checked.carried_variants[name] = record
    if checked.carried_variants:
        for position, label in enumerate(labels):
            if label in checked.carried_variants:
                checked.carried_at.setdefault(label, position)


def _settle_variants(
    log: Log, column: str, known: Mapping[str, Any], labels: list[Any], cells: list[Any]
) -> dict[str, Any]:
    """What most rows say of each variant (or its row in `variants`); name those that differ."""
    counts: dict[str, Counter[Any]] = {}
    for name, value in zip(labels, cells, strict=True):
        if name is not None and value is not None:
            counts.setdefault(name, Counter())[value] += 1
    settled = {name: known.get(name, count.most_common(1)[0][0]) for name, count in counts.items()}
    for position, (name, value) in enumerate(zip(labels, cells, strict=True)):
        if name is not None and value is not None and value != settled[name]:
            source = "the variants table says" if name in known else "other rows say"
            says = f"{settled[name]}, as {source} of the variant {name}"
            log.problem("stints", position, column, says)
    return settled
