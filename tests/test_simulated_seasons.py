"""The simulators keep to the law that they state: means and spreads against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from scipy.special import ndtr

import simulated_seasons as simulated

MANY = 40_000


def totals(log: pd.DataFrame) -> pd.Series:
    sums = log.groupby("variant")[["fish", "hours"]].sum()
    return sums["fish"] / sums["hours"]


@pytest.mark.parametrize(
    "kind",
    [
        simulated.both_on_every_trip,
        simulated.one_a_trip,
        simulated.clumps_by_stint,
    ],
)
def test_without_mood_the_plain_rates_are_the_truth(kind):
    """The hidden effect and the clumps have mean 1: rate 0.03, and the ratio that was asked for."""
    clumped = kind is simulated.clumps_by_stint
    season = simulated.Season(trips=MANY, stint_clumping=1.0 if clumped else 0.0, session_sd=0.7)
    rates = totals(kind(np.random.default_rng(5), 2.5, season))
    assert rates[simulated.REFERENCE] == pytest.approx(0.03, rel=0.03)
    assert rates[simulated.FAVOURITE] / rates[simulated.REFERENCE] == pytest.approx(2.5, rel=0.04)


def test_mood_flatters_the_favourite_as_the_closed_form_says():
    """With chance Phi(k z) and weight exp(s z - s^2/2), the raw ratio tends to P / (1 - P).

    P = Phi(k s / sqrt(1 + k^2)): the mean of a probit of a normal variable shifted by s.
    """
    k, season = simulated.MOOD, simulated.Season(trips=MANY)
    share = ndtr(k / math.hypot(1.0, k))
    for kind in (simulated.each_rod_by_mood, simulated.whole_trips_by_mood):
        part = 0.4 if kind is simulated.whole_trips_by_mood else 0.0
        log = kind(np.random.default_rng(6), 1.5, season)
        rates = totals(log)
        # Shared trips give half of their hours to each variant and know nothing of z.
        good = part / 2 + (1 - part) * share
        poor = part / 2 + (1 - part) * (1 - share)
        expected = 1.5 * good / poor
        assert rates[simulated.FAVOURITE] / rates[simulated.REFERENCE] == pytest.approx(
            expected, rel=0.08
        )


def test_the_leader_is_followed_and_its_rates_stay_the_truth():
    """What was caught decides what is fished, not how it catches; both are always in the water.

    With a ratio of 2.5 the favourite soon leads, and has 2 of 3 rods in 80 % of trips: 60 %.
    """
    season = simulated.Season(trips=10_000, session_sd=0.7)
    log = simulated.follows_the_leader(np.random.default_rng(8), 2.5, season)
    rates = totals(log)
    assert rates[simulated.REFERENCE] == pytest.approx(0.03, rel=0.05)
    assert rates[simulated.FAVOURITE] / rates[simulated.REFERENCE] == pytest.approx(2.5, rel=0.06)
    assert (log.groupby("session")["variant"].nunique() == 2).all()
    assert (log["variant"] == simulated.FAVOURITE).mean() == pytest.approx(0.6, abs=0.01)


def test_spread_of_a_trip_and_of_a_stint():
    """Counts of one trip: variance m + m^2 (e^(s^2) - 1); clumps by stint add a more."""
    rng = np.random.default_rng(7)
    season = simulated.Season(trips=MANY, rods=1, session_sd=0.7, stint_clumping=0.5)
    fish = simulated.both_on_every_trip(rng, 1.0, season)["fish"]
    mean = 24 * 0.03
    spread = (1 + 0.5) * math.exp(0.49) - 1
    assert fish.mean() == pytest.approx(mean, rel=0.03)
    assert fish.var() == pytest.approx(mean + mean**2 * spread, rel=0.06)


def test_columns_and_schedules():
    """Every kind is a stint frame, and each kind fishes what its name says."""
    rng = np.random.default_rng(8)
    for kind in (
        simulated.both_on_every_trip,
        simulated.one_a_trip,
        simulated.each_rod_by_mood,
        simulated.whole_trips_by_mood,
        simulated.third_rod_by_mood,
        simulated.clumps_by_stint,
        simulated.mood_and_clumps,
        simulated.few_trips,
        simulated.hardly_fished,
        simulated.several_variants,
        simulated.several_by_mood,
    ):
        log = kind(rng)
        assert list(log.columns) == ["session", "rod", "variant", "hours", "fish"]
        assert not log.duplicated(["session", "rod"]).any()
        assert (log["hours"] > 0).all()
        assert simulated.REFERENCE in set(log["variant"])
    variants = simulated.both_on_every_trip(rng).groupby("session")["variant"].nunique()
    assert (variants == 2).all()
    variants = simulated.one_a_trip(rng).groupby("session")["variant"].nunique()
    assert (variants == 1).all()
    few = simulated.few_trips(rng, one_each=True)
    assert few["session"].nunique() == 12
    hardly = simulated.hardly_fished(rng)
    assert (hardly["variant"] == simulated.FAVOURITE).sum() == 3
