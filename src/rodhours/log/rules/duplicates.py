"""Duplicate rows, of one rod or of two files: asked about, never dropped."""

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
