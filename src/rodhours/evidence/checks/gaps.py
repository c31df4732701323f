"""Is something missing from the log? Running numbers left out, months without a session.

Both say only that there is a hole, not what was in it: a trip not made, or one not written down.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from rodhours.counts import trip_named
from rodhours.evidence.checks.allocation import days_of
from rodhours.evidence.result import CAUTION, Note

FEWEST_LABELS = 5
"""Fewer labels make no series."""
MOST_MISSING = 0.5
"""A series with more of its numbers missing than this share is no running number."""
MOST_MONTHS = 2
"""A longer break is a closed season or a winter, not a hole in the log."""
CHANCE_OF_A_MONTH = 0.05
"""A month counts as a hole where sessions spread over the season at random would seldom leave it
empty."""
_NUMBERED = re.compile(r"(\D*)(\d{1,7})")


@dataclass(frozen=True)
class _Log:
    """One angler's sessions: labels, and their dates (NaT where unknown), one entry each."""

    angler: str | None
    labels: tuple[str, ...]
    months: np.ndarray


def gaps_in_the_log(stints: pd.DataFrame) -> list[Note]:
    """A note where session numbers or whole months are missing inside the log.

    Numbers: an angler's labels make a running series where all of them (at least 5) are one
    prefix without a digit and a number of up to 7 digits, none twice, and at least half of the
    numbers from the lowest to the highest are there; the others are missing. Anglers who share
    one numbering are looked at as one.
    Months: one or two in a row without a session between two months of the same calendar year
    that have one, where that would come about by chance in under 5 % of logs with as many
    sessions strewn evenly over the months. Breaks over the turn of the year and longer ones are
    no holes: winters and closed seasons.

    Give it the whole log: rows chosen by water have holes of their own. Numbers:
    `missing_numbers` (labels), `missing_months` (`2025-07`), `sessions`, and `rate_factor`, how
    many times too high all catch rates would be if the missing numbers were all blanks.
    """
    logs = _logs(stints)
    numbers = _missing_numbers(logs)
    seasons = sum(len(np.unique(_years(one.months))) for one in logs)
    months = [
        trip_named(month, one.angler) for one in logs for month in _missing_months(one, seasons)
    ]
    if not numbers and not months:
        return []
    sessions = sum(len(one.labels) for one in logs)
    found = {
        "missing_numbers": numbers,
        "missing_months": months,
        "sessions": sessions,
        "rate_factor": (sessions + len(numbers)) / sessions,
    }
    return [Note("gaps_in_the_log", None, CAUTION, found)]


def _logs(stints: pd.DataFrame) -> list[_Log]:
    angler = stints["angler"] if "angler" in stints.columns else pd.Series(None, stints.index)
    rows = pd.DataFrame(
        {
            "angler": angler.astype(object).where(angler.notna(), "").astype(str),
            "session": stints["session"].astype(str),
            "month": days_of(stints).astype("datetime64[M]"),
        }
    ).drop_duplicates(["angler", "session"])
    several = rows["angler"].nunique() > 1
    return [
        _Log(
            str(who) if several and who else None,
            tuple(own["session"]),
            own["month"].to_numpy().astype("datetime64[M]"),
        )
        for who, own in rows.groupby("angler", sort=False)
    ]


def _missing_numbers(logs: list[_Log]) -> list[str]:
    together = [label for one in logs for label in one.labels]
    if len(logs) > 1 and _series(together) is not None:
        return _series(together) or []
    return [trip_named(label, one.angler) for one in logs for label in _series(one.labels) or []]


def _series(labels: Iterable[str]) -> list[str] | None:
    """The labels that are missing from a running series; None where the labels are none."""
    parts = [_NUMBERED.fullmatch(label.strip()) for label in labels]
    if len(parts) < FEWEST_LABELS or not all(parts):
        return None
    matched = [part for part in parts if part]
    prefix, width = matched[0][1], min(len(part[2]) for part in matched)
    numbers = {int(part[2]) for part in matched}
    if any(part[1] != prefix for part in matched) or len(numbers) < len(matched):
        return None
    first, last = min(numbers), max(numbers)
    if len(numbers) < MOST_MISSING * (last - first + 1):
        return None
    padded = all(len(part[2]) == width for part in matched)
    return [
        f"{prefix}{one:0{width if padded else 1}d}"
        for one in range(first, last)
        if one not in numbers
    ]


def _missing_months(log: _Log, seasons: int) -> list[str]:
    """Holes of one or two months inside a calendar year of one angler."""
    months = log.months[~np.isnat(log.months)]
    found: list[str] = []
    for year in np.unique(_years(months)):
        own = months[_years(months) == year].astype(np.int64)
        there = np.unique(own)
        span = int(there[-1] - there[0]) + 1
        for before, after in pairwise(there):
            length = int(after - before) - 1
            if not 0 < length <= MOST_MONTHS:
                continue
            places = max(span - 1 - length, 1)
            by_chance = places * (1.0 - length / span) ** len(own) * seasons
            if by_chance < CHANCE_OF_A_MONTH:
                holes = np.arange(before + 1, after).astype("datetime64[M]")
                found.extend(str(month) for month in holes)
    return found


def _years(months: np.ndarray) -> np.ndarray:
    return np.asarray(months[~np.isnat(months)].astype("datetime64[Y]"))
