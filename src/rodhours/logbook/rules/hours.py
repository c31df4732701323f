"""The hours of each stint from its times, and whether hours that were given agree with them."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from rodhours.logbook.cells import CellFault
from rodhours.logbook.cells.zones import elapsed_hours, instant
from rodhours.logbook.rules.checked import Spans, any_filled, refused
from rodhours.logbook.table import Log
from rodhours.wording import log_rules as words

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
                log.problem("stints", position, "hours", words.HOURS_OR_TIMES)
            continue
        first, last = instants[start], instants[end]
        for column, value in (("cast_in", first), ("cast_out", last)):
            if isinstance(value, CellFault):
                log.problem("stints", position, column, str(value))
        if isinstance(first, CellFault) or isinstance(last, CellFault):
            continue
        elapsed = elapsed_hours(first, last)
        if elapsed <= 0:
            log.problem("stints", position, "cast_out", words.after("cast_in", start))
            continue
        spans[position] = first, last
        if given is not None and abs(given - elapsed) > HOURS_TOLERANCE:
            log.problem("stints", position, "hours", words.hours_that_agree(elapsed))
        elif given is None and position not in bad_rows:
            hours[position] = elapsed
    return spans
