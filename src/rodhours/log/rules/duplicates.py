"""Duplicate rows, of one rod or of two files, and one label in two files: asked about."""

from __future__ import annotations

from typing import Any

from rodhours.log.rules.checked import Checked, any_filled, refused


def find_duplicates(checked: Checked) -> None:
    """Rows of one session that say the same of the same rod, or stand in two files."""
    log = checked.log
    stints = log.tables["stints"]
    used = [
        column
        for name, column in stints.columns.items()
        if name not in ("session", "angler") and any_filled(column)
    ]
    rows = list(zip(checked.session_of["stints"], *used, *stints.extras.values(), strict=True))
    if len(set(rows)) == len(rows):
        return
    refused_rows = refused(log, "stints")
    first: dict[tuple[Any, ...], int] = {}
    for position, row in enumerate(rows):
        if position in refused_rows or row[0] < 0:
            continue
        earlier = first.setdefault(row, position)
        if earlier == position:
            continue
        place = log.place("stints", earlier)
        if stints.columns["rod"][position] is not None:
            says = (
                f"a row that differs from {place}, which says the same of the same rod: remove "
                "one if it is written twice; if the rod fished twice, write one row with the hours "
                "and the fish of both, or tell them apart (cast_in and cast_out, or a column of "
                "your own)"
            )
            log.problem("stints", position, "rod", says)
        elif stints.source[position] != stints.source[earlier]:
            says = f"a row that is not in another file too ({place}): give each log once"
            log.problem("stints", position, None, says)


def refuse_collisions(checked: Checked) -> None:
    """A session label in two files, of which one says no day: two trips may bear it."""
    log = checked.log
    stints = log.tables["stints"]
    if len({raw.file for raw in log.raws if raw.table == "stints"}) < 2:
        return
    days = [stints.columns["cast_in"], *(stints.moved.get(name) for name in ("date", "start"))]
    of_stint = [
        any(day is not None for day in row) for row in zip(*filter(None, days), strict=True)
    ]
    sessions = log.tables["sessions"].columns
    dated = {
        number
        for number, *own in zip(
            checked.session_of["sessions"], sessions["date"], sessions["start"], strict=True
        )
        if any(own)
    }
    files: dict[int, dict[str, tuple[int, bool]]] = {}
    for position, number in enumerate(checked.session_of["stints"]):
        of_session = files.setdefault(number, {})
        name = log.raws[stints.source[position]].file
        first, said = of_session.get(name, (position, number in dated))
        of_session[name] = first, said or of_stint[position]
    at_fault = refused(log, "stints")
    for number, of_session in files.items():
        if number < 0 or len(of_session) < 2 or all(said for _, said in of_session.values()):
            continue
        (first, _), *others = of_session.values()
        for position in {position for position, _ in others} - at_fault:
            says = (
                f"a trip that is not in {log.place('stints', first)} too: nothing says whether the "
                "two are one. Give both a date; or import the files one by one, another person's "
                "with --angler NAME"
            )
            log.problem("stints", position, "session", says)
