"""The numbers behind the pictures as tables to be shown: cells are text, columns are headings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pandas as pd

from rodhours.evidence.results import Comparison, ComparisonResult, RateRow, RatioEstimate, RatioRow
from rodhours.words import landed as landed_words
from rodhours.words import report as words
from rodhours.words.numbers import (
    MISSING,
    exists,
    fish_every,
    hours,
    limits_short,
    p_value,
    rate,
    rate_limits,
    ratio,
)
from rodhours.words.weights import weight


def has_ratio(row: Comparison | RatioEstimate) -> bool:
    """Whether there is a ratio or a limit to be drawn."""
    return any(exists(value) for value in (row.rate_ratio, row.conf_low, row.conf_high))


def rates_table(rows: Sequence[RateRow]) -> pd.DataFrame:
    """Catch rates as a table to be shown; `rows` are those of a RateSummary."""
    return pd.DataFrame(
        {
            "Variant": [row.group for row in rows],
            "Trips": [f"{row.sessions:,}" for row in rows],
            "Blanks": [f"{row.blanks:,}" for row in rows],
            "Rod-hours": [hours(row.rod_hours).split()[0] for row in rows],
            "Fish": [f"{row.fish:,}" for row in rows],
            "Per 100 rod-hours": [rate(row.per_100_rod_hours) for row in rows],
            "Limits": [rate_limits(row.conf_low, row.conf_high) for row in rows],
            "In words": [fish_every(row.per_100_rod_hours) for row in rows],
            "Method": [row.method for row in rows],
        }
    )


def ratios_table(
    rows: Sequence[RatioRow], margin: float | None = None, confidence: float = 0.95
) -> pd.DataFrame:
    """Rate ratios as a table to be shown.

    `margin` and `confidence` are those that the verdicts hang on: no rounding carries a limit or
    a p-value across them.
    """
    return pd.DataFrame(
        {
            "Variant": [row.variant for row in rows],
            "Basis": [words.basis(row) for row in rows],
            "Ratio": ["no fish" if row.rate_ratio == 0 else ratio(row.rate_ratio) for row in rows],
            "Limits": [limits_short(row.conf_low, row.conf_high, margin) for row in rows],
            "p": [p_value(row.p_value, 1 - confidence) for row in rows],
            "Fish": [f"{row.fish:,}" for row in rows],
            "Rod-hours": [hours(row.rod_hours).split()[0] for row in rows],
            "Trips": [f"{row.sessions:,}" for row in rows],
        }
    )


def calendar_table(marks: pd.DataFrame) -> pd.DataFrame:
    """Rod-hours and fish by trip and variant as a table; `marks` as `calendar` gives them."""
    return pd.DataFrame(
        {
            "Variant": marks["variant"],
            "Trip": marks["session"],
            "Date": marks["date"].dt.strftime("%Y-%m-%d").fillna("not logged"),
            "Water": marks["water"],
            "Rod-hours": [f"{h:,.2f}".rstrip("0").rstrip(".") for h in marks["rod_hours"]],
            "Fish": marks["fish"],
        }
    )


def landed_table(
    landed: landed_words.Landed, biggest_kg: Mapping[str, float | None], units: str
) -> pd.DataFrame:
    """Fish landed and lost by variant as a table to be shown; the biggest where any was weighed.

    `units` is lb or kg.
    """
    rows = landed.rows
    columns = [
        [row.variant for row in rows],
        [f"{row.landed:,}" for row in rows],
        [f"{row.lost:,}" for row in rows],
        [landed_words.share(row) for row in rows],
    ]
    if any(value is not None for value in biggest_kg.values()):
        columns.append([weight(biggest_kg.get(row.variant), units) for row in rows])
    return pd.DataFrame(dict(zip(landed_words.HEADINGS, columns, strict=False)))


def batches_table(batches: pd.DataFrame) -> pd.DataFrame:
    """What each batch did as a table to be shown; `batches` as `batches_fished` gives it."""
    ages = [
        MISSING if pd.isna(low) else f"{low:,.0f} to {high:,.0f}"
        for low, high in zip(batches["youngest"], batches["oldest"], strict=True)
    ]
    return pd.DataFrame(
        {
            "Batch": batches["batch"].astype(str),
            "Variant": batches["variant"],
            "Trips": [f"{trips:,}" for trips in batches["trips"]],
            "Rod-hours": [hours(spent).split()[0] for spent in batches["rod_hours"]],
            "Fish": [f"{fish:,}" for fish in batches["fish"]],
            "Days old": ages,
        }
    )


def anglers_table(who: pd.DataFrame) -> pd.DataFrame:
    """Who contributed what as a table to be shown; `who` as `contributions` gives it."""
    return pd.DataFrame(
        {
            "Angler": who["angler"],
            "Trips": [f"{trips:,}" for trips in who["trips"]],
            "Rod-hours": [hours(spent).split()[0] for spent in who["rod_hours"]],
            "Fish": [f"{fish:,}" for fish in who["fish"]],
        }
    )
