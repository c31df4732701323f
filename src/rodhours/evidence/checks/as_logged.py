"""Trips as they were logged: twice, left out, the days of a stay as trips, whole days as hours."""

from __future__ import annotations

import re
from collections.abc import Iterable, Set
from itertools import pairwise

import numpy as np
import pandas as pd

from rodhours.counts import trip_named
from rodhours.errors import UsageError
from rodhours.evidence.checks.allocation import days_of
from rodhours.evidence.result import CAUTION, SERIOUS, Note
from rodhours.evidence.session_model.data import Integers
from rodhours.likeness import Trip, contents, twins

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
FEWEST_TRIPS = 8
MANY_FEWER = 2 / 3
"""Stays are named where there are at most so many of them to a trip."""
NEARLY_ALL, FEWEST_STINTS = 0.95, 20
STEPS = (24, 12)


def doubles(stints: pd.DataFrame, apart: Set[tuple[str, str | None]] = frozenset()) -> list[Note]:
    """A serious note where trips of a stint frame are probably one written down twice.

    The rule is that of `likeness.twins`: day, water, and hours, baits and fish of the rods alike.
    `apart` are label and angler of trips known to be two; blanks of two named people are no
    finding. Numbers: `pairs`, the labels with their anglers of both trips, the earlier first, and
    `trips`, how many there are in all.
    """
    names = ["session", "angler", "date", "venue", "start", "cast_in", "variant", "hours", "fish"]
    rows = stints.reindex(columns=names).assign(tenths=(stints["hours"] * 10).round())
    whose = rows[["session", "angler"]].astype("object").fillna("")
    rows["trip"], labels = pd.factorize(pd.MultiIndex.from_frame(whose))
    by = rows.groupby("trip")
    trips = by[names[:5]].first().join(by[["tenths", "fish"]].sum())
    # Most trips are like no other: only those that share day, hours and fish are looked at.
    share = trips[["date", "tenths", "fish"]]
    share = share.assign(label=trips["session"].where(trips["date"].isna(), ""))
    trips = trips[share.duplicated(keep=False)]
    if trips.empty:
        return []
    rows = rows[rows["trip"].isin(trips.index)]
    content = contents(rows[["trip", "variant", "hours", "fish"]].itertuples(index=False))
    cast = rows.dropna(subset="cast_in").groupby("trip")["cast_in"].min().astype("string")
    began = trips["start"].astype("string").fillna(cast.reindex(trips.index)).str[:16]
    days = trips["date"].dt.strftime("%Y-%m-%d")
    said = trips[["session", "angler"]].assign(day=days, venue=trips["venue"], began=began)
    said = said.astype("object").where(said.notna(), None)
    found = [
        Trip(label, angler, day, venue, start, content[trip])
        for trip, label, angler, day, venue, start in said.itertuples()
        if (label, angler) not in apart
    ]
    if stints["angler"].notna().any():
        found = [trip.as_somebody() for trip in found]
    pairs = [
        [trip_named(one.label, one.angler) for one in (other[0], trip)]
        for trip, other in zip(found, twins(found), strict=True)
        if other is not None and not other[1]
    ]
    numbers = {"pairs": pairs, "trips": len(labels)}
    return [Note("doubles", None, SERIOUS, numbers)] if pairs else []


def gaps_in_the_log(stints: pd.DataFrame) -> list[Note]:
    """A note where session numbers or whole months are missing: trips not made, or not written.

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
    angler = stints["angler"] if "angler" in stints.columns else pd.Series(None, stints.index)
    rows = pd.DataFrame({"angler": angler.astype(object).where(angler.notna(), "").astype(str)})
    rows["session"] = stints["session"].astype(str)
    rows["month"] = days_of(stints).astype("datetime64[M]")
    rows = rows.drop_duplicates(["angler", "session"])
    together = _series(rows["session"])
    if together is not None:
        missing = together
    else:
        missing = [
            trip_named(label, angler)
            for angler, own in rows.groupby("angler", sort=False)["session"]
            for label in _series(own) or []
        ]
    dated = rows.dropna(subset="month")
    seasons = [
        (angler, own["month"].to_numpy().astype("datetime64[M]").astype(np.int64))
        for (angler, _), own in dated.groupby(["angler", dated["month"].dt.year])
    ]
    several = rows["angler"].nunique() > 1
    months = [
        trip_named(month, angler if several else None)
        for angler, own in seasons
        for month in _missing_months(own, len(seasons))
    ]
    if not missing and not months:
        return []
    numbers = {
        "missing_numbers": missing,
        "missing_months": months,
        "sessions": len(rows),
        "rate_factor": (len(rows) + len(missing)) / len(rows),
    }
    return [Note("gaps_in_the_log", None, CAUTION, numbers)]


def _missing_months(months: Integers, seasons: int) -> list[str]:
    """Holes of one or two months in one angler's year; `months` (sessions,) since 1970, `seasons`
    how many such years the log has."""
    there = np.unique(months)
    span = int(there[-1] - there[0]) + 1
    found: list[str] = []
    for before, after in pairwise(there):
        length = int(after - before) - 1
        by_chance = max(span - 1 - length, 1) * (1.0 - length / span) ** len(months) * seasons
        if 0 < length <= MOST_MONTHS and by_chance < CHANCE_OF_A_MONTH:
            found.extend(np.arange(before + 1, after).astype("datetime64[M]").astype(str).tolist())
    return found


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
