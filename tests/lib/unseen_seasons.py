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
from rodhours.evidence.darkness import with_night
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


def favourite_by_night(
    rng: np.random.Generator, ratio: float = 1.0, trips: int = 40, often: float = 0.75
) -> pd.DataFrame:
    """Two rods, each recast at 8 in the evening and in the morning; darkness catches three times
    as fast as light.

    A rod has the favourite in a part `often` of the nights and 1 - `often` of the days (0.5 is a
    clean log). Trips are strewn over April to October; the column `night` is from the sun.
    """
    trip = np.repeat(np.arange(trips), 4)
    by_night = np.tile([True, True, False, False], trips)
    favourite = rng.random(len(trip)) < np.where(by_night, often, 1.0 - often)
    day = np.sort(rng.choice(210, trips, replace=False))[trip]
    evening = pd.Timestamp("2025-04-01 20:00") + pd.to_timedelta(day, unit="D")
    began = evening + pd.to_timedelta(np.where(by_night, 0, 12), unit="h")
    where = pd.DataFrame({"latitude": HERE[0], "longitude": HERE[1]}, index=range(len(trip)))
    casts = {
        name: [f"{moment:%Y-%m-%dT%H:%M}+00:00" for moment in moments]
        for name, moments in (
            ("cast_in", began),
            ("cast_out", began + pd.Timedelta(hours=12)),
        )
    }
    night = with_night(where.assign(**casts))["night"].to_numpy()
    mean = 12.0 * RATE * _effects(rng, trips)[trip] * (1.0 + 2.0 * night)
    rod = np.tile(["1", "2"], 2 * trips)
    return _frame(rng, trip, favourite, mean, 12.0, ratio, rod=rod, night=night, **casts)


def stays_as_trips(
    rng: np.random.Generator, ratio: float = 1.0, stays: int = 10, days: int = 5
) -> pd.DataFrame:
    """Stays of several days, each with one bait, every day of which is logged as a trip.

    The effect is that of the stay; with `days` = 1 the log is clean. Stays are a week apart and
    more, on two waters.
    """
    stay = np.repeat(np.arange(stays), 3 * days)
    day = np.tile(np.repeat(np.arange(days), 3), stays)
    favourite = rng.permutation(np.arange(stays) % 2 == 1)[stay]
    mean = 20.0 * RATE * _effects(rng, stays)[stay]
    start = np.cumsum(rng.integers(days + 3, days + 12, stays))
    return _frame(
        rng,
        stay * days + day,
        favourite,
        mean,
        20.0,
        ratio,
        rod=np.tile(["1", "2", "3"], stays * days),
        date=pd.Timestamp("2025-03-01") + pd.to_timedelta(start[stay] + day, unit="D"),
        venue=np.array(["Alder Mere", "Osier Pit"], dtype=object)[stay % 2],
    )


def written_as_days(
    rng: np.random.Generator, ratio: float = 1.0, trips: int = 40, clean: bool = False
) -> pd.DataFrame:
    """The favourite is in the water for 6 to 20 hours of each day and written 24, like the other.

    Where `clean`, hours are written as they were, to the quarter.
    """
    trip = np.repeat(np.arange(trips), 2)
    favourite = np.tile([False, True], trips)
    hours = np.round(4.0 * np.where(favourite, rng.uniform(6.0, 20.0, len(trip)), 24.0)) / 4.0
    if clean:
        hours = np.round(4.0 * rng.uniform(18.0, 30.0, len(trip))) / 4.0
    mean = hours * RATE * _effects(rng, trips)[trip]
    written = hours if clean else 24.0
    return _frame(rng, trip, favourite, mean, written, ratio, rod=np.tile(["1", "2"], trips))


def waters_that_disagree(
    rng: np.random.Generator, ratios: tuple[float, float] = (1.0, 1.0), trips: int = 50
) -> pd.DataFrame:
    """Both baits on every trip to one of two waters, with a ratio of each water's own.

    The second water has twice the rate of the first. Equal ratios are a clean log.
    """
    trip, rod = np.repeat(np.arange(trips), 2), np.tile(["1", "2"], trips)
    favourite = (trip + (rod == "2")) % 2 == 1
    second = rng.permutation(np.arange(trips) % 2 == 1)[trip]
    mean = 30.0 * RATE * _effects(rng, trips)[trip] * np.where(second, 2.0, 1.0)
    own = np.where(second, *ratios[::-1])
    day = np.sort(rng.integers(0, 570, trips))[trip]
    return _frame(
        rng,
        trip,
        favourite,
        mean * np.where(favourite, own, 1.0),
        30.0,
        1.0,
        rod=rod,
        venue=np.where(second, "Osier Pit", "Alder Mere").astype(object),
        date=pd.Timestamp("2024-04-01") + pd.to_timedelta(day, unit="D"),
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


HABITS = ("rod that shows", "after fish", "after a blank")


def plan_departed_from(
    rng: np.random.Generator,
    ratio: float = 1.0,
    habit: str = HABITS[0],
    trips: int = 40,
    often: float = 0.5,
) -> pd.DataFrame:
    """A rotation on three rods, one of which, another each trip, catches three times as fast.

    On a part `often` of the trips the favourite is moved: "rod that shows" swaps it from the
    start with the bait on that rod; "after fish" puts it, for the second half, on each rod that
    caught in the first; "after a blank" on each that did not. Halves are stints of their own.
    """
    shape = (trips, 3, 2)
    trip, rod, half = np.indices(shape)
    planned = (trip + rod) % 2 == 1
    shows = rng.integers(0, 3, trips)[:, None, None] == rod
    swaps = (rng.random(trips) < often)[:, None, None]
    mean = 12.0 * RATE * _effects(rng, trips)[:, None, None] * np.where(shows, 3.0, 1.0)
    fished = planned.copy()
    if habit == "rod that shows":
        taken = swaps & shows & ~planned
        fished |= taken
        # Its own bait goes where the favourite was: the first rod that had it.
        first = planned & (np.cumsum(planned, axis=1) == 1)
        fished &= ~(first & taken.any(axis=1, keepdims=True))
    fish = rng.poisson(mean * np.where(fished, ratio, 1.0))
    if habit != "rod that shows":
        caught = fish[:, :, :1] > 0
        moved = swaps & (half == 1) & (caught if habit == "after fish" else ~caught)
        again = rng.poisson(mean * ratio)
        fished, fish = fished | moved, np.where(moved & ~fished, again, fish)
    return pd.DataFrame(
        {
            "session": [f"T{one + 1}" for one in trip.ravel()],
            "rod": (rod.ravel() + 1).astype(str),
            "variant": np.where(fished, FAVOURITE, REFERENCE).ravel(),
            "planned": np.where(planned, FAVOURITE, REFERENCE).ravel(),
            "hours": 12.0,
            "fish": fish.ravel(),
        }
    )
