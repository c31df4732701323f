"""Days: are those of a stay logged as trips, and were hours written as whole days?"""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.checks.allocation import days_of
from rodhours.evidence.result import CAUTION, SERIOUS, Note

FEWEST_TRIPS = 8
MANY_FEWER = 2 / 3
"""Stays are named where there are at most so many of them to a trip."""
NEARLY_ALL, FEWEST_STINTS = 0.95, 20
STEPS = (24, 12)


def trips_in_stays(stints: pd.DataFrame) -> pd.DataFrame:
    """One row a session with a date and a venue: `session`, `angler`, `stay` (a number).

    Sessions of one angler on one venue are one stay while each begins on the day of the one
    before or the day after it.
    """
    angler = stints["angler"].fillna("") if "angler" in stints.columns else ""
    venue = stints["venue"] if "venue" in stints.columns else None
    rows = pd.DataFrame(
        {"session": stints["session"], "angler": angler, "venue": venue, "day": days_of(stints)}
    )
    rows = rows[rows["day"].notna() & rows["venue"].notna()].sort_values(["day", "session"])
    trips = rows.drop_duplicates(["angler", "session"])
    trips = trips.sort_values(["angler", "venue", "day", "session"])
    alike = (trips[["angler", "venue"]] == trips[["angler", "venue"]].shift()).all(axis=1)
    near = trips["day"].diff() <= pd.Timedelta(days=1)
    trips["stay"] = (~(alike & near)).cumsum()
    return trips


def as_stays(stints: pd.DataFrame) -> pd.DataFrame:
    """The stints with the label of each stay, `T3 to T7`, in the place of its sessions' labels.

    Sessions without a date or a venue stay as they are. UsageError where no session has both.
    """
    trips = trips_in_stays(stints)
    if trips.empty:
        raise UsageError("Stays need the date and the water (venue) of the sessions.")
    ends = trips.groupby("stay")["session"].agg(["first", "last"])
    several = (ends["first"] != ends["last"]).to_numpy()
    label = np.where(several, ends["first"] + " to " + ends["last"], ends["first"])
    names = dict(zip(ends.index, label, strict=True))
    of_trip = {(one.angler, one.session): names[one.stay] for one in trips.itertuples(index=False)}
    angler = stints["angler"].fillna("") if "angler" in stints.columns else [""] * len(stints)
    keys = zip(angler, stints["session"], strict=True)
    return stints.assign(session=[of_trip.get(key, key[1]) for key in keys])


def trips_are_stays(stints: pd.DataFrame, *, all_trips: bool) -> list[Note]:
    """A note where the trips of a log are far fewer stays.

    Looked for among at least 8 sessions with a date and a venue; named where they are at most two
    thirds as many stays. Serious for answers from `all_trips`, whose limits rest on how far trips
    differ. Numbers: `trips`, `stays` and `trips_a_stay`.
    """
    trips = trips_in_stays(stints)
    many, stays = len(trips), int(trips["stay"].max()) if len(trips) else 0
    if many < FEWEST_TRIPS or stays > MANY_FEWER * many:
        return []
    numbers = {"trips": many, "stays": stays, "trips_a_stay": many / stays}
    return [Note("trips_are_stays", None, SERIOUS if all_trips else CAUTION, numbers)]


def whole_days(stints: pd.DataFrame) -> list[Note]:
    """A note where at least 95 % of the stints have hours that are multiples of 24, or of 12.

    A bait fished ten hours and written 24 loses rate. Stints with `cast_in` and `cast_out` are not
    looked at, since their hours are measured; of the others there must be 20. Numbers: `step` (24
    or 12), `share` and `stints` looked at.
    """
    hours = stints["hours"].to_numpy(dtype=np.float64)
    if {"cast_in", "cast_out"} <= set(stints.columns):
        hours = hours[stints["cast_in"].isna() | stints["cast_out"].isna()]
    if len(hours) < FEWEST_STINTS:
        return []
    for step in STEPS:
        share = float(np.mean(hours % step == 0))
        if share >= NEARLY_ALL:
            numbers = {"step": step, "share": share, "stints": len(hours)}
            return [Note("whole_days", None, CAUTION, numbers)]
    return []
