"""Duplicate rows, of one rod or of two files: asked about, never dropped."""

from __future__ import annotations

from typing import Any

from rodhours.logbook.rules.checked import Checked, any_filled, refused
from rodhours.wording import log_rules as words


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
        if stints.columns["rod"][position] is not None:
            says = words.a_row_that_differs(log.place("stints", earlier))
            log.problem("stints", position, "rod", says)
        elif stints.source[position] != stints.source[earlier]:
            says = words.in_one_file(log.place("stints", earlier))
            log.problem("stints", position, None, says)
