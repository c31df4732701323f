"""One rod in two sessions at once, the one in the files and the other in the logbook: a hint.

Between rows of the files the same is a fault; here the row at fault may be the logbook's, which
no correction of the files can mend.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime

from rodhours.log.cells.zones import possible_instants
from rodhours.log.logbook import Logbook
from rodhours.log.rules.checked import Checked, Key

Stretch = tuple[datetime, datetime, bool, str]
"""When a rod was in the water (UTC), whether the logbook says so, and in which session."""


def overlaps_with_held(checked: Checked, book: Logbook, taken: Collection[int]) -> list[str]:
    """Hints on rods of the sessions `taken` (numbers) that a held session has in at that time."""
    by_rod: dict[tuple[str | None, str], list[Stretch]] = defaultdict(list)
    rods = checked.log.tables["stints"].columns["rod"]
    for position, (began, ended) in checked.spans.items():
        number = checked.session_of["stints"][position]
        if rods[position] is not None and number in taken:
            angler, label = checked.keys[number]
            by_rod[angler, rods[position]].append((began, ended, False, label))
    if not by_rod:
        return []
    _add_held(checked, book, by_rod)
    found: dict[tuple[str, str, str], None] = {}
    for (_, rod), stretches in by_rod.items():
        last: dict[bool, Stretch] = {}
        for one in sorted(stretches):
            other = last.get(not one[2])
            if other is not None and one[0] < other[1]:
                mine, theirs = (other, one) if one[2] else (one, other)
                found[rod, mine[3], theirs[3]] = None
            if one[2] not in last or one[1] > last[one[2]][1]:
                last[one[2]] = one
    return [
        f"Rod {rod} was in the water in session {session} while the logbook has it in session "
        f"{held}: one of the two has a wrong time, rod or angler."
        for rod, session, held in found
    ]


def _add_held(
    checked: Checked, book: Logbook, by_rod: dict[tuple[str | None, str], list[Stretch]]
) -> None:
    in_files: set[Key] = set(checked.keys)
    sessions: dict[int, Key] = {
        row["id"]: (row["angler"], row["session"]) for row in book.sessions()
    }
    for row in book.stints():
        angler, label = sessions[row["session_id"]]
        rod, began, ended = row["rod"], row["cast_in"], row["cast_out"]
        if (angler, rod) not in by_rod or (angler, label) in in_files or not (began and ended):
            continue
        first = possible_instants(began, checked.zone)
        last = possible_instants(ended, checked.zone)
        if first and last:
            by_rod[angler, rod].append((first[-1], last[0], True, label))
