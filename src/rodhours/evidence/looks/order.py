"""The trips in the order in which they were fished, and the looks that are taken at them."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import pandas as pd

from rodhours.evidence.session_model.data import Integers
from rodhours.evidence.stints import Stints


@dataclass(frozen=True)
class Trip:
    """One trip in its place: `code` is that of the stints, `date` an ISO date or None."""

    code: int
    session: str
    angler: str | None
    date: str | None


def trips_in_order(frame: pd.DataFrame, stints: Stints) -> tuple[Trip, ...]:
    """The trips by date, then by the number in the session's label, its text and the angler.

    `frame` is what `stints` was prepared from. Trips without a date come last, among themselves
    in the order of their labels: that is a guess, which a result has to own up to. The order is
    the same whatever the order of the rows.
    """
    codes = np.unique(stints.session)
    rows = frame.iloc[stints.first_row[codes]]
    dates = pd.to_datetime(rows["date"]) if "date" in rows else pd.Series(pd.NaT, index=rows.index)
    anglers = rows["angler"] if "angler" in rows else pd.Series(None, index=rows.index)
    trips = [
        (
            pd.isna(date),
            pd.Timestamp(0) if pd.isna(date) else pd.Timestamp(date).tz_localize(None),
            _natural(str(session)),
            str(session),
            "" if pd.isna(angler) else str(angler),
            int(code),
        )
        for code, session, angler, date in zip(codes, rows["session"], anglers, dates, strict=True)
    ]
    return tuple(
        Trip(code, session, angler or None, None if undated else date.date().isoformat())
        for undated, date, _, session, angler, code in sorted(trips)
    )


def _natural(label: str) -> tuple[tuple[int, int, str], ...]:
    """A label to sort by: numbers in it by their size, so that T2 comes before T10."""
    return tuple(
        (0, int(part), "") if part.isdigit() and part.isascii() else (1, 0, part)
        for part in re.split(r"([0-9]+)", label)
        if part
    )


def looks_at(trips: int, most: int | None) -> Integers:
    """After which trips one looks: all of 1 to `trips`, or `most` of them spread evenly.

    The last trip is always one of them, and where there is room for more than one the first.
    """
    if most is None or trips <= most:
        return np.arange(1, trips + 1)
    if most <= 1:
        return np.array([trips])
    return np.unique(np.round(np.linspace(1, trips, most)).astype(np.int64))
