"""What a plan rests on: the log's own fit where it holds enough, stated stand-ins where not."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from rodhours.errors import UsageError
from rodhours.simulate.formulas import (
    TOGETHER,
    Assumptions,
    ratio_by_formula,
    trips_by_formula,
    variance_of_one_trip,
)
from rodhours.simulate.grounds import grounds_of
from rodhours.simulate.hours import plan_hours


def log(trips: int, fish: int = 2, days: int = 7) -> pd.DataFrame:
    """Trips all alike, two baits side by side, 30 rod-hours each, so many fish on each bait."""
    trip, bait = np.divmod(np.arange(2 * trips), 2)
    return pd.DataFrame(
        {
            "session": trip.astype(str),
            "date": pd.Timestamp("2024-01-01") + pd.to_timedelta(days * trip, unit="D"),
            "variant": np.where(bait, "mix", "plain"),
            "hours": 30.0,
            "fish": fish,
        }
    )


def test_a_log_of_trips_alike():
    """Trips that never differ have no session effect and no clumps: the rate is fish over
    rod-hours, its limits at least as wide as the exact ones of the count (Garwood)."""
    grounds = grounds_of(log(20), "plain")
    assert grounds.source == "log"
    assert grounds.per_100 == pytest.approx(100 * 40 / 600, rel=1e-4)
    assert (grounds.session_sd, grounds.clumping) == pytest.approx((0.0, 0.0), abs=1e-6)
    exact = stats.chi2.ppf([0.025, 0.975], [80, 82]) / 2 / 6
    assert grounds.per_100_low == pytest.approx(exact[0], rel=0.06)
    assert grounds.per_100_high == pytest.approx(exact[1], rel=0.06)
    assert (grounds.trips, grounds.fish, grounds.rod_hours) == (20, 80, 60.0)


def test_how_uneven_trips_are():
    """Trips with four times the fish or none give a session effect; the rate is the plain one, as
    far as limits tell."""
    uneven = log(40)
    uneven["fish"] = np.repeat(np.tile([0, 1, 1, 4], 10), 2)
    grounds = grounds_of(uneven, "plain")
    assert grounds.session_sd > 0.5
    assert grounds.plain_per_100 == pytest.approx(100 * 60 / 1200)
    assert grounds.per_100_low < grounds.plain_per_100 < grounds.per_100_high


@pytest.mark.parametrize(
    ("frame", "reason"),
    [
        (None, "no log"),
        (log(5), "too little"),
        (log(20, fish=0), "too little"),
        (log(20).assign(fish=lambda one: one["fish"].where(one["variant"] == "mix", 0)), "no fish"),
    ],
    ids=["no log", "few trips", "no fish at all", "none on the reference"],
)
def test_stand_ins_say_that_they_are(frame, reason):
    """3 fish per 100 rod-hours, s = 1, no clumps, and why; 600 rod-hours of the reference without a
    fish leave at most -ln(0.025) / 600 an hour (95 %), and that goes before a higher stand-in."""
    grounds = grounds_of(frame, None if frame is None else "plain")
    assert (grounds.source, grounds.reason) == ("stand-in", reason)
    blank = frame is not None and not frame["fish"][frame["variant"] == "plain"].any()
    assert grounds.at_most == blank
    rate = -100 * np.log(0.025) / 600 if blank else 3.0
    assert grounds.per_100 == pytest.approx(rate)
    assert (grounds.session_sd, grounds.clumping) == (1.0, 0.0)
    assert grounds.per_100_low is None


def test_hours_of_a_trip_and_trips_of_a_season():
    """What is asked for goes before the log's median trip; a season is the last year of the log."""
    frame = log(80)
    assert grounds_of(frame, "plain").rod_hours == 60.0
    assert grounds_of(frame, "plain", rods=2, trip_hours=12.0).rod_hours == 24.0
    assert grounds_of(frame, "plain", rods=2).rod_hours == 48.0
    # A trip a week: 53 first days of weeks in 365 days, the last one among them.
    assert grounds_of(frame, "plain").season_trips == 53
    assert grounds_of(None).season_trips == 20
    with pytest.raises(UsageError, match="Did you mean 'plain'"):
        grounds_of(frame, "plane")


def test_hours_to_go_are_the_hours_less_those_fished():
    """After n trips whose log ratio has the standard error that the formula gives n trips, the
    trips to go are the trips needed less n; and the ratio that so many further trips would show
    is the one they are needed for."""
    given = Assumptions(0.03, 1.0, 0.2, 48.0)
    needed = trips_by_formula(TOGETHER, 2.0, given)
    for so_far in (10, 25):
        known = so_far / variance_of_one_trip(TOGETHER, 2.0, given), so_far
        further = trips_by_formula(TOGETHER, 2.0, given, so_far=known)
        assert further == needed - so_far
        shown = ratio_by_formula(TOGETHER, further, given, so_far=known)
        assert shown == pytest.approx(2.0, rel=0.02)
    assert trips_by_formula(TOGETHER, 2.0, given, so_far=(1e4, 200)) == 0


def test_a_plan_by_formula_alone():
    """Marked as such, nothing simulated in it; a family shares the hours and its alpha."""
    plan = plan_hours(ratio=1.5, rods=2, trip_hours=24, quick=True)
    assert plan.quick
    assert [one.simulated_power for one in plan.designs] == [None, None]
    given = Assumptions(0.03, 1.0, 0.0, 48.0)
    assert [one.trips for one in plan.designs] == [
        trips_by_formula(one.design, 1.5, given) for one in plan.designs
    ]
    three = plan_hours(ratio=1.5, rods=4, trip_hours=12, family=3, quick=True).designs[0]
    shared = Assumptions(0.03, 1.0, 0.0, 48.0, variants=4)
    assert three.trips == trips_by_formula(TOGETHER, 1.5, shared, alpha=0.05 / 3)


def test_other_catch_rates():
    """Fewer fish, more trips: at the lower limit of the rate more are needed than at the upper."""
    uneven = log(30)
    uneven["fish"] = np.repeat(np.tile([0, 1, 3], 10), 2)
    for one in plan_hours(uneven, "plain", ratio=2.0, quick=True).designs:
        assert one.trips_at_low_rate > one.trips > one.trips_at_high_rate


@pytest.mark.parametrize(
    "options",
    [
        {},
        {"ratio": 1.0},
        {"ratio": 1.005},
        {"ratio": 0.0},
        {"ratio": float("nan")},
        {"trips": 0},
        {"trips": 3},
        {"ratio": 2.0, "power": 1.0},
        {"ratio": 2.0, "family": 0},
        {"ratio": 2.0, "rods": 0},
        {"ratio": 2.0, "trip_hours": -1.0},
        {"ratio": 2.0, "seasons": 1},
        {"ratio": 2.0, "seed": -1},
        {"ratio": 2.0, "jobs": 0},
    ],
)
def test_what_cannot_be_asked(options):
    """A sentence that names the option, before anything is worked out."""
    with pytest.raises(UsageError, match=r"--|seed|jobs"):
        plan_hours(**options)
