"""Dates of a frame of stints: datetimes or ISO text, and nothing that could be read two ways."""

from __future__ import annotations

from typing import Any

import pandas as pd

from rodhours.errors import UsageError


def dates_of(stints: pd.DataFrame, column: str = "date") -> pd.Series:
    """The column as datetimes without a zone, NaT where it is empty or there is no such column.

    UsageError for a text that is no ISO 8601 date: 12/04/2025 is a day of April to one reader
    and of December to another.
    """
    if column not in stints.columns:
        return pd.Series(pd.NaT, index=stints.index, dtype="datetime64[ns]")
    dates = stints[column]
    if not pd.api.types.is_datetime64_any_dtype(dates):
        try:
            if pd.api.types.is_numeric_dtype(dates) and dates.notna().any():
                raise ValueError
            dates = pd.to_datetime(dates, format="ISO8601")
        except (ValueError, TypeError):
            texts = dates.astype("string").dropna()
            read = pd.to_datetime(texts, format="ISO8601", errors="coerce")
            odd = texts[read.isna() | pd.api.types.is_numeric_dtype(dates)]
            raise UsageError(
                f"The column '{column}' holds {odd.iloc[0]!r}; right would be dates, as datetimes "
                "or as text such as 2025-04-12."
            ) from None
    return dates if dates.dt.tz is None else dates.dt.tz_localize(None)


def season_names(dates: pd.Series[Any], starts: tuple[int, int] = (1, 1)) -> pd.Series[Any]:
    """The season of each date: its year, or `2025/26` where seasons start within a year.

    `dates` are datetime64; `starts` is the month and day on which a season starts. The name of a
    missing date is missing.
    """
    month, day = starts
    early = (dates.dt.month < month) | ((dates.dt.month == month) & (dates.dt.day < day))
    year = dates.dt.year - early.astype("int64")
    known = year[dates.notna()].astype("int64")
    named = known.astype(str)
    if starts != (1, 1):
        named = named + "/" + ((known + 1) % 100).map("{:02d}".format)
    names: pd.Series[Any] = named.reindex(dates.index)
    return names
