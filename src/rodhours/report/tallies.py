"""The sums behind the pictures: hours by water and time, trip by trip, largest differences.

Frames in, frames and frozen sums out; draws nothing. A trip is known by angler and session.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from rodhours.counts import trip_named
from rodhours.evidence.dates import dates_of
from rodhours.evidence.results import ComparisonResult
from rodhours.evidence.verdicts import VERDICTS

FEW_VARIANTS = 4
"""So many beside the reference keep the order of the answer."""
NO_DATE = "no date"
NO_VENUE = "water not logged"
NO_ANGLER = "angler not logged"
OTHER_VENUES = "other waters"
MOST_TIMES = 24
MOST_LANES = 62
"""Lanes of a calendar that fits a printed page, one a water and variant and two a water's name;
waters past that are gathered."""
MOST_WATERS = 12
ENOUGH_HOURS = 0.10
"""Share of all rod-hours from which a variant's hours are worth a heading."""
WORTH_NAMING = 0.10
"""A difference in shares of rod-hours from which a heading names it."""


@dataclass(frozen=True)
class HoursByPlace:
    """Rod-hours of each variant by water and time.

    `frame`: variant, venue, when, rod_hours, share (of the variant's rod-hours); one row for each
    combination that was fished.
    """

    frame: pd.DataFrame
    has_dates: bool
    has_venues: bool


def landed_and_lost(stints: pd.DataFrame, order: Sequence[str]) -> tuple[pd.DataFrame, int] | None:
    """Fish landed against fish lost, and how many stints do not say how many were lost.

    Columns: variant, landed, lost. None where no stint says it, or no fish was hooked.
    """
    lost = pd.to_numeric(logged(stints, "lost"))
    known = lost.notna()
    counts = pd.DataFrame(
        {"variant": stints["variant"].astype(str), "landed": stints["fish"], "lost": lost}
    )
    sums = counts[known].groupby("variant")[["landed", "lost"]].sum().astype(int)
    if not sums.to_numpy().sum():
        return None
    sums = sums.loc[[name for name in order if name in sums.index]]
    return sums.rename_axis("variant").reset_index(), int((~known).sum())


def variant_order(stints: pd.DataFrame, result: ComparisonResult) -> list[str]:
    """The reference, then the compared variants, then the others: the order of all pictures.

    Of more than four the settled come first, each kind by its ratio.
    """
    fished = sorted(stints["variant"].astype(str).unique())
    compared = list(result.comparisons)
    if len(compared) > FEW_VARIANTS:
        compared.sort(key=lambda one: (VERDICTS.index(one.verdict), -(one.rate_ratio or 0.0)))
    first = [result.reference, *(one.variant for one in compared)]
    return list(dict.fromkeys([v for v in first if v in fished] + fished))


def trips(stints: pd.DataFrame) -> pd.Series:
    """One whole number a stint that names its trip, in the order of date, then of the log."""
    anglers = logged(stints, "angler").astype("string").fillna("")
    keys = pd.DataFrame(
        {
            "angler": anglers,
            "session": stints["session"].astype("string"),
            "date": dates_of(stints),
        }
    )
    first = keys.groupby(["angler", "session"], sort=False)["date"].transform("min")
    order = keys.assign(date=first).drop_duplicates(["angler", "session"])
    order = order.sort_values("date", kind="stable", na_position="last")
    order["trip"] = range(len(order))
    numbers = keys.merge(order[["angler", "session", "trip"]], on=["angler", "session"])
    return pd.Series(numbers["trip"].to_numpy(), index=stints.index, name="trip")


def _by(stints: pd.DataFrame, keys: dict[str, pd.Series], **further: Any) -> pd.DataFrame:
    """Trips, rod-hours and fish by these keys, with `further` sums of columns of the log."""
    rows = pd.DataFrame(keys).assign(
        trip=trips(stints),
        rod_hours=stints["hours"].astype(float),
        fish=stints["fish"].astype(int),
        age=pd.to_numeric(logged(stints, "age_days")).astype("Float64"),
    )
    sums = {
        "trips": ("trip", "nunique"),
        "rod_hours": ("rod_hours", "sum"),
        "fish": ("fish", "sum"),
    }
    return rows.groupby(list(keys), as_index=False).agg(**sums, **further)


def contributions(stints: pd.DataFrame) -> pd.DataFrame:
    """Who contributed what: one row an angler, by name; rows without one come last.

    Columns: angler, trips, rod_hours, fish. Two people on one trip are two trips here, as
    everywhere: a trip is known by angler and session.
    """
    anglers = logged(stints, "angler").astype("string").fillna(NO_ANGLER).astype(str)
    table = _by(stints, {"angler": anglers})
    return table.sort_values("angler", key=lambda one: one == NO_ANGLER, kind="stable")


def batches_fished(stints: pd.DataFrame) -> pd.DataFrame:
    """What each batch did: one row a batch of a bait, in their order; none where none is logged.

    Columns: variant, batch, trips, rod_hours, fish, and the ages in days between which it was
    fished, NaN where they are not known.
    """
    keys = {"variant": stints["variant"].astype(str), "batch": logged(stints, "batch")}
    return _by(stints, keys, youngest=("age", "min"), oldest=("age", "max"))


def date_span(stints: pd.DataFrame) -> tuple[str | None, str | None]:
    """First and last date as ISO text, None where no date is logged."""
    dates = dates_of(stints).dropna()
    if dates.empty:
        return None, None
    return dates.min().date().isoformat(), dates.max().date().isoformat()


def hours_by_place(stints: pd.DataFrame, order: Sequence[str]) -> HoursByPlace:
    """Rod-hours by variant, water and month (quarter or year where months are too many)."""
    dates, venue = dates_of(stints), logged(stints, "venue").astype("string")
    cells = pd.DataFrame(
        {
            "variant": stints["variant"].astype(str),
            "venue": venue.fillna(NO_VENUE).astype(str),
            "when": _when(dates),
            "rod_hours": stints["hours"].astype(float),
        }
    )
    frame = cells.groupby(["variant", "venue", "when"], as_index=False, sort=False).sum()
    frame["share"] = frame["rod_hours"] / frame.groupby("variant")["rod_hours"].transform("sum")
    frame = frame.sort_values("variant", key=lambda one: one.map(list(order).index), kind="stable")
    known = bool(dates.notna().any()), bool(venue.notna().any())
    return HoursByPlace(frame.reset_index(drop=True), *known)


def largest_gap(places: HoursByPlace, reference: str) -> tuple[str, str, float, float] | None:
    """Where a variant's hours differ most from the reference's: who, where or when, both shares.

    None where there is nothing to compare or every difference in shares is under 10 points. Of
    variants with under a tenth of all hours nothing is said: a few stints always lie unevenly.
    """
    spent = places.frame.groupby("variant")["rod_hours"].sum()
    others = spent.index[spent >= ENOUGH_HOURS * spent.sum()].difference([reference], sort=False)
    if reference not in spent or others.empty:
        return None
    found = []
    for column, preposition in (("venue", "on"), ("when", "in")):
        shares = places.frame.pivot_table(
            index=column, columns="variant", values="share", aggfunc="sum", fill_value=0.0
        ).drop(index=[NO_DATE, NO_VENUE], errors="ignore")
        gaps = shares[others].sub(shares[reference], axis=0).abs().stack()
        if not gaps.empty:
            place, variant = gaps.idxmax()
            both = float(shares.at[place, variant]), float(shares.at[place, reference])
            found.append((float(gaps.max()), (variant, f"{preposition} {place}", *both)))
    worth = [one for one in found if one[0] >= WORTH_NAMING]
    return max(worth, key=lambda one: one[0])[1] if worth else None


@dataclass(frozen=True)
class Calendar:
    """Where and when each variant was fished: each variant's rod-hours on each trip.

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
            "date": dates_of(stints),
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
    marks = marks.iloc[np.lexsort([marks["variant"].map(rank), marks["trip"]])]
    most = marks.groupby("water")["rod_hours"].sum().sort_values(ascending=False, kind="stable")
    kept = list(most.index)
    room = max(1, min(MOST_WATERS, MOST_LANES // (2 + len(rank))))
    if len(kept) > room:
        # One place is for those that are gathered, unless a single water can be shown.
        kept = kept[: max(1, room - 1)]
        marks["venue"] = marks["water"].where(marks["water"].isin(kept), OTHER_VENUES)
        kept.append(OTHER_VENUES)
    else:
        marks["venue"] = marks["water"]
    return Calendar(marks.reset_index(drop=True), tuple(kept))


def logged(stints: pd.DataFrame, name: str) -> pd.Series:
    """A column of the log, missing throughout where the log does not have it."""
    if name in stints:
        return stints[name]
    return pd.Series(pd.NA, index=stints.index, dtype="string")


def _when(dates: pd.Series) -> pd.Series:
    """Months while they are few, then quarters, then years."""
    named = pd.Series(NO_DATE, index=dates.index)
    for frequency, form in (("M", "%B %Y"), ("Q", "%Y Q%q"), ("Y", "%Y")):
        periods = dates.dropna().dt.to_period(frequency)
        named = named.where(dates.isna(), periods.dt.strftime(form).reindex(dates.index))
        if periods.empty or (periods.max() - periods.min()).n < MOST_TIMES:
            break
    return named
