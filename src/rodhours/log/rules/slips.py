"""What may be a slip in rows or labels: duplicates, what is beyond sense, look-alikes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from rodhours.log.rules.checked import Checked, any_filled, first_rows, refused
from rodhours.near import look_alikes


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
    stints, sessions = log.tables["stints"], log.tables["sessions"].columns
    if len({raw.file for raw in log.raws if raw.table == "stints"}) < 2:
        return
    told = (stints.columns["cast_in"], stints.moved.get("date"), stints.moved.get("start"))
    days = [column for column in told if column is not None]
    of_sessions = zip(
        checked.session_of["sessions"], sessions["date"], sessions["start"], strict=True
    )
    dated = {number for number, *own in of_sessions if any(own)}
    first: dict[int, dict[str, int]] = defaultdict(dict)
    said: set[tuple[int, str]] = set()
    for position, number in enumerate(checked.session_of["stints"]):
        file = log.raws[stints.source[position]].file
        first[number].setdefault(file, position)
        if number in dated or any(column[position] is not None for column in days):
            said.add((number, file))
    at_fault = refused(log, "stints")
    for number, positions in first.items():
        if number < 0 or all((number, file) in said for file in positions):
            continue
        place, *others = positions.values()
        for position in set(others) - at_fault:
            says = (
                f"a trip that is not in {log.place('stints', place)} too: nothing says whether the "
                "two are one. Give both a date; or import the files one by one, another person's "
                "with --angler NAME"
            )
            log.problem("stints", position, "session", says)


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

    many = max((fish for fish in stints["fish"] if fish), default=0) >= MANY_FISH
    rows = enumerate(zip(numbers, stints["hours"], stints["fish"], strict=True)) if many else ()
    for position, (number, hours, fish) in rows:
        if number >= 0 and hours and fish and fish >= MANY_FISH and fish > FISH_PER_HOUR * hours:
            doubt(position, "fish", f"{fish} fish in {hours:.4g} h")
    first = first_rows(numbers)
    days = checked.records["date"]
    if max(days.values(), default="") > today.isoformat():
        for number, day in sorted(days.items()):
            if number in first and day > today.isoformat():
                doubt(first[number], "date", f"{day} lies in the future")
    most = max(Counter(numbers).values(), default=0) * max(filter(None, stints["hours"]), default=0)
    if most > LONGEST_TRIP or checked.records["start"]:
        _lengths(checked, first, doubt)


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
                doubt(position, "hours", f"a rod in for {hours:.4g} h of a trip of {trip:.4g}")
            hours = max(hours, trip)
        if hours > LONGEST_TRIP:
            doubt(position, "hours", f"a trip of {hours / 24:.3g} days")


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
    anglers = (log.tables[name].columns["angler"] for name in log.tables if name != "variants")
    hints += hints_on_look_alikes("anglers", set().union(*anglers) - {None})
    hints += hints_on_look_alikes("sessions", {label for _, label in checked.keys}, True)


def hints_on_look_alikes(what: str, texts: set[Any], keep_punctuation: bool = False) -> list[str]:
    """A hint for each group of labels that are probably one and the same."""
    return [
        f"The {what} {' and '.join(map(repr, group))} are probably the same; "
        "they are kept as different ones until you write them alike."
        for group in look_alikes(texts, keep_punctuation=keep_punctuation)
    ]
