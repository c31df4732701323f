"""Night and day: darkness from the sun, and baits that did not share it."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import unseen_seasons as unseen
from rodhours.errors import UsageError
from rodhours.evidence.checks.rods import night_and_day
from rodhours.evidence.compare import compare
from rodhours.evidence.darkness import with_night
from simulated_seasons import FAVOURITE, REFERENCE
from unseen_seasons import coverage_of


def logs(count: int, **options) -> list[pd.DataFrame]:
    return [
        unseen.favourite_by_night(np.random.default_rng([seed, 23]), **options)
        for seed in range(count)
    ]


def named(log: pd.DataFrame) -> bool:
    return bool(night_and_day(log, REFERENCE, FAVOURITE))


def dark(began: str, ended: str, latitude: float, longitude: float = 0.0) -> float:
    row = {"cast_in": [began], "cast_out": [ended]}
    return with_night(pd.DataFrame({**row, "latitude": [latitude], "longitude": [longitude]}))[
        "night"
    ].iloc[0]


def test_darkness_is_from_the_sun():
    """At the equator on the equinox the sun goes straight down, 15 degrees an hour: it is more
    than 6 degrees below for 12 hours less twice 24 minutes, 46.7 % of the day, and all of the
    hours about midnight; beyond the polar circles it is dark never or always."""
    day = ("2025-03-20T12:00+00:00", "2025-03-21T12:00+00:00")
    assert dark(*day, 0.0) == pytest.approx(11.2 / 24, abs=0.003)
    assert dark(*day, 0.0, 120.0) == pytest.approx(11.2 / 24, abs=0.003)
    assert dark(*day, 0.0, -120.0) == pytest.approx(11.2 / 24, abs=0.003)
    assert dark("2025-03-20T22:00+00:00", "2025-03-21T02:00+00:00", 0.0) == 1.0
    # Noon there is 16 hours of Greenwich; the same hours are day.
    assert dark("2025-03-20T14:00+00:00", "2025-03-20T18:00+00:00", 0.0, -60.0) == 0.0
    assert dark("2025-06-20T12:00+00:00", "2025-06-21T12:00+00:00", 75.0) == 0.0
    assert dark("2025-12-20T12:00+00:00", "2025-12-21T12:00+00:00", 80.0) == 1.0


def test_without_times_or_place_there_is_no_night():
    """Nothing is guessed, and asking for it says what it needs."""
    log = logs(1)[0].drop(columns="night")
    assert "night" not in with_night(log).columns
    with pytest.raises(UsageError, match="cast_in and cast_out"):
        compare(log, REFERENCE, adjust=("night",))


def test_a_favourite_of_the_night_is_named_and_adjusting_mends_it():
    """At least 4 of 5 logs; truth 1, the median answer within 1.25 of it when adjusted."""
    made = logs(5)
    assert sum(map(named, made)) >= 4
    ratios = {
        by: np.median(
            [
                compare(log, REFERENCE, adjust=by, checks=False).comparisons[0].rate_ratio
                for log in made
            ]
        )
        for by in ((), ("night",))
    }
    assert ratios[()] > 1.25
    assert 1 / 1.25 < ratios["night",] < 1.25


@pytest.mark.full
@pytest.mark.parametrize("ratio", [1.0, 2.0])
def test_night_at_full_size(ratio):
    """200 clean logs, 200 with a favourite of the night, 300 for coverage with and
    without --adjust night."""
    alarms = sum(map(named, logs(200, often=0.5))) / 200
    made = logs(300, ratio=ratio)
    found = sum(map(named, made[:200])) / 200
    held = {by: coverage_of(made, ratio, adjust=by) for by in ((), ("night",))}
    print(f"\nnight, truth {ratio}: alarms {alarms}, found {found}, coverage {held}")
    assert alarms <= 0.10
    assert found >= 0.90
    assert held["night",] >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / 300)
