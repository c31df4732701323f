"""The rules between the rows of one import: sessions, and what must agree.

Fills in the hours from the times, notes every problem, and says which sessions are held back.
Each rule first asks a set whether all is well; rows are walked only where it is not.
"""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

from rodhours.log.catches import match_catches, not_listed
from rodhours.log.rules.checked import Checked
from rodhours.log.rules.records import gather_records, gather_variants
from rodhours.log.rules.sessions import find_sessions, hold_back_above
from rodhours.log.rules.slips import (
    doubt_what_is_beyond_sense,
    find_duplicates,
    point_out,
    refuse_collisions,
)
from rodhours.log.rules.times import check_rods, check_session_times, fill_hours
from rodhours.log.table import Log


def check_log(
    log: Log, zone: ZoneInfo | None, sure: frozenset[str] = frozenset(), all_sure: bool = False
) -> Checked:
    """Apply every rule between rows; `zone` None means the machine's own time zone.

    `sure` are the doubts that are answered already; with `all_sure` every one is.
    """
    spans = fill_hours(log, zone)
    checked = Checked(log, spans=spans, zone=zone, sure=sure, all_sure=all_sure)
    find_sessions(checked)
    unlisted = not_listed(log, checked.session_of)
    gather_records(checked)
    check_session_times(checked)
    gather_variants(checked)
    find_duplicates(checked)
    refuse_collisions(checked)
    check_rods(checked)
    doubt_what_is_beyond_sense(checked, date.today())
    checked.stint_of_catch = match_catches(log, checked.session_of, unlisted)
    for name, position in log.findings.reasons:
        number = -1 if name == "variants" else checked.session_of[name][position]
        if number >= 0:
            checked.held_back.setdefault(number, log.place(name, position))
    for number, (_, label) in enumerate(checked.keys):
        if label in checked.unclear_labels:
            checked.held_back.setdefault(number, checked.unclear_labels[label])
    hold_back_above(checked)
    point_out(checked)
    return checked
