"""Invented seasons with a fault that no model of the catches alone can see, and a stated truth.

Each function returns a stint frame as `simulated_seasons` does, with the columns that show the
fault: spot, date, venue, cast_in and cast_out. Rates are per rod-hour, a trip's own effect is
log-normal with s = 0.7 and mean 1, and the favourite catches `ratio` times as fast as the
reference wherever both are put to the same use.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.evidence.compare import compare
from simulated_seasons import FAVOURITE, REFERENCE

SESSION_SD = 0.7
RATE = 0.03
HERE = (52.5, -1.5)
"""Latitude and longitude of all invented waters."""


def _effects(rng: np.random.Generator, trips: int, sd: float = SESSION_SD) -> np.ndarray:
    return np.exp(sd * rng.standard_normal(trips) - sd * sd / 2.0)


def _frame(
    rng: np.random.Generator,
    trip: np.ndarray,
    favourite: np.ndarray,
    mean: np.ndarray,
    hours: np.ndarray | float,
    ratio: float,
    **columns: object,
) -> pd.DataFrame:
    """Draw the fish; `mean` is what the reference would catch in that stint."""
    return pd.DataFrame(
        {
            "session": [f"T{one + 1}" for one in trip],
            "variant": np.where(favourite, FAVOURITE, REFERENCE),
            "hours": np.broadcast_to(hours, trip.shape),
            "fish": rng.poisson(mean * np.where(favourite, ratio, 1.0)),
            **columns,
        }
    )


def best_spot_kept(
    rng: np.random.Generator, ratio: float = 1.0, trips: int = 40, often: float = 0.8
) -> pd.DataFrame:
    """Three rods on three spots, one of which catches three times as fast as the others.

    The favourite has the best spot in a part `often` of the trips (0.5 is a clean log), the
    others go to the other spots as they come; rods are numbered at random.
    """
    trip = np.repeat(np.arange(trips), 3)
    spot = np.tile(np.arange(3), trips)
    on_best = np.repeat(rng.random(trips) < often, 3)
    other = np.repeat(rng.random(trips) < 0.5, 3)
    # One bait on the best spot, the other on the next, the third rod as it comes.
    favourite = np.where(spot == 0, on_best, np.where(spot == 1, ~on_best, other))
    rods = np.argsort(rng.random((trips, 3)), axis=1).ravel() + 1
    mean = 20.0 * RATE * _effects(rng, trips)[trip] * np.where(spot == 0, 3.0, 1.0)
    names = np.array(["gravel bar", "reed margin", "silt trough"], dtype=object)
    return _frame(rng, trip, favourite, mean, 20.0, ratio, rod=rods.astype(str), spot=names[spot])


def growing_rate(
    rng: np.random.Generator, ratio: float = 1.0, trips: int = 45, overlap: float = 0.0
) -> pd.DataFrame:
    """One bait a trip over nine months in which the rate grows fourfold.

    The favourite takes the place of the reference half-way; in a part `overlap` of the trips,
    whichever they are, the bait is drawn (1 is a clean log).
    """
    trip = np.arange(trips)
    late = trip >= trips // 2
    drawn = rng.random(trips) < overlap
    favourite = np.where(drawn, rng.random(trips) < 0.5, late)
    growth = 4.0 ** (trip / trips - 0.5)
    days = np.sort(rng.integers(0, 270, trips))
    mean = 60.0 * RATE * _effects(rng, trips) * growth
    return _frame(
        rng,
        trip,
        favourite,
        mean,
        60.0,
        ratio,
        date=pd.Timestamp("2025-03-01") + pd.to_timedelta(days, unit="D"),
    )


def coverage_of(
    logs: list[pd.DataFrame], ratio: float, adjust: tuple[str, ...] = (), basis: str = "auto"
) -> float:
    """The share of logs whose headline interval holds the truth."""
    held = 0
    for log in logs:
        (one,) = compare(
            log, REFERENCE, FAVOURITE, adjust=adjust, basis=basis, checks=False
        ).comparisons
        low, high = one.conf_low or 0.0, one.conf_high or np.inf
        held += low <= ratio <= high
    return held / len(logs)
