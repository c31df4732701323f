"""Are consecutive days on one water logged as trips? They are one stay, and count as one trip."""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.checks.allocation import days_of
from rodhours.evidence.result import CAUTION, SERIOUS, Note

FEWEST_TRIPS = 8
MANY_FEWER = 2 / 3
"""Stays are named where there are at most so many of them to a trip."""


def trips_in_stays(stints: pd.DataFrame) -> pd.DataFrame:
    """One row a session with a date and a venue: `session`, `angler`, `stay` (a number).

    Sessions of one angler on one venue are one stay while each begins on the day of the one
    before or the day after it.
    """
    angler = stints["angler"].fillna("") if "angler" in stints.columns else ""
    venue = stints["venue"] if "venue" in stints.columns else None
    rows = pd.DataFrame(
        {"session": stints["session"], "angler": angler, "venue": venue, "day": days_of(stints)}
    ).dropna()
    trips = rows.groupby(["angler", "session"], as_index=False).agg(
        {"venue": "first", "day": "min"}
    )
    trips = trips.sort_values(["angler", "venue", "day"], kind="stable")
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
