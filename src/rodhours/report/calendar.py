"""The sums behind the calendar: each variant's rod-hours on each trip, by water and day.

Frames in, frames out; draws nothing. Waters that are too many for a picture are gathered in one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from rodhours.counts import trip_named
from rodhours.report.tallies import NO_VENUE, OTHER_VENUES, logged, logged_dates, trips

MOST_LANES = 48
"""Lanes of a calendar, one a water and variant; waters past that are gathered."""
MOST_WATERS = 12


@dataclass(frozen=True)
class Calendar:
    """Where and when each variant was fished.

    `marks` has a row for each trip, water and variant, in the order of the trips: trip (a whole
    number), session, date (NaT where unknown), water (as logged), venue (the water or what it is
    gathered in), variant, rod_hours, fish. `venues` are in the order of their hours, gathered
    waters last.
    """

    marks: pd.DataFrame
    venues: tuple[str, ...]

    @property
    def dated(self) -> pd.Series:
        """Whether the day of each mark is known."""
        return self.marks["date"].notna()


def calendar(stints: pd.DataFrame, order: Sequence[str]) -> Calendar:
    """The calendar of a stint frame; `order` is that of the variants in all pictures."""
    anglers = logged(stints, "angler")
    water = logged(stints, "venue").astype("string").fillna(NO_VENUE).astype(str)
    frame = pd.DataFrame(
        {
            "trip": trips(stints),
            "session": list(map(trip_named, stints["session"].astype(str), anglers)),
            "date": logged_dates(stints),
            "water": water,
            "variant": stints["variant"].astype(str),
            "rod_hours": stints["hours"].astype(float),
            "fish": stints["fish"].astype(int),
        }
    )
    marks = frame.groupby(["trip", "water", "variant"], as_index=False, sort=False).agg(
        session=("session", "first"),
        date=("date", "min"),
        rod_hours=("rod_hours", "sum"),
        fish=("fish", "sum"),
    )
    rank = {variant: i for i, variant in enumerate(order)}
    marks["rank"] = marks["variant"].map(rank)
    marks = marks.sort_values(["trip", "rank"], kind="stable").drop(columns="rank")
    most = marks.groupby("water")["rod_hours"].sum().sort_values(ascending=False, kind="stable")
    kept = list(most.index)
    room = max(1, min(MOST_WATERS, MOST_LANES // max(1, len(rank))))
    if len(kept) > room:
        # One place is for those that are gathered, unless a single water can be shown.
        kept = kept[: max(1, room - 1)]
        marks["venue"] = marks["water"].where(marks["water"].isin(kept), OTHER_VENUES)
        kept.append(OTHER_VENUES)
    else:
        marks["venue"] = marks["water"]
    return Calendar(marks.reset_index(drop=True), tuple(kept))
