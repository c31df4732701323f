"""What the checks find out about one import, and what several of them ask of its rows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from rodhours.log.table import Log

CHOOSE_SESSION_COLUMNS = (
    "one session is one stay at one water: if these are two, choose which columns make a "
    "session, for example write the date or the water into the session label"
)
Key = tuple[str | None, str]
"""A session is known by angler and session label together."""
Spans = dict[int, tuple[datetime, datetime]]
"""When a stint was in the water (UTC), by the position of its row."""


@dataclass
class Checked:
    """One import, checked: rows of `log` grouped into sessions by number.

    `keys` lists the sessions; `session_of` gives for each table of rows the number of each
    row's session, -1 where it cannot be told. `records` holds the sessions' own columns by
    session number, `record_extras` their unknown columns. `variant_rows` maps a variant to its
    row in `variants`; `carried` holds what stints said of variants. `stint_of_catch` is the
    stint that had each fish.
    `held_back` maps the number of a session with a fault to the address of the faulty row,
    `perhaps` are those of them that the faulty row may not belong to,
    `row_of_session` to the table and position where a session's own fault is noted. `spans` are
    the times of the stints that have good ones, by the rules of `zone` (None: the machine's).
    `doubted` is what is beyond sense, `sure` of it what was said to be right (or `all_sure`).
    """

    log: Log
    keys: list[Key] = field(default_factory=list)
    session_of: dict[str, list[int]] = field(default_factory=dict)
    records: dict[str, dict[int, Any]] = field(default_factory=dict)
    record_extras: dict[str, dict[int, str]] = field(default_factory=dict)
    variant_rows: dict[str, int] = field(default_factory=dict)
    carried: dict[str, dict[str, Any]] = field(default_factory=dict)
    stint_of_catch: list[int | None] = field(default_factory=list)
    held_back: dict[int, str] = field(default_factory=dict)
    perhaps: set[int] = field(default_factory=set)
    unclear_labels: dict[str, str] = field(default_factory=dict)
    row_of_session: dict[int, tuple[str, int]] = field(default_factory=dict)
    spans: Spans = field(default_factory=dict)
    zone: ZoneInfo | None = None
    sure: frozenset[str] = frozenset()
    all_sure: bool = False
    doubted: dict[str, None] = field(default_factory=dict)

    @property
    def unanswered(self) -> list[str]:
        """What is beyond sense and was not said to be right."""
        return [one for one in self.doubted if not self.all_sure and one not in self.sure]


def first_rows(numbers: Sequence[int]) -> dict[int, int]:
    """The first row of each session, given the number of each row's; of those that are known."""
    first = dict(zip(reversed(numbers), reversed(range(len(numbers))), strict=True))
    first.pop(-1, None)
    return first


def any_filled(column: list[Any]) -> bool:
    """Whether a column has a value at all."""
    return column.count(None) < len(column)


def refused(log: Log, table: str) -> set[int]:
    """The positions of the rows of a table that are refused so far."""
    return {position for name, position in log.findings.reasons if name == table}
