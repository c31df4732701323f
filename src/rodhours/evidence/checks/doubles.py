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
    columns = stints.reindex(columns=["session", "angler", "date", "venue", "start", "cast_in"])
    keys = columns[["session", "angler"]].astype("object").fillna("")
    number, _ = pd.factorize(pd.MultiIndex.from_frame(keys))
    by = columns.groupby(number, sort=False)
    began = by["start"].first().astype("string").fillna(by["cast_in"].min().astype("string"))
    days = by["date"].first().dt.strftime("%Y-%m-%d")
    first = columns[~pd.Series(number, index=columns.index).duplicated()]
    content = contents(zip(number, stints["variant"], stints["hours"], stints["fish"], strict=True))
    texts = pd.DataFrame(
        {
            "label": first["session"].to_numpy(),
            "angler": first["angler"].to_numpy(),
            "day": days.to_numpy(),
            "venue": by["venue"].first().to_numpy(),
            "began": began.str[:16].to_numpy(),
        }
    ).astype("object")
    texts = texts.where(texts.notna(), None)
    trips = [
        Trip(label, angler, day, venue, began, content[place])
        for place, (label, angler, day, venue, began) in enumerate(texts.to_numpy().tolist())
        if (label, angler) not in apart
    ]
    if texts["angler"].notna().any():
        trips = [trip.as_somebody() for trip in trips]
    pairs = [
        [trip_named(one.label, one.angler) for one in (other[0], trip)]
        for trip, other in zip(trips, twins(trips), strict=True)
        if other is not None and not other[1]
    ]
    if not pairs:
        return []
    return [Note("doubles", None, SERIOUS, {"pairs": pairs, "trips": len(texts)})]
