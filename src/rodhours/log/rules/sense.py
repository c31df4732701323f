"""Trips beyond sense: asked about once, and taken where the answer is that they are right.

The bounds are common practice, no source: wide enough that a good season never meets them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from datetime import date, datetime

from rodhours.log.rules.checked import Checked

MANY_FISH, FISH_PER_HOUR = 20, 5
"""More fish than that in a stint are asked about where they came faster than that."""
LONGEST_TRIP = 14 * 24
"""Hours of a trip."""
A_WHILE = 1.0
"""Hours by which a rod may have been in longer than its trip, as times are rounded."""
IF_RIGHT = "; if it is right, import again with --sure"

Doubt = Callable[[int, str, str], None]
"""Takes the position of a stint, its column, and what is doubted."""


def doubt_what_is_beyond_sense(checked: Checked, today: date) -> None:
    """Refuse stints beyond sense but for those that are `sure`, and note what was doubted."""
    stints = checked.log.tables["stints"].columns
    numbers = checked.session_of["stints"]

    faulty = {
        checked.session_of[table][position]
        for table, position in checked.log.findings.reasons
        if table != "variants"
    }

    def doubt(position: int, column: str, what: str) -> None:
        if numbers[position] in faulty:
            return  # it waits for something else, which may be why
        angler, label = checked.keys[numbers[position]]
        key = f"{angler or ''}, {label}: {what}".removeprefix(", ")
        checked.doubted[key] = None
        if not checked.all_sure and key not in checked.sure:
            checked.log.problem("stints", position, column, f"checked: {what}{IF_RIGHT}")

    for position, (number, hours, fish) in enumerate(
        zip(numbers, stints["hours"], stints["fish"], strict=True)
    ):
        if number >= 0 and hours and fish and fish >= MANY_FISH and fish > FISH_PER_HOUR * hours:
            doubt(position, "fish", f"{fish} fish in {hours:.4g} hours")
    first = {number: at for at, number in reversed([*enumerate(numbers)]) if number >= 0}
    _dates(checked, first, today, doubt)
    _lengths(checked, first, doubt)


def _dates(checked: Checked, first: dict[int, int], today: date, doubt: Doubt) -> None:
    for number, day in checked.records["date"].items():
        if number in first and day > today.isoformat():
            doubt(first[number], "date", f"{day} lies in the future")


def _lengths(checked: Checked, first: dict[int, int], doubt: Doubt) -> None:
    """Trips longer than two weeks, and rods that were in for longer than their trip."""
    stints = checked.log.tables["stints"].columns
    of_rod: dict[tuple[int, object], float] = defaultdict(float)
    for position, number in enumerate(checked.session_of["stints"]):
        rod = stints["rod"][position]
        of_rod[number, position if rod is None else rod] += stints["hours"][position] or 0.0
    longest: dict[int, float] = defaultdict(float)
    for (number, _), hours in of_rod.items():
        longest[number] = max(longest[number], hours)
    starts, ends = checked.records["start"], checked.records["end"]
    for number, position in first.items():
        hours = longest[number]
        if number in starts and number in ends:
            began, ended = (datetime.fromisoformat(one[number][:19]) for one in (starts, ends))
            trip = (ended - began).total_seconds() / 3600
            if hours > trip + A_WHILE > A_WHILE:
                doubt(position, "hours", f"a rod in for {hours:.4g} hours of a trip of {trip:.4g}")
            hours = max(hours, trip)
        if hours > LONGEST_TRIP:
            doubt(position, "hours", f"a trip of {hours / 24:.3g} days")
