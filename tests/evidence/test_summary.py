"""Catch rates by group: counts by pandas, limits by published tables and by slow likelihoods.

Expected values come from pandas' own grouping, scipy.stats, the table of exact limits in
`reference`, or `brute_force`; never from the package.
"""

from __future__ import annotations

import json
import math

import numpy as np
import pandas as pd
import pytest
from scipy import stats

import brute_force
import simulated_seasons as seasons
from reference import open_data, published
from rodhours.errors import UsageError
from rodhours.evidence.summary import summarise
from simulated_seasons import FAVOURITE, REFERENCE, Season

KEYS = "group sessions blanks stints rod_hours fish per_100_rod_hours conf_low conf_high method"


def log_of(kind, seed, ratio=1.5, **season):
    return kind(np.random.default_rng(seed), ratio, Season(**season))


def dated(log):
    """Two venues and three months of two years, by the session's number."""
    number = log["session"].astype(int)
    days = np.array(["2025-03-30", "2025-04-02", "2026-04-05"], dtype="datetime64[ns]")
    return log.assign(
        date=days[number % 3], venue=np.where(number % 2, "Alder Mere", "Old Brickpit")
    )


@pytest.fixture(scope="module")
def season():
    log = seasons.each_rod_by_mood(np.random.default_rng(4), 1.5, Season(trips=18))
    return dated(log)


LABELS = {
    "variant": lambda log: log["variant"],
    "venue": lambda log: log["venue"],
    "rod": lambda log: log["rod"],
    "month": lambda log: log["date"].dt.strftime("%Y-%m"),
}


@pytest.mark.parametrize("by", LABELS)
def test_counts_are_those_of_the_rows(season, by):
    """Sessions, blanks (of the group's stints), stints, rod-hours, fish and the plain rate."""
    group = LABELS[by](season)
    result = summarise(season, by)
    assert [row.group for row in result.rows] == sorted(group.unique())
    for row in result.rows:
        rows = season[group == row.group]
        trips = rows.groupby("session")["fish"].sum()
        assert (row.sessions, row.blanks, row.stints) == (
            len(trips),
            (trips == 0).sum(),
            len(rows),
        )
        assert (row.fish, row.rod_hours) == (rows["fish"].sum(), rows["hours"].sum())
        assert row.per_100_rod_hours == pytest.approx(
            100 * rows["fish"].sum() / rows["hours"].sum()
        )


def rate_cut(fish, sessions, alpha, side):
    """max(t² with sessions + 1 degrees of freedom, guard of one rate)."""
    t_squared = stats.t.ppf(1 - alpha / 2, sessions + 1) ** 2
    return max(t_squared, brute_force.distance(fish, alpha, side))


def one_group(log, cell=None, **held):
    return brute_force.Brute(
        log["session"].to_numpy(),
        np.arange(len(log)) if cell is None else cell,
        log["hours"].to_numpy(float),
        log["fish"].to_numpy(float),
        np.ones((len(log), 1)),
        **held,
    )


@pytest.mark.parametrize("confidence", [0.8])
def test_limits_of_one_group_equal_slow_likelihood(season, confidence):
    """Section 3: exp(intercept) in the session model of the variant's stints alone.

    Profile limits at max(t² of sessions + 1, guard), cells are stints; by trapezoid sums.
    """
    rows = season[season["variant"] == FAVOURITE].reset_index(drop=True)
    alpha = 1 - confidence
    slow = one_group(rows)
    top, at = slow.fit()
    fish, sessions = rows["fish"].sum(), rows["session"].nunique()
    low, high = (
        slow.limit(0, side, rate_cut(fish, sessions, alpha, side), top, at) for side in (-1, 1)
    )
    row = next(
        one for one in summarise(season, "variant", confidence).rows if one.group == FAVOURITE
    )
    assert row.method == "session model"
    assert row.conf_low == pytest.approx(100 * math.exp(low), rel=5e-4)
    assert row.conf_high == pytest.approx(100 * math.exp(high), rel=5e-4)


@pytest.mark.parametrize(("fish", "side", "alpha"), [(9, 1, 0.05)])
def test_the_guard_widens_the_limits_of_a_few_fish(fish, side, alpha):
    """Section 3: guard with y = its fish, d(u(y), y) above and d(l(y), y) below.

    Nine by themselves on many trips, where t² is the smaller of the two.
    """
    log = pd.DataFrame(
        {"session": [f"{i:03}" for i in range(90)], "variant": "plain", "hours": 20.0, "fish": 0}
    )
    log.loc[: fish - 1, "fish"] = 1
    slow = one_group(log.iloc[[0, -1]], times=np.array([fish, 90 - fish]))
    top, at = slow.fit()
    cut = rate_cut(fish, 90, alpha, side)
    assert cut > 1.01 * stats.t.ppf(1 - alpha / 2, 91) ** 2
    (row,) = summarise(log, confidence=1 - alpha).rows
    expected = 100 * math.exp(slow.limit(0, side, cut, top, at))
    assert (row.conf_high if side > 0 else row.conf_low) == pytest.approx(expected, rel=5e-4)


def five_trips(*fish):
    """Five trips of one bait, a stint of 18 to 30 hours for each count."""
    return pd.DataFrame(
        [
            {
                "session": str(i),
                "rod": str(rod),
                "variant": REFERENCE,
                "hours": 18.0 + 3 * i,
                "fish": count,
            }
            for i, trip in enumerate(fish)
            for rod, count in enumerate(trip)
        ]
    )


UNEVEN = five_trips((2, 1, 0), (2, 3, 2), (1, 0, 0), (1, 1, 0), (0, 1, 0))
VERY_UNEVEN = five_trips((0, 0), (9, 8), (0, 0), (1, 0), (0, 0))


def test_gamma_sessions_where_the_profile_has_no_upper_limit():
    """Section 3: then the upper limit is that of s = 0 with one cell a session, same cutoff.

    The trapezoid sums show first that the session model has no limit within 8 times the rate.
    """
    slow = one_group(UNEVEN)
    top, at = slow.fit()
    cut = rate_cut(14, 5, 0.05, 1)
    furthest = math.log(8 * 14 / UNEVEN["hours"].sum())
    assert slow.statistic(0, furthest, top, at) < cut
    gamma = one_group(UNEVEN, UNEVEN["session"].to_numpy(), sessions_differ=False)
    gamma_top, gamma_at = gamma.fit()
    expected = gamma.limit(0, 1, cut, gamma_top, gamma_at)
    (row,) = summarise(UNEVEN).rows
    assert row.method == "session model, upper limit from gamma sessions"
    assert row.conf_high == pytest.approx(100 * math.exp(expected), rel=5e-4)
    low = slow.limit(0, -1, rate_cut(14, 5, 0.05, -1), top, at)
    assert row.conf_low == pytest.approx(100 * math.exp(low), rel=1e-3)


def test_no_upper_limit_is_null_and_says_so():
    """Section 3: where neither has one, null: too few trips for an upper limit.

    By trapezoid sums both profiles stay below the cutoff up to e^10 times the estimate.
    """
    cut = rate_cut(18, 5, 0.05, 1)
    gamma = one_group(VERY_UNEVEN, VERY_UNEVEN["session"].to_numpy(), sessions_differ=False)
    for slow in (one_group(VERY_UNEVEN), gamma):
        top, at = slow.fit()
        assert all(slow.statistic(0, at[0] + away, top, at) < cut for away in (2.0, 5.0, 10.0))
    (row,) = summarise(VERY_UNEVEN).rows
    assert row.conf_high is None
    assert 0 < row.conf_low < row.per_100_rod_hours
    assert row.method == "session model, too few trips for an upper limit"


def test_an_upper_limit_beyond_what_one_fish_would_have_is_none():
    """Four fish in five trips, three of them on one: by trapezoid sums both profiles are below the
    cutoff at 8 times the rate, further than a single fish goes by exact Poisson limits (Garwood
    1936: 5.572 at 95 %, 7.430 at 99 %), so there is no upper limit."""
    four = five_trips((0, 0), (3, 0), (0, 0), (1, 0), (0, 0))
    cut = rate_cut(4, 5, 0.05, 1)
    gamma = one_group(four, four["session"].to_numpy(), sessions_differ=False)
    furthest = math.log(8 * 4 / four["hours"].sum())
    for slow in (one_group(four), gamma):
        top, at = slow.fit()
        assert slow.statistic(0, furthest, top, at) < cut
    (row,) = summarise(four).rows
    assert row.conf_high is None
    assert row.conf_low > 0


@pytest.mark.parametrize("fish", [0, 1, 5, 10])
def test_under_three_sessions_the_limits_are_the_exact_ones(fish):
    """Section 3: under 3 sessions the exact Poisson limits, and `method` says so.

    Table of exact limits (Garwood 1936; reference/garwood_limits.csv), 200 rod-hours.
    """
    log = pd.DataFrame(
        {"session": ["a", "b"], "variant": "plain", "hours": 100.0, "fish": [fish, 0]}
    )
    table = open_data.garwood_limits().set_index("n").loc[fish]
    (row,) = summarise(log).rows
    assert row.conf_low == pytest.approx(table["lo95"] / 2, abs=5e-4)
    assert row.conf_high == pytest.approx(table["hi95"] / 2, abs=5e-4)
    assert "exact Poisson" in row.method
    assert (row.sessions, row.blanks) == (2, 1 + (fish == 0))


def test_without_fish_the_limits_are_the_exact_ones():
    """Section 3: no fish in 300 rod-hours of 12 trips: 0 to 3.689 in 300 (Garwood, 95 %)."""
    log = pd.DataFrame(
        {"session": [str(i) for i in range(12)], "variant": "plain", "hours": 25.0, "fish": 0}
    )
    (row,) = summarise(log).rows
    assert (row.conf_low, row.per_100_rod_hours, row.blanks) == (0.0, 0.0, 12)
    assert published.GARWOOD_95.agrees("garwood95_hi_0", row.conf_high * 3)
    assert row.method == "exact Poisson, no fish"


def test_three_sessions_with_a_fish_have_the_session_model():
    """Section 3: from 3 sessions on it is the session model."""
    log = pd.DataFrame(
        {"session": ["a", "b", "c"], "variant": "plain", "hours": 50.0, "fish": [2, 1, 2]}
    )
    (row,) = summarise(log).rows
    assert row.method.startswith("session model")


def test_the_models_own_rate_stands_beside_a_rate_outside_its_limits():
    """Section 3: should the plain ratio fall outside its interval, the model's own is given.

    One very long trip without a fish pulls the plain ratio down; the model weighs trips.
    """
    log = pd.DataFrame(
        {
            "session": [str(i) for i in range(31)],
            "variant": "plain",
            "hours": [10.0] * 30 + [9000.0],
            "fish": [1, 0, 1, 2, 1] * 6 + [0],
        }
    )
    slow = one_group(log)
    _, at = slow.fit()
    row = summarise(log).rows[0]
    inside = row.conf_low <= row.per_100_rod_hours <= (row.conf_high or math.inf)
    assert not inside
    assert row.model_per_100_rod_hours == pytest.approx(100 * math.exp(at[0]), rel=2e-3)
    plain = summarise(log.iloc[:30]).rows[0]
    assert plain.model_per_100_rod_hours is None


def test_limits_follow_the_unit_of_hours_and_row_order_does_not_matter(season):
    """Rates per 100 minutes are a sixtieth; row order and splitting change no rate, though two
    stints of one rod are two."""
    expected = summarise(season).rows
    minutes = summarise(season.assign(hours=season["hours"] * 60)).rows
    halves = pd.concat(
        [
            season.assign(hours=season["hours"] / 2, fish=season["fish"] // 2),
            season.assign(hours=season["hours"] / 2, fish=season["fish"] - season["fish"] // 2),
        ]
    ).sample(frac=1, random_state=1)
    for row, other, split in zip(expected, minutes, summarise(halves).rows, strict=True):
        for name in ("per_100_rod_hours", "conf_low", "conf_high"):
            assert getattr(other, name) == pytest.approx(getattr(row, name) / 60, rel=1e-5)
            assert getattr(split, name) == pytest.approx(getattr(row, name), rel=1e-5)
        assert (split.stints, split.blanks) == (2 * row.stints, row.blanks)


def test_stints_without_the_group_are_a_group_of_their_own(season):
    """What was not recorded is said, never dropped: the groups add up to the total."""
    log = season.copy()
    log.loc[log["session"].isin(["3", "4"]), ["venue", "rod"]] = None
    log.loc[log["session"].isin(["5"]), "date"] = pd.NaT
    for by in ("venue", "rod", "month"):
        result = summarise(log, by)
        assert "not recorded" in [row.group for row in result.rows]
        assert sum(row.fish for row in result.rows) == log["fish"].sum() == result.total.fish
        assert sum(row.rod_hours for row in result.rows) == pytest.approx(log["hours"].sum())


def test_what_is_not_there_is_refused(season):
    """An unknown grouping, or one without anything recorded, is a usage error in plain words."""
    for frame, by in (
        (season, "moon"),
        (season.drop(columns="venue"), "venue"),
        (season.assign(venue=None), "venue"),
        (season.drop(columns="date"), "month"),
        (season.assign(date=pd.NaT), "month"),
        (season.assign(rod=None), "rod"),
    ):
        with pytest.raises(UsageError, match=by):
            summarise(frame, by)
    for confidence in (0.0, 1.0, 95):
        with pytest.raises(UsageError, match="Confidence"):
            summarise(season, confidence=confidence)


def test_machine_form_has_the_stated_keys(season):
    """Point 3: schema, by, rows, total, and ten keys a row, no NaN."""
    for log in (season, season.assign(fish=0), VERY_UNEVEN, UNEVEN.iloc[:6]):
        machine = summarise(log).to_dict()
        assert json.loads(json.dumps(machine, allow_nan=False)) == machine
        assert list(machine) == ["schema", "by", "rows", "total"]
        assert (machine["schema"], machine["by"]) == (1, "variant")
        for row in (*machine["rows"], machine["total"]):
            assert " ".join(row) == KEYS
