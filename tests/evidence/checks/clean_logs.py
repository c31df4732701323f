"""Clean logs of several kinds, to count false alarms on: nothing in them follows the baits.

Among them logs of one bait a trip and of seven variants, where chance alone parts the hours most.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pandas as pd

import simulated_seasons as seasons
from simulated_seasons import REFERENCE, Season

LOGS = 20
"""How many are made here; the shares that tests state were measured on 200."""


def clean_logs(logs: int = LOGS) -> Iterator[pd.DataFrame]:
    """Logs: five kinds in turn, of 12 to 60 trips, in one and in three years."""
    kinds: list[Callable[[np.random.Generator], pd.DataFrame]] = [
        seasons.both_on_every_trip,
        seasons.one_a_trip,
        seasons.several_variants,
        lambda rng: seasons.few_trips(rng, one_each=True),
        lambda rng: seasons.several_variants(rng, (1.0, 1.0), Season(trips=30)),
    ]
    for seed in range(logs):
        rng = np.random.default_rng([seed, 4])
        yield seasons.logged(rng, kinds[seed % len(kinds)](rng), years=1 if seed % 2 else 3)


def others(log: pd.DataFrame) -> list[str]:
    """All variants of a log but the reference."""
    return sorted(set(log["variant"]) - {REFERENCE})


def alarms(check: Callable[[pd.DataFrame, str, str], list[object]]) -> float:
    """The share of clean logs in which a check speaks, over all variants together."""
    named = [any(check(log, REFERENCE, variant) for variant in others(log)) for log in clean_logs()]
    assert len(named) == LOGS
    return sum(named) / LOGS
