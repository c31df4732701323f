"""This season beside earlier ones: what a season is, and when a ratio has changed."""

from __future__ import annotations

from math import exp, log, sqrt

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm

from rodhours.errors import UsageError
from rodhours.evidence.compare import compare
from rodhours.evidence.dates import season_names
from rodhours.evidence.season_by_season import (
    Change,
    ratio_of_ratios_limits,
    season_by_season,
)
from rodhours.evidence.summary import summarise
from simulated_seasons import FAVOURITE, REFERENCE, Season, both_on_every_trip


def two_years(ratios: tuple[float, float], seed: int = 1, trips: int = 30) -> pd.DataFrame:
    """Two simulated seasons, with the true ratio in each."""
    rng = np.random.default_rng(seed)
    frames = []
    for number, ratio in enumerate(ratios):
        frame = both_on_every_trip(rng, ratio, Season(trips=trips))
        frame["session"] = f"{number}-" + frame["session"].astype(str)
        day = pd.to_datetime(f"{2024 + number}-05-01")
        trip = frame.groupby("session", sort=False).ngroup()
        frame["date"] = day + pd.to_timedelta(trip * 3, unit="D")
        frames.append(frame)
    return pd.concat(frames, ignore_index=True)


@pytest.mark.parametrize(
    ("low", "high", "changed"),
    [
        (1.2, 3.0, True),
        (0.2, 0.9, True),
        (0.5, 2.0, False),
        (1.1, None, True),
        (None, 0.9, True),
        (None, 2.0, False),
        (0.5, None, False),
        (None, None, False),
    ],
)
def test_changed_is_both_limits_on_one_side_of_1(low, high, changed):
    """By the definition; a limit that does not exist lies on no side."""
    assert Change("plain", 2.0, 1.0, "all", 2.0, low, high).changed is changed


def test_a_season_is_a_year_or_starts_where_it_is_said():
    """Years by the calendar; with a start within the year both years stand in the name."""
    dates = pd.Series(pd.to_datetime(["2024-03-31", "2024-04-01", "2025-01-05", None]))
    assert season_names(dates).fillna("none").tolist() == ["2024", "2024", "2025", "none"]
    named = season_names(dates, (4, 1)).fillna("none").tolist()
    assert named == ["2023/24", "2024/25", "2024/25", "none"]
    century = pd.Series(pd.to_datetime(["1999-06-01"]))
    assert season_names(century, (4, 1)).tolist() == ["1999/00"]


def test_each_season_is_answered_as_if_it_were_the_only_one():
    """Rates and comparisons equal those of that year's rows asked by themselves."""
    stints = two_years((1.0, 1.0))
    found = season_by_season(stints, REFERENCE)
    assert [one.season for one in found.seasons] == ["2024", "2025"]
    for one in found.seasons:
        own = stints[stints["date"].dt.year == int(one.season)]
        assert one.comparisons == compare(own, REFERENCE, checks=False).comparisons
        assert one.rates == summarise(own, "variant").rows
        assert (one.first, one.last) == (str(own["date"].min())[:10], str(own["date"].max())[:10])


def test_symmetric_limits_give_the_usual_interval_of_a_difference():
    """With limits at estimate +- z se on the log scale, the interval is the textbook one for the
    difference of two independent normal estimates, d +- z sqrt(se1^2 + se2^2)."""
    z = norm.ppf(0.975)
    one, other, first, second = log(2.0), log(1.2), 0.3, 0.4
    low, high = ratio_of_ratios_limits(
        (2.0, exp(one - z * first), exp(one + z * first)),
        (1.2, exp(other - z * second), exp(other + z * second)),
    )
    spread = z * sqrt(first**2 + second**2)
    assert low == pytest.approx(exp(one - other - spread))
    assert high == pytest.approx(exp(one - other + spread))


def test_against_a_sure_number_the_limits_are_the_ratios_own():
    """Where the other ratio is known without error, only the first one's limits are left."""
    assert ratio_of_ratios_limits((3.0, 1.5, 7.0), (2.0, 2.0, 2.0)) == pytest.approx((0.75, 3.5))


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ((2.0, 1.0, None), (1.0, 0.5, 2.0), (True, False)),
        ((2.0, None, 4.0), (1.0, 0.5, 2.0), (False, True)),
        ((2.0, 1.0, 4.0), (1.0, 0.5, None), (False, True)),
        ((2.0, 1.0, 4.0), (1.0, 0.0, 2.0), (True, False)),
        ((0.0, None, 4.0), (1.0, 0.5, 2.0), (False, False)),
        ((2.0, 1.0, 4.0), (None, None, None), (False, False)),
    ],
)
def test_a_limit_that_does_not_exist_leaves_that_side_open(one, other, expected):
    """No limit is made up where one that it needs is missing or 0."""
    assert tuple(limit is not None for limit in ratio_of_ratios_limits(one, other)) == expected


def covered(seasons: int, ratios: tuple[float, float]) -> float:
    """The share of simulated pairs of seasons whose interval holds the true ratio of ratios."""
    truth = ratios[1] / ratios[0]
    held = 0
    for seed in range(seasons):
        (change,) = season_by_season(two_years(ratios, seed + 100), REFERENCE).changes
        low, high = change.conf_low or 0.0, change.conf_high or np.inf
        held += low <= truth <= high
    return held / seasons


def test_a_change_is_held_and_a_large_one_is_seen():
    """On two pairs of seasons; the share is held at full size below."""
    assert covered(2, (1.0, 1.0)) == 1
    (change,) = season_by_season(two_years((0.4, 2.5), 7, trips=50), REFERENCE).changes
    assert change.conf_low is not None
    assert change.conf_low > 1
    assert change.basis == "same trips"


@pytest.mark.full
@pytest.mark.parametrize("ratios", [(1.0, 1.0), (1.0, 2.0), (2.0, 1.0)])
def test_the_interval_of_a_change_holds_the_truth(ratios):
    """At least 95 % less three Monte-Carlo errors (0.7 points of 1,000 pairs of seasons)."""
    assert covered(1000, ratios) >= 0.95 - 3 * sqrt(0.95 * 0.05 / 1000)


def test_seasons_without_the_reference_or_a_date():
    """A season without the reference has rates and no ratio; trips without a date are counted."""
    stints = two_years((1.0, 1.0))
    stints = stints[(stints["date"].dt.year == 2025) | (stints["variant"] == FAVOURITE)]
    undated = stints["session"] == stints["session"].iloc[0]
    stints.loc[undated, "date"] = pd.NaT
    found = season_by_season(stints, REFERENCE)
    assert found.seasons[0].comparisons == ()
    assert found.seasons[0].rates != ()
    assert found.changes == ()
    assert found.undated_sessions == 1
    assert found.frame["rate_ratio"].notna().sum() == 1
    assert found.to_dict()["seasons"][0]["comparisons"] == []


def test_one_season_has_nothing_beside_it():
    """A log of one year is refused, naming it."""
    stints = two_years((1.0, 1.0))
    with pytest.raises(UsageError, match="2024"):
        season_by_season(stints[stints["date"].dt.year == 2024], REFERENCE)
