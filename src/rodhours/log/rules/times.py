"""Hours from times; sessions, stints and rods whose times must agree."""

from __future__ import annotations

from collections import defaultdict
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from rodhours.log.cells import CellFault
from rodhours.log.cells.times import TIME_NEVER_CAME, elapsed_hours, instant, possible_instants
from rodhours.log.rules.checked import Checked, Spans, any_filled, refused
from rodhours.log.table import Log

Instants = tuple[datetime, ...]
HOURS_TOLERANCE = 0.05 + 1e-9
"""Hours written to a tenth may differ from the times by half of one."""


def fill_hours(log: Log, zone: ZoneInfo | None) -> Spans:
    """Put real elapsed hours where only times are given; note where both are and disagree.

    Gives the instants of every stint whose times are good.
    """
    columns = log.tables["stints"].columns
    hours, began, ended = columns["hours"], columns["cast_in"], columns["cast_out"]
    spans: Spans = {}
    timed = any_filled(began) or any_filled(ended)
    if None not in hours and not timed:
        return spans
    bad_rows = refused(log, "stints")
    instants: dict[str, datetime | CellFault] = {}
    for text in {*began, *ended} - {None}:
        try:
            instants[text] = instant(text, zone)
        except CellFault as fault:
            instants[text] = fault
    for position, (given, start, end) in enumerate(zip(hours, began, ended, strict=True)):
        if start is None or end is None:
            if given is None and position not in bad_rows:
                log.problem(
                    "stints", position, "hours", "decimal hours above 0, or cast_in and cast_out"
                )
            continue
        first, last = instants[start], instants[end]
        for column, value in (("cast_in", first), ("cast_out", last)):
            if isinstance(value, CellFault):
                log.problem("stints", position, column, str(value))
        if isinstance(first, CellFault) or isinstance(last, CellFault):
            continue
        elapsed = elapsed_hours(first, last)
        if elapsed <= 0:
            log.problem("stints", position, "cast_out", f"a time after cast_in ({start})")
            continue
        spans[position] = first, last
        if given is not None and abs(given - elapsed) > HOURS_TOLERANCE:
            says = f"hours that agree with cast_in and cast_out, which are {elapsed:.4g} h apart"
            log.problem("stints", position, "hours", says)
        elif given is None and position not in bad_rows:
            hours[position] = elapsed
    return spans


def check_session_times(checked: Checked) -> None:
    """Start, end and date of a session agree, and its stints lie within them."""
    starts = _session_instants(checked, "start")
    ends = _session_instants(checked, "end")
    for number, finish in ends.items():
        if number in starts and max(finish) < min(starts[number]):
            says = f"a time after start ({checked.records['start'][number]})"
            _refuse_session(checked, number, "end", says)
    for number, start in checked.records["start"].items():
        day = checked.records["date"].get(number)
        last = checked.records["end"].get(number, start)[:10]
        if day is not None and not start[:10] <= day <= max(start[:10], last):
            _refuse_session(checked, number, "date", f"a date that agrees with start ({start})")
    if checked.spans:
        _check_within(checked, starts, ends)
        _check_dates(checked, set(starts))


def check_rods(checked: Checked) -> None:
    """One rod of one angler is in the water once at a time, whatever the sessions are called."""
    log = checked.log
    stints = log.tables["stints"].columns
    bad_rows = refused(log, "stints")
    by_rod: dict[tuple[str | None, str], list[tuple[datetime, datetime, int]]] = defaultdict(list)
    for position, (began, ended) in checked.spans.items():
        rod, number = stints["rod"][position], checked.session_of["stints"][position]
        if rod is not None and number >= 0 and position not in bad_rows:
            by_rod[checked.keys[number][0], rod].append((began, ended, position))
    for (angler, _), stretches in by_rod.items():
        stretches.sort()
        longest = stretches[0]
        for one in stretches[1:]:
            if one[0] < longest[1]:
                _refuse_overlap(checked, longest[2], one[2], angler is not None)
            longest = max(longest, one, key=lambda stretch: stretch[1])


def _refuse_overlap(checked: Checked, earlier: int, later: int, named: bool) -> None:
    """Name the later stint, and the earlier one too where it belongs to another session."""
    session_of = checked.session_of["stints"]
    columns = checked.log.tables["stints"].columns
    other_session = session_of[earlier] != session_of[later]
    for position, other in ((later, earlier), *([(earlier, later)] if other_session else [])):
        began, ended = columns["cast_in"][other], columns["cast_out"][other]
        place = checked.log.place("stints", other)
        if other_session:
            place += f" of session {checked.keys[session_of[other]][1]}"
        says = f"a time when rod {columns['rod'][position]} was free: {place} has it in from "
        says += f"{began} to {ended}"
        if other_session and not named:
            says += ". Where two people fished, name them in the column angler"
        checked.log.problem("stints", position, "cast_in", says)


def _session_instants(checked: Checked, column: str) -> dict[int, Instants]:
    """The one or two instants of each session's start or end; one that never came is named."""
    told = checked.records[column]
    instants = {text: possible_instants(text, checked.zone) for text in set(told.values())}
    for number, text in told.items():
        if not instants[text]:
            _refuse_session(checked, number, column, TIME_NEVER_CAME)
    return {number: instants[text] for number, text in told.items() if instants[text]}


def _check_within(checked: Checked, starts: dict[int, Instants], ends: dict[int, Instants]) -> None:
    """A stint begins and ends within its session, where the session says when it was."""
    if not starts and not ends:
        return
    for position, (began, ended) in checked.spans.items():
        number = checked.session_of["stints"][position]
        if number in starts and began < min(starts[number]):
            says = f"a time within its session, which began at {checked.records['start'][number]}"
            checked.log.problem("stints", position, "cast_in", says)
        if number in ends and ended > max(ends[number]):
            says = f"a time within its session, which ended at {checked.records['end'][number]}"
            checked.log.problem("stints", position, "cast_out", says)


def _check_dates(checked: Checked, started: set[int]) -> None:
    """A session's date is a day on which it fished, or the evening before, where all is timed."""
    days: dict[int, list[str]] = defaultdict(list)
    untimed: set[int] = set()
    columns = checked.log.tables["stints"].columns
    for position, number in enumerate(checked.session_of["stints"]):
        if position in checked.spans:
            days[number] += [columns["cast_in"][position][:10], columns["cast_out"][position][:10]]
        else:
            untimed.add(number)
    for number, day in checked.records["date"].items():
        if number in started or number in untimed or number not in days:
            continue
        first, last = min(days[number]), max(days[number])
        evening_before = (date.fromisoformat(first) - timedelta(days=1)).isoformat()
        if not evening_before <= day <= last:
            _refuse_session(checked, number, "date", f"a date that agrees with cast_in ({first})")


def _refuse_session(checked: Checked, number: int, column: str, says: str) -> None:
    """Note the problem at the session's own row, or at a stint of it where it has none."""
    if not checked.row_of_session:
        for name in ("stints", "sessions"):
            for position, owner in enumerate(checked.session_of[name]):
                checked.row_of_session[owner] = (name, position)
    name, position = checked.row_of_session[number]
    checked.log.problem(name, position, column, says)
