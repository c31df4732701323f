"""The sums behind the pictures: hours by water and time, largest differences.

Frames in, frames and frozen sums out; draws nothing. A trip is known by angler and session.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from rodhours.evidence.dates import dates_of
from rodhours.evidence.results import ComparisonResult
from rodhours.evidence.verdicts import VERDICTS
from rodhours.words.landed import Landed, LandedRow
from rodhours.words.report import LargestGap

FEW_VARIANTS = 4
"""So many beside the reference keep the order of the answer."""
NO_DATE = "no date"
NO_VENUE = "water not logged"
NO_ANGLER = "angler not logged"
OTHER_VENUES = "other waters"
MOST_BINS = 24
MOST_VENUES = 4
ENOUGH_HOURS = 0.10
"""Share of all rod-hours from which a variant's hours are worth a heading."""
WORTH_NAMING = 0.10
"""A difference in shares of rod-hours from which a heading names it."""


@dataclass(frozen=True)
class HoursByPlace:
    """Rod-hours of each variant by water and time.

    `frame`: variant, venue, when, rod_hours, share (of the variant's rod-hours); one row for each
    combination that was fished. `bins` are the times in order, gaps included.
    """

    frame: pd.DataFrame
    venues: tuple[str, ...]
    bins: tuple[str, ...]
    bin_name: str
    has_dates: bool
    has_venues: bool


def landed_and_lost(stints: pd.DataFrame, order: Sequence[str]) -> Landed | None:
    """Fish landed against fish lost; None where no stint says how many were lost, or none was."""
    lost = pd.to_numeric(logged(stints, "lost"))
    known = lost.notna()
    hooked = lost[known].sum() + stints.loc[known, "fish"].sum()
    if not known.any() or not hooked:
        return None
    counts = pd.DataFrame(
        {
            "variant": stints.loc[known, "variant"].astype(str),
            "landed": stints.loc[known, "fish"].astype(int),
            "lost": lost[known].astype(int),
        }
    )
    sums = counts.groupby("variant").sum()
    rows = tuple(
        LandedRow(name, int(sums["landed"][name]), int(sums["lost"][name]))
        for name in order
        if name in sums.index
    )
    return Landed(rows, int((~known).sum()))


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
            "date": logged_dates(stints),
        }
    )
    first = keys.groupby(["angler", "session"], sort=False)["date"].transform("min")
    order = keys.assign(date=first).drop_duplicates(["angler", "session"])
    order = order.sort_values("date", kind="stable", na_position="last")
    order["trip"] = range(len(order))
    numbers = keys.merge(order[["angler", "session", "trip"]], on=["angler", "session"])
    return pd.Series(numbers["trip"].to_numpy(), index=stints.index, name="trip")


def contributions(stints: pd.DataFrame) -> pd.DataFrame:
    """Who contributed what: one row an angler, by name; rows without one come last.

    Columns: angler, trips, rod_hours, fish. Two people on one trip are two trips here, as
    everywhere: a trip is known by angler and session.
    """
    frame = pd.DataFrame(
        {
            "angler": logged(stints, "angler").astype("string").fillna(NO_ANGLER).astype(str),
            "trip": trips(stints),
            "rod_hours": stints["hours"].astype(float),
            "fish": stints["fish"].astype(int),
        }
    )
    table = frame.groupby("angler", as_index=False).agg(
        trips=("trip", "nunique"), rod_hours=("rod_hours", "sum"), fish=("fish", "sum")
    )
    last = table["angler"] == NO_ANGLER
    return pd.concat([table[~last], table[last]], ignore_index=True)


def batches_fished(stints: pd.DataFrame) -> pd.DataFrame:
    """What each batch did: one row a batch of a bait, in their order; none where none is logged.

    Columns: batch, variant, trips, rod_hours, fish, and the ages in days between which it was
    fished, NaN where they are not known.
    """
    frame = pd.DataFrame(
        {
            "variant": stints["variant"].astype(str),
            "batch": logged(stints, "batch"),
            "trip": trips(stints),
            "rod_hours": stints["hours"].astype(float),
            "fish": stints["fish"].astype(int),
            "age": pd.to_numeric(logged(stints, "age_days")).astype("Float64"),
        }
    )
    return frame.groupby(["variant", "batch"], as_index=False).agg(
        trips=("trip", "nunique"),
        rod_hours=("rod_hours", "sum"),
        fish=("fish", "sum"),
        youngest=("age", "min"),
        oldest=("age", "max"),
    )


def date_span(stints: pd.DataFrame) -> tuple[str | None, str | None]:
    """First and last date as ISO text, None where no date is logged."""
    dates = logged_dates(stints).dropna()
    if dates.empty:
        return None, None
    return dates.min().date().isoformat(), dates.max().date().isoformat()


def hours_by_place(stints: pd.DataFrame, order: Sequence[str]) -> HoursByPlace:
    """Rod-hours by variant, water and month (quarter or year where months are too many)."""
    dates = logged_dates(stints)
    when, bins, bin_name = _time_bins(dates)
    venue = logged(stints, "venue").astype("string").fillna(NO_VENUE).astype(str)
    hours = pd.Series(stints["hours"].astype(float))
    most = hours.groupby(venue).sum().sort_values(ascending=False, kind="stable")
    kept = list(most.index[: MOST_VENUES if len(most) <= MOST_VENUES else MOST_VENUES - 1])
    if len(most) > MOST_VENUES:
        venue = venue.where(venue.isin(kept), OTHER_VENUES)
        kept.append(OTHER_VENUES)
    cells = pd.DataFrame(
        {
            "variant": stints["variant"].astype(str),
            "venue": venue,
            "when": when,
            "rod_hours": hours,
        }
    )
    frame = cells.groupby(["variant", "venue", "when"], as_index=False).agg(
        rod_hours=("rod_hours", "sum")
    )
    frame["share"] = frame["rod_hours"] / frame.groupby("variant")["rod_hours"].transform("sum")
    ranks = {
        "variant": {v: i for i, v in enumerate(order)},
        "venue": {v: i for i, v in enumerate(kept)},
        "when": {b: i for i, b in enumerate(bins)},
    }
    for name, rank in ranks.items():
        frame[f"{name}_rank"] = frame[name].map(rank)
    frame = frame.sort_values([f"{name}_rank" for name in ranks])
    frame = frame[["variant", "venue", "when", "rod_hours", "share"]].reset_index(drop=True)
    return HoursByPlace(
        frame,
        tuple(kept),
        tuple(bins),
        bin_name,
        bool(dates.notna().any()),
        any(name != NO_VENUE for name in most.index),
    )


def largest_gap(places: HoursByPlace, reference: str) -> LargestGap | None:
    """Where a variant's hours differ most from the reference's: a water or a stretch of time.

    None where there is nothing to compare or every difference in shares is under 10 points. Of
    variants with under a tenth of all hours nothing is said: a few stints always lie unevenly.
    """
    best, widest = None, WORTH_NAMING
    by_variant = places.frame.groupby("variant")["rod_hours"].sum()
    enough = set(by_variant.index[by_variant >= ENOUGH_HOURS * by_variant.sum()]) | {reference}
    for column, preposition in (("venue", "on"), ("when", "in")):
        shares = places.frame.pivot_table(
            index=column, columns="variant", values="share", aggfunc="sum", fill_value=0.0
        )
        shares = shares.drop(index=[NO_DATE, NO_VENUE], errors="ignore")
        if reference not in shares or shares.shape[1] < 2:
            continue
        others = shares[[v for v in shares.columns if v in enough and v != reference]]
        own = shares[reference].to_numpy(float)
        gaps = np.abs(others.to_numpy(float) - own[:, None])
        if not gaps.size:
            continue
        row, at = divmod(int(gaps.argmax()), gaps.shape[1])
        gap = float(gaps[row, at])
        if gap > widest or (best is None and gap == widest):
            widest = gap
            best = LargestGap(
                str(others.columns[at]),
                reference,
                f"{preposition} {shares.index[row]}",
                float(others.to_numpy(float)[row, at]),
                float(own[row]),
            )
    return best


def logged(stints: pd.DataFrame, name: str) -> pd.Series:
    """A column of the log, missing throughout where the log does not have it."""
    if name in stints:
        return stints[name]
    return pd.Series(pd.NA, index=stints.index, dtype="string")


def logged_dates(stints: pd.DataFrame) -> pd.Series:
    """The day of each stint's trip, NaT where it is not known."""
    return dates_of(stints)


def _time_bins(dates: pd.Series) -> tuple[pd.Series, list[str], str]:
    """Months while they are few, then quarters, then years; dates that are missing come last."""
    known = dates.dropna()
    names: list[str] = []
    labels = pd.Series(NO_DATE, index=dates.index, dtype=object)
    bin_name = "month"
    if not known.empty:
        for frequency, name in (("M", "month"), ("Q", "quarter"), ("Y", "year")):
            periods = known.dt.to_period(frequency)
            span = pd.period_range(periods.min(), periods.max(), freq=frequency)
            bin_name = name
            if len(span) <= MOST_BINS:
                break
        names = [_period_name(period, bin_name) for period in span]
        named = pd.Series([_period_name(p, bin_name) for p in periods], index=known.index)
        labels = labels.where(dates.isna(), named)
    if known.size < dates.size:
        names.append(NO_DATE)
    return labels, names, bin_name


def _period_name(period: pd.Period, bin_name: str) -> str:
    if bin_name == "month":
        return str(period.strftime("%b %Y"))
    return f"{period.year} Q{period.quarter}" if bin_name == "quarter" else str(period.year)
