"""How much of each stint was in darkness, from the sun: cast times, a time zone and a place."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from functools import lru_cache

import numpy as np
import pandas as pd

NIGHT = "night"
"""The column: the share of a stint's time in darkness."""
NEEDS = ("cast_in", "cast_out")
DEPRESSION = 6.0
"""It is dark while the sun is further below the horizon than this, in degrees: civil twilight."""


def with_night(
    stints: pd.DataFrame, zone: tzinfo | None = None, at: tuple[float, float] | None = None
) -> pd.DataFrame:
    """The stints with a column `night`, where cast times and a place give it for any.

    `zone` is that of cast times without an offset (None: this machine's); `at` the latitude and
    longitude (degrees, north and east) of sessions without their own. NaN where one is unknown.
    """
    if NIGHT in stints.columns or not set(NEEDS) <= set(stints.columns):
        return stints
    place = [
        stints[name].fillna(stated) if name in stints.columns else [stated] * len(stints)
        for name, stated in zip(("latitude", "longitude"), at or (np.nan, np.nan), strict=True)
    ]
    rows = zip(stints["cast_in"], stints["cast_out"], place[0], place[1], strict=True)
    share = np.array([_share(*row, zone=zone) for row in rows], dtype=np.float64)
    return stints.assign(**{NIGHT: share}) if np.isfinite(share).any() else stints


def _share(
    began: object, ended: object, latitude: float, longitude: float, *, zone: tzinfo | None
) -> float:
    if not (isinstance(began, str) and isinstance(ended, str)) or np.isnan(latitude + longitude):
        return float("nan")
    start, end = (_instant(one, zone) for one in (began, ended))
    if not start < end:
        return float("nan")
    dark = timedelta()
    for dusk, dawn in _nights(start, end, round(latitude, 2), round(longitude, 2)):
        dark += max(min(end, dawn) - max(start, dusk), timedelta())
    return dark / (end - start)


def _instant(text: str, zone: tzinfo | None) -> datetime:
    local = datetime.fromisoformat(text)
    if local.tzinfo is None and zone is not None:
        local = local.replace(tzinfo=zone)
    return local.astimezone(UTC)


def _nights(
    start: datetime, end: datetime, latitude: float, longitude: float
) -> Iterator[tuple[datetime, datetime]]:
    """The nights, dusk to dawn, from the eve of the start to the day of the end."""
    for day in range((end - start).days + 4):
        night = _night(start.date() + timedelta(days=day - 2), latitude, longitude)
        if night is not None:
            yield night


@lru_cache(maxsize=4096)
def _night(day: date, latitude: float, longitude: float) -> tuple[datetime, datetime] | None:
    """The night after a day at a place; None where it does not get dark, a day long where it does
    not get light."""
    from astral import Observer
    from astral.sun import dawn, dusk, elevation

    here, solar = Observer(latitude, longitude), timezone(timedelta(hours=longitude / 15.0))
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=solar)
    if elevation(here, noon) < -DEPRESSION:
        return noon, noon + timedelta(days=1)
    try:
        return (
            dusk(here, day, DEPRESSION, solar),
            dawn(here, day + timedelta(days=1), DEPRESSION, solar),
        )
    except ValueError:
        # Near the pole the sun may not go down so far.
        return None
