"""Hints on what may be a slip but refuses nothing."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from rodhours.counts import tallied
from rodhours.log.labels import look_alikes
from rodhours.log.rules.checked import Checked
from rodhours.log.table import Log


def point_out(checked: Checked) -> None:
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
                kind = "Session" if len(names) == 1 else "Sessions"
                more = f" and {len(names) - 5} more" if len(names) > 5 else ""
                hints.append(f"{kind} {', '.join(names[:5])}{more}: {says}.")
    hints += _one_trip_in_parts(checked)
    anglers = (log.tables[name].columns["angler"] for name in log.tables if name != "variants")
    for what, texts, keep in (
        ("variants", {*_labels(log, "variant")}, False),
        ("venues", {*checked.records["venue"].values()}, False),
        ("anglers", set().union(*anglers), False),
        ("sessions", {label for _, label in checked.keys}, True),
    ):
        hints.extend(hints_on_look_alikes(what, texts - {None}, keep))


def _one_trip_in_parts(checked: Checked) -> list[str]:
    """Sessions of one angler on one day and water that have no rod in common: rods of one trip?"""
    stints = checked.log.tables["stints"]
    together: dict[tuple[Any, ...], list[int]] = defaultdict(list)
    dates, venues = checked.records["date"], checked.records["venue"]
    for number, day in dates.items():
        together[checked.keys[number][0], day, venues.get(number)].append(number)
    shared = {number for numbers in together.values() if len(numbers) > 1 for number in numbers}
    if not shared:
        return []
    rods: dict[int, set[Any]] = defaultdict(set)
    for number, rod in zip(checked.session_of["stints"], stints.columns["rod"], strict=True):
        if number in shared:
            rods[number].add(rod)
    known = {number for number, some in rods.items() if None not in some}
    apart = []
    for where, numbers in together.items():
        of = [rods[number] for number in numbers if number in known]
        if len(of) > 1 and sum(map(len, of)) == len(set().union(*of)):
            apart.append((where, [number for number in numbers if number in known]))
    if not apart:
        return []
    (_, day, venue), numbers = apart[0]
    labels = " and ".join(checked.keys[number][1] for number in numbers[:3])
    there = f"{day} at {venue}" if venue else day
    more = f", and {tallied(len(apart) - 1, 'more day')} like it" if len(apart) > 1 else ""
    return [
        f"Sessions {labels} are of one angler on {there}, each with other rods{more}. "
        "If they are one trip, give them one session label: baits are compared within a trip."
    ]


def hints_on_look_alikes(what: str, texts: set[Any], keep_punctuation: bool = False) -> list[str]:
    """A hint for each group of labels that are probably one and the same."""
    return [
        f"The {what} {' and '.join(map(repr, group))} are probably the same; "
        "they are kept as different ones until you write them alike."
        for group in look_alikes(texts, keep_punctuation=keep_punctuation)
    ]


def _labels(log: Log, column: str) -> set[Any]:
    return set().union(
        *(rows.columns[column] for rows in log.tables.values() if column in rows.columns)
    )
