"""The numbers behind the pictures as tables to be shown, and as files that lie inside the page.

Cells are text, columns are headings. Cells of a file are safe to open in a spreadsheet.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import pandas as pd

from rodhours.evidence.results import Comparison, RateRow, RatioEstimate, RatioRow
from rodhours.evidence.sizes import SizesResult
from rodhours.spreadsheet_cells import csv_text
from rodhours.words import report as words
from rodhours.words.numbers import (
    MISSING,
    exists,
    fish_every,
    hours,
    limits_short,
    number,
    p_value,
    percent,
    rate,
    rate_limits,
    ratio,
)
from rodhours.words.sizes import ratio_cell
from rodhours.words.weights import weight

_THOUSANDS = re.compile(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?")
_NUMBER = re.compile(r"[-+−]?\d+(\.\d+)?")
_MARK = "\ufeff"
"""Tells spreadsheets that the file is UTF-8."""


def has_ratio(row: Comparison | RatioEstimate) -> bool:
    """Whether there is a ratio or a limit to be drawn."""
    return any(exists(value) for value in (row.rate_ratio, row.conf_low, row.conf_high))


_FORMS: dict[str, Callable[[Any], str]] = {
    "trips": number,
    "landed": number,
    "lost": number,
    "blanks": number,
    "fish": number,
    "rod_hours": lambda spent: hours(spent).split()[0],
}


def as_shown(sums: pd.DataFrame) -> pd.DataFrame:
    """Sums as a table to be shown: columns are called by their names, counts and hours are text."""
    return pd.DataFrame(
        {
            name.replace("_", "-").capitalize(): sums[name].map(_FORMS.get(name, str))
            for name in sums
        }
    )


def rates_table(rows: Sequence[RateRow]) -> pd.DataFrame:
    """Catch rates as a table to be shown; `rows` are those of a RateSummary."""
    sums = [(row.group, row.sessions, row.blanks, row.rod_hours, row.fish) for row in rows]
    frame = pd.DataFrame(sums, columns=["variant", "trips", "blanks", "rod_hours", "fish"])
    return as_shown(frame).assign(
        **{
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
    landed: pd.DataFrame, biggest_kg: Mapping[str, float | None], units: str
) -> pd.DataFrame:
    """Fish landed and lost by variant as a table to be shown; the biggest where any was weighed.

    `landed` as `landed_and_lost` gives it; `units` is lb or kg.
    """
    hooked = landed["landed"] + landed["lost"]
    shown = as_shown(landed)
    shown["Lost of those hooked"] = [
        percent(lost / of) if of else MISSING
        for lost, of in zip(landed["lost"], hooked, strict=True)
    ]
    if any(value is not None for value in biggest_kg.values()):
        shown["Biggest weighed"] = [weight(biggest_kg.get(one), units) for one in landed["variant"]]
    return shown


def sizes_table(result: SizesResult, units: str) -> pd.DataFrame:
    """Sizes by variant as a table to be shown; `units` is lb or kg."""
    rows = result.rows
    against = {one.variant: ratio_cell(one) for one in result.comparisons}
    quarters = [
        [weight(kg, units) for kg in (row.lower_quartile_kg, row.upper_quartile_kg)] for row in rows
    ]
    return pd.DataFrame(
        {
            "Variant": [row.variant for row in rows],
            "Weighed": [f"{row.weighed:,}" for row in rows],
            "Not weighed": [f"{row.unweighed:,}" for row in rows],
            "Median": [weight(row.median_kg, units) for row in rows],
            "Middle half": [
                MISSING if low == MISSING else f"{low} to {high}" for low, high in quarters
            ],
            "Biggest": [weight(row.biggest_kg, units) for row in rows],
            "Typical weight ratio": [against.get(row.variant, "reference") for row in rows],
        }
    )


def batches_table(batches: pd.DataFrame) -> pd.DataFrame:
    """What each batch did as a table to be shown; `batches` as `batches_fished` gives it."""
    ages = [
        MISSING if pd.isna(low) else f"{low:,.0f} to {high:,.0f}"
        for low, high in zip(batches["youngest"], batches["oldest"], strict=True)
    ]
    columns = ["batch", "variant", "trips", "rod_hours", "fish"]
    return as_shown(batches[columns]).assign(**{"Days old": ages})


def cell_text(text: str) -> str:
    """A cell of the page as a spreadsheet takes it: numbers without commas and with its minus."""
    if _THOUSANDS.fullmatch(text):
        text = text.replace(",", "")
    if _NUMBER.fullmatch(text):
        return text.replace("−", "-")
    return text


def csv_link(table: pd.DataFrame) -> str:
    """The table as an address that holds the file itself."""
    rows = [table.columns, *table.itertuples(index=False, name=None)]
    text = csv_text([[cell_text(str(cell)) for cell in row] for row in rows])
    data = base64.b64encode((_MARK + text).encode("utf-8")).decode("ascii")
    return f"data:text/csv;charset=utf-8;base64,{data}"
