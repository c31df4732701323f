"""The rules between the rows of one import: who belongs to which session, and what must agree.

Fills in the hours from the times, notes every problem, and says which sessions are held back.
Each rule first asks a set whether all is well; rows are walked only where it is not.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from rodhours.logbook import units
from rodhours.logbook.catches import match_catches
from rodhours.logbook.labels import look_alikes
from rodhours.logbook.reading import MOVED_SESSIONS, MOVED_VARIANTS, Log, Rows

HOURS_TOLERANCE = 0.05 + 1e-9
"""Hours written to a tenth may differ from the times by half of one."""
LONG_STINT_HOURS = 168
CHOOSE_SESSION_COLUMNS = (
    "one session is one stay at one water: if these are two, choose which columns make a "
    "session, for example write the date or the water into the session label"
)

Key = tuple[str | None, str]
"""A session is known by angler and session label together."""


@dataclass
class Checked:
    """One import, checked: rows of `log` grouped into sessions by number.

    `keys` lists the sessions; `session_of` gives for each table of rows the number of each
    row's session, -1 where it cannot be told. `records` holds the sessions' own columns by
    session number, `record_extras` their unknown columns. `variant_rows` maps a variant to its
    row in `variants`; `carried_variants` holds what stints said of variants without such a row,
    `carried_at` the first row that did. `stint_of_catch` is the stint that had each fish.
    `held_back` maps the number of a session with a fault to the address of the faulty row.
    """

    log: Log
    keys: list[Key] = field(default_factory=list)
    session_of: dict[str, list[int]] = field(default_factory=dict)
    records: dict[str, dict[int, Any]] = field(default_factory=dict)
    record_extras: dict[str, dict[int, str]] = field(default_factory=dict)
    variant_rows: dict[str, int] = field(default_factory=dict)
    variant_fills: dict[str, dict[str, Any]] = field(default_factory=dict)
    carried_variants: dict[str, dict[str, Any]] = field(default_factory=dict)
    carried_at: dict[str, int] = field(default_factory=dict)
    stint_of_catch: list[int | None] = field(default_factory=list)
    held_back: dict[int, str] = field(default_factory=dict)
    unclear_labels: dict[str, str] = field(default_factory=dict)


def check_log(log: Log, zone: ZoneInfo | None) -> Checked:
    """Apply every rule between rows; `zone` None means the machine's own time zone."""
    checked = Checked(log)
    _fill_hours(log, zone)
    _find_sessions(checked)
    _gather_records(checked)
    _check_session_times(checked)
    _gather_variants(checked)
    _find_twins(checked)
    checked.stint_of_catch = match_catches(log, checked.session_of)
    _hold_back(checked)
    _point_out(checked)
    return checked


def _any_filled(column: list[Any]) -> bool:
    return column.count(None) < len(column)


def _refused(log: Log, table: str) -> set[int]:
    return {position for name, position in log.findings.reasons if name == table}


def _fill_hours(log: Log, zone: ZoneInfo | None) -> None:
    columns = log.tables["stints"].columns
    hours, began, ended = columns["hours"], columns["cast_in"], columns["cast_out"]
    timed = _any_filled(began) or _any_filled(ended)
    if None not in hours and not timed:
        return
    refused = _refused(log, "stints")
    instants: dict[str, Any] = {}
    for text in {*began, *ended} - {None}:
        try:
            instants[text] = units.instant(text, zone)
        except units.CellFault as fault:
            instants[text] = fault
    for position, (given, start, end) in enumerate(zip(hours, began, ended, strict=True)):
        if start is None or end is None:
            if given is None and position not in refused:
                log.problem(
                    "stints", position, "hours", "decimal hours above 0, or cast_in and cast_out"
                )
            continue
        first, last = instants[start], instants[end]
        for column, value in (("cast_in", first), ("cast_out", last)):
            if isinstance(value, units.CellFault):
                log.problem("stints", position, column, str(value))
        if isinstance(first, units.CellFault) or isinstance(last, units.CellFault):
            continue
        elapsed = units.elapsed_hours(first, last)
        if elapsed <= 0:
            log.problem("stints", position, "cast_out", f"a time after cast_in ({start})")
        elif given is not None and abs(given - elapsed) > HOURS_TOLERANCE:
            log.problem(
                "stints",
                position,
                "hours",
                f"hours that agree with cast_in and cast_out, which are {elapsed:.4g} h apart",
            )
        elif given is None and position not in refused:
            hours[position] = elapsed


def _find_sessions(checked: Checked) -> None:
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
        if _any_filled(log.tables[name].columns["angler"])
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
    if _any_filled(stint_anglers):
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
            f"the angler: more than one person used the session label {label}",
        )
        checked.unclear_labels.setdefault(label, log.place(name, position))


def _anglers_by_label(rows: Rows) -> dict[str, set[str | None]]:
    found: dict[str, set[str | None]] = {}
    for angler, label in zip(rows.columns["angler"], rows.columns["session"], strict=True):
        found.setdefault(label, set()).add(angler)
    return found


def _gather_records(checked: Checked) -> None:
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
            says = f"one row for each session; {log.place('sessions', earlier)} has it already"
            if differing:
                says += f" with another {' and '.join(differing)}. {CHOOSE_SESSION_COLUMNS}"
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
            says = f"{known[number]}, as {log.place(*said_at[number])} says of the same session"
            if column in ("date", "start", "venue"):
                says += f"; {CHOOSE_SESSION_COLUMNS}"
            log.problem("stints", position, column, says)


def _check_session_times(checked: Checked) -> None:
    records = checked.records
    at: dict[int, tuple[str, int]] = {}

    def problem(number: int, column: str, says: str) -> None:
        if not at:
            for name in ("stints", "sessions"):
                for position, owner in enumerate(checked.session_of[name]):
                    at[owner] = (name, position)
        name, position = at[number]
        checked.log.problem(name, position, column, says)

    for number, end in records["end"].items():
        start = records["start"].get(number)
        # With offsets of their own the texts cannot be compared as they stand.
        if start is not None and len(start) == len(end) == 16 and end < start:
            problem(number, "end", f"a time after start ({start})")
    for number, start in records["start"].items():
        date = records["date"].get(number)
        last = records["end"].get(number, start)[:10]
        if date is not None and not start[:10] <= date <= max(start[:10], last):
            problem(number, "date", f"a date that agrees with start ({start})")


def _gather_variants(checked: Checked) -> None:
    """One record for each variant, from `variants` and from what stints carried."""
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
            log.problem(
                "variants",
                position,
                "variant",
                f"one row for each variant; {log.place('variants', other)} is of {name} too",
            )
    labels = stints.columns["variant"]
    carried: dict[str, dict[str, Any]] = {}
    for column in MOVED_VARIANTS:
        cells = stints.moved.get(column.name)
        if cells is None:
            continue
        known = {
            name: variants.columns[column.name][position]
            for name, position in checked.variant_rows.items()
            if variants.columns[column.name][position] is not None
        }
        pairs = {
            pair
            for pair in zip(labels, cells, strict=True)
            if pair[0] is not None and pair[1] is not None
        }
        if len(pairs | set(known.items())) == len({*known, *(name for name, _ in pairs)}):
            found = dict(pairs)
        else:
            found = _settle_variants(log, column.name, known, labels, cells)
        for name, value in found.items():
            carried.setdefault(name, {})[column.name] = value
    for name, record in carried.items():
        if name in checked.variant_rows:
            checked.variant_fills[name] = record
        else:
            checked.carried_variants[name] = record
    if checked.carried_variants:
        for position in range(len(labels) - 1, -1, -1):
            if labels[position] in checked.carried_variants:
                checked.carried_at[labels[position]] = position


def _settle_variants(
    log: Log, column: str, known: dict[str, Any], labels: list[Any], cells: list[Any]
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
            log.problem(
                "stints", position, column, f"{settled[name]}, as {source} of the variant {name}"
            )
    return settled


def _find_twins(checked: Checked) -> None:
    """Rows of one session that say the same of the same rod, or stand in two files."""
    log = checked.log
    stints = log.tables["stints"]
    used = [
        column
        for name, column in stints.columns.items()
        if name not in ("session", "angler") and _any_filled(column)
    ]
    rows = list(zip(checked.session_of["stints"], *used, *stints.extras.values(), strict=True))
    if len(set(rows)) == len(rows):
        return
    refused = _refused(log, "stints")
    first: dict[tuple[Any, ...], int] = {}
    for position, row in enumerate(rows):
        if position in refused or row[0] < 0:
            continue
        earlier = first.setdefault(row, position)
        if earlier == position:
            continue
        if stints.columns["rod"][position] is not None:
            says = (
                f"a row that differs from {log.place('stints', earlier)}, which says the same of "
                "the same rod: remove one if it is written twice, or tell them apart (cast_in "
                "and cast_out, or a column of your own)"
            )
            log.problem("stints", position, "rod", says)
        elif stints.source[position] != stints.source[earlier]:
            says = (
                f"a row that is not in another file too ({log.place('stints', earlier)}): give "
                "each log once"
            )
            log.problem("stints", position, None, says)


def _hold_back(checked: Checked) -> None:
    log = checked.log
    for name, position in log.findings.reasons:
        if name == "variants":
            continue
        number = checked.session_of[name][position]
        if number >= 0:
            checked.held_back.setdefault(number, log.place(name, position))
    if checked.unclear_labels:
        for number, (_, label) in enumerate(checked.keys):
            if label in checked.unclear_labels:
                checked.held_back.setdefault(number, checked.unclear_labels[label])


def _point_out(checked: Checked) -> None:
    """Hints on what may be a slip but refuses nothing."""
    log = checked.log
    hints = log.findings.hints
    fished = set(checked.session_of["stints"])
    if "sessions" in log.given and len(log.tables["sessions"]):
        listed = set(checked.session_of["sessions"])
        for numbers, says in (
            (fished - listed, "in stints but not in sessions, so without date and water"),
            (listed - fished, "in sessions without a stint"),
        ):
            names = sorted(checked.keys[number][1] for number in numbers if number >= 0)
            if names:
                hints.append(f"{_some(names)}: {says}.")
    long = {*log.tables["stints"].columns["hours"]} - {None}
    if long and max(long) > LONG_STINT_HOURS:
        hints.append(
            f"Some stints are longer than a week (up to {max(long):.4g} "
            "hours): are these hours, not minutes?"
        )
    anglers = (log.tables[name].columns["angler"] for name in log.tables if name != "variants")
    for what, texts, keep in (
        ("variants", {*_labels(log, "variant")}, False),
        ("venues", {*checked.records["venue"].values()}, False),
        ("anglers", set().union(*anglers), False),
        ("sessions", {label for _, label in checked.keys}, True),
    ):
        hints.extend(hints_on_look_alikes(what, texts - {None}, keep))


def hints_on_look_alikes(what: str, texts: set[Any], keep_punctuation: bool = False) -> list[str]:
    """A hint for each group of labels that are probably one and the same."""
    return [
        f"The {what} {' and '.join(repr(label) for label in group)} are probably the same; "
        "they are kept as different ones until you write them alike."
        for group in look_alikes(texts, keep_punctuation=keep_punctuation)
    ]


def _labels(log: Log, column: str) -> set[Any]:
    return set().union(
        *(rows.columns[column] for rows in log.tables.values() if column in rows.columns)
    )


def _some(names: list[str]) -> str:
    shown = ", ".join(names[:5])
    kind = "Session" if len(names) == 1 else "Sessions"
    return f"{kind} {shown}" + (f" and {len(names) - 5} more" if len(names) > 5 else "")
