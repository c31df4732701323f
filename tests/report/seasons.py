"""Invented seasons and hand-made results for the tests of the report.

The results are inputs here: their figures are made up, not worked out from the seasons.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.result import Note
from rodhours.evidence.results import (
    AllTripsEstimate,
    Comparison,
    ComparisonResult,
    FittedModel,
    Limits,
    RateRow,
    RateSummary,
    RatioEstimate,
)

VARIANTS = ("plain", "pellet-10", "pellet-20", "double-dose")


def a_season(
    variants: Sequence[str] = VARIANTS,
    trips: int = 45,
    venues: Sequence[str] = ("Alder Mere", "Long Pit"),
    no_fish: bool = False,
    seed: int = 7,
    days_between: int = 5,
) -> pd.DataFrame:
    """Stints of an invented season: three rods a trip, the last variants favoured in summer."""
    rng = np.random.default_rng(seed)
    rows: list[dict[str, Any]] = []
    for trip in range(trips):
        date = pd.Timestamp("2025-03-14") + pd.Timedelta(days=days_between * trip)
        summer = 6 <= date.month <= 8
        weights = np.array([1.0 + summer * i for i in range(len(variants))])
        luck = np.exp(rng.normal(-0.5, 1.0) + 0.5 * summer)
        for rod in range(3):
            variant = variants[rng.choice(len(variants), p=weights / weights.sum())]
            hours = float(np.round(rng.uniform(8, 30) * 4) / 4)
            fish = 0 if no_fish else int(rng.poisson(0.035 * hours * luck))
            if trip == 24 and rod == 1 and not no_fish:
                fish = 7
            rows.append(
                {
                    "session": f"trip {trip + 1}",
                    "angler": pd.NA,
                    "date": date,
                    "venue": venues[int(rng.integers(len(venues)))] if rod == 0 else None,
                    "rod": str(rod + 1),
                    "variant": variant,
                    "hours": hours,
                    "fish": fish,
                }
            )
    frame = pd.DataFrame(rows)
    frame["venue"] = frame.groupby("session")["venue"].transform("first")
    frame["angler"] = frame["angler"].astype("string")
    return frame


def a_comparison(
    variant: str = "pellet-20",
    ratio: float | None = 1.31,
    low: float | None = 0.86,
    high: float | None = 2.02,
    verdict: str = "unsettled",
    **changes: Any,
) -> Comparison:
    """One comparison with the figures of the worked example, and whatever is changed."""
    values: dict[str, Any] = {
        "variant": variant,
        "basis": "same trips",
        "rate_ratio": ratio,
        "conf_low": low,
        "conf_high": high,
        "p_value": 0.206,
        "verdict": verdict,
        "fish": 41,
        "rod_hours": 1050.5,
        "reference_fish": 30,
        "reference_rod_hours": 1100.0,
        "sessions": 31,
        "shared_sessions": 31,
        "alone": Limits(0.92, 1.87, 0.13),
        "all_trips": AllTripsEstimate(
            1.88, 1.2, 2.95, 0.004, fish=52, rod_hours=1290.0, sessions=45
        ),
        "poisson": RatioEstimate(1.79, 1.31, 2.44, 0.0002),
    }
    return Comparison(**(values | changes))


def a_result(
    comparisons: Sequence[Comparison] | None = None,
    notes: Sequence[Note] | None = None,
    reference: str = "plain",
    **changes: Any,
) -> ComparisonResult:
    """A hand-made result: three variants against plain unless given."""
    if comparisons is None:
        comparisons = (
            a_comparison("pellet-10", 0.95, 0.62, 1.45, shared_sessions=27, sessions=38),
            a_comparison(sessions=38),
            a_comparison("double-dose", 2.2, 1.3, 4.1, "ahead", shared_sessions=22, sessions=38),
        )
    if notes is None:
        notes = (
            Note(
                "favourite_conditions",
                "pellet-20",
                "serious",
                {"same_trips_ratio": 1.31, "all_trips_ratio": 1.88, "z": 2.4},
            ),
            Note("adjust_by_rod", None, "caution", {"columns": ["rod"]}),
            Note("column_constant_within_trips", None, "information", {"column": "month"}),
        )
    values: dict[str, Any] = {
        "reference": reference,
        "confidence": 0.95,
        "adjusted_for": (),
        "comparisons": tuple(comparisons),
        "models": (
            FittedModel("same trips", (), 38, 80, 36, 0.94, 0.12, -131.25),
            FittedModel("all trips", (), 45, 104, 43, 0.9, 0.1, -160.5),
        ),
        "margin": 1.25,
        "version": "0.1.0",
        "notes": tuple(notes),
        "filters": {},
        "logbook_sha256": "ab" * 32,
    }
    return ComparisonResult(**(values | changes))


def a_summary(stints: pd.DataFrame, by: str = "variant") -> RateSummary:
    """Totals of the season with made-up limits of half and twice the rate."""

    def row(name: str, part: pd.DataFrame) -> RateRow:
        hours, fish = float(part["hours"].sum()), int(part["fish"].sum())
        per_100 = 100 * fish / hours if hours else None
        caught = part.groupby("session")["fish"].sum()
        return RateRow(
            group=name,
            sessions=len(caught),
            blanks=int((caught == 0).sum()),
            stints=len(part),
            rod_hours=hours,
            fish=fish,
            per_100_rod_hours=per_100,
            conf_low=None if per_100 is None else per_100 / 2,
            conf_high=None if per_100 is None else 2 * per_100 if fish else 300 / hours,
            method="session model" if fish else "exact Poisson",
        )

    rows = tuple(row(str(name), part) for name, part in stints.groupby(by))
    return RateSummary(by, rows, row("all", stints), 0.95)


LONG = "pellet-20 of the second batch, rolled thin over 14 mm cork, boiled for ninety seconds"
HOSTILE = '<script>alert(\'x\')</script> & "quotes" $x^2$ #1c1b19 id="q"'
OTHER_SCRIPTS = "小麦粉とペレット"
NOTHING = {
    "all_trips": AllTripsEstimate(None, None, None, None, fish=0, rod_hours=1290.0, sessions=45),
    "poisson": RatioEstimate(None, None, None, None),
}
TWELVE = ("plain", LONG, HOSTILE, OTHER_SCRIPTS, *(f"mix {i}" for i in range(8)))
CASES = {
    "a season": (a_season(), a_result()),
    "no fish at all": (
        a_season(no_fish=True),
        a_result(
            [a_comparison("pellet-20", None, None, None, "too little to say", fish=0, **NOTHING)]
        ),
    ),
    "one variant": (a_season(("plain",)), a_result(())),
    "one trip": (a_season(("plain", "pellet-20"), trips=1), a_result([a_comparison()])),
    "twelve variants, 150 trips": (
        a_season(TWELVE, trips=150, days_between=8),
        a_result([a_comparison(name) for name in TWELVE[1:]]),
    ),
    "no dates, no waters": (a_season().drop(columns=["venue"]).assign(date=pd.NaT), a_result()),
    "open limits": (
        a_season(),
        a_result(
            [
                a_comparison("pellet-10", 0.0, 0.0, 0.34, "behind", fish=0),
                a_comparison("pellet-20", None, 2.9, None, "ahead", reference_fish=0),
                a_comparison("double-dose", 1.2, None, None, "too little to say"),
            ]
        ),
    ),
}


def contrast(first, second):
    """Contrast ratio of two colours: W3C, Web Content Accessibility Guidelines 2.1, 1.4.11."""

    def luminance(colour):
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
