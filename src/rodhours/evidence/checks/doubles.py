"""Is a trip in the log twice? Pairs of trips that say the same under two labels or anglers."""

from __future__ import annotations

from collections.abc import Set

import pandas as pd

from rodhours.counts import trip_named
from rodhours.evidence.result import SERIOUS, Note
from rodhours.likeness import Trip, contents, twins


def doubles(stints: pd.DataFrame, apart: Set[tuple[str, str | None]] = frozenset()) -> list[Note]:
    """A serious note where trips of a stint frame are probably one written down twice.

    The rule is that of `likeness.twins`: day, water, and hours, baits and fish of the rods alike.
    `apart` are label and angler of trips known to be two; blanks of two named people are no
    finding. Numbers: `pairs`, the labels with their anglers of both trips, the earlier first, and
    `trips`, how many there are in all.
    """
    keys = stints[["session", "angler"]].astype("object").fillna("")
    number, labels = pd.factorize(pd.MultiIndex.from_frame(keys))
    named = bool(stints["angler"].notna().any())
    # Most trips are like no other: only those that share day, hours and fish are looked at.
    by = pd.DataFrame({"trip": number, "fish": stints["fish"], "date": stints["date"]})
    by["hours"] = (stints["hours"] * 10).round()
    sums = by.groupby("trip").agg({"date": "first", "hours": "sum", "fish": "sum"})
    sums["label"] = stints["session"].groupby(number).first().where(sums["date"].isna(), "")
    near = sums.index[sums.duplicated(keep=False)]
    trips_in_all, near_rows = len(labels), pd.Index(number).isin(near)
    if not near_rows.any():
        return []
    stints, number = stints[near_rows], number[near_rows]
    columns = stints.reindex(columns=["session", "angler", "date", "venue", "start", "cast_in"])
    first = columns.groupby(number, sort=False).first()
    cast = columns["cast_in"].dropna()
    cast = cast.groupby(number[columns["cast_in"].notna()]).min()
    days = first["date"].dt.strftime("%Y-%m-%d")
    began = first["start"].astype("string").fillna(cast.astype("string").reindex(first.index))
    content = contents(zip(number, stints["variant"], stints["hours"], stints["fish"], strict=True))
    texts = first[["session", "angler"]].assign(
        day=days, venue=first["venue"], began=began.str[:16]
    )
    texts = texts.astype("object")
    texts = texts.where(texts.notna(), None)
    trips = [
        Trip(label, angler, day, venue, began, content[place])
        for place, label, angler, day, venue, began in texts.itertuples()
        if (label, angler) not in apart
    ]
    if named:
        trips = [trip.as_somebody() for trip in trips]
    pairs = [
        [trip_named(one.label, one.angler) for one in (other[0], trip)]
        for trip, other in zip(trips, twins(trips), strict=True)
        if other is not None and not other[1]
    ]
    if not pairs:
        return []
    return [Note("doubles", None, SERIOUS, {"pairs": pairs, "trips": trips_in_all})]
