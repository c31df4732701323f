"""Random logs of hardly any fish, as an angler has them in May, each with something odd.

Scope: numpy and pandas only. One to fifteen fish in ten to twenty trips, or in one; variants that
share no trip, a variant whose trips are all blank, one stint of ten thousand hours, rods logged
or not, months and waters that go along with a bait.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

VARIANTS = ("plain", "pellet-20", "double-dose", "crumb")
WATERS = ("Alder Mere", "Long Pit")


def nasty_log(seed: int) -> pd.DataFrame:
    """A stint frame: session, date, venue, water_temp_c, rod, variant, hours, fish."""
    rng = np.random.default_rng(seed)
    trips = 1 if rng.random() < 0.05 else int(rng.integers(10, 21))
    rods = int(rng.integers(1, 4))
    variants = int(rng.integers(2, 5 if trips > 1 else 3))
    trip = np.repeat(np.arange(trips), rods)
    whole_trips = rng.random() < 0.3
    drawn = rng.integers(0, variants, trips if whole_trips else trips * rods)
    variant = np.repeat(drawn, rods) if whole_trips else drawn
    variant[0] = 0
    variant[-1] = 1
    hours = rng.choice([6.0, 12.0, 23.5, 24.0, 48.0], trips * rods)
    if rng.random() < 0.1:
        hours[rng.integers(len(hours))] = 10_000.0
    share = hours * np.exp(rng.normal(0, 1.2, trips))[trip] * rng.gamma(0.7, 1, len(hours))
    oddity = rng.integers(0, 4)
    if oddity == 0:  # All fish on one variant.
        share[variant != rng.integers(0, 2)] = 0.0
    elif oddity == 1:  # A water, and half of the trips, where one never caught.
        share[(variant == 1) & (trip % 2 == 0)] = 0.0
    if share.sum() == 0:
        share = hours
    fish = rng.multinomial(int(rng.integers(1, 16)), share / share.sum())
    start = pd.Timestamp("2025-04-05")
    frame = pd.DataFrame(
        {
            "session": [f"T{one + 1}" for one in trip],
            "date": [start + pd.Timedelta(days=8 * int(one)) for one in trip],
            "venue": np.array(WATERS)[trip % 2],
            "water_temp_c": np.round(rng.normal(12, 4, trips), 1)[trip],
            "rod": np.tile(np.arange(1, rods + 1), trips),
            "variant": np.array(VARIANTS)[variant],
            "hours": hours,
            "fish": fish,
        }
    )
    return frame if rng.random() < 0.6 else frame.drop(columns="rod")


def recipes_of(log: pd.DataFrame) -> pd.DataFrame:
    """A recipe a variant, which differ in their share of pellet and, by two, in size."""
    names = [one for one in VARIANTS if one in set(log["variant"])]
    return pd.DataFrame(
        {
            "variant": names,
            "pellet_pct": [float(10 * VARIANTS.index(one)) for one in names],
            "size_mm": [14.0 + 2 * (VARIANTS.index(one) // 2) for one in names],
        }
    )
