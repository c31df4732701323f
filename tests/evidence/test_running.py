"""Looks after every trip: the cutoff against published figures, the looks against `compare`."""

from __future__ import annotations

import json
from dataclasses import FrozenInstanceError

import numpy as np
import pandas as pd
import pytest
from scipy import stats

import rodhours
import simulated_seasons as seasons
from reference.published import NORMAL_MIXTURE, REPEATED_LOOKS
from rodhours.evidence.basis import Basis
from rodhours.evidence.compare import compare
from rodhours.evidence.running import (
    TAU,
    looks_at,
    looks_of,
    mixture_cutoff,
    running_cutoff,
    running_looks,
    trips_in_order,
)
from rodhours.evidence.stints import prepare
from simulated_seasons import FAVOURITE, REFERENCE, Season

VARIANCE, SCORE = 100.0, 10.0
"""Variance and score at which the authors' unit tests take the boundary and the log mixture."""


def test_the_cutoff_is_the_published_normal_mixture_boundary():
    """The authors bound a score S of variance v by sqrt((v + ρ)(log((v + ρ)/ρ) + 2 log(1/α))).

    A normal estimate of standard error se is S/v with v = 1/se², so z² = S²/v. With ρ = 1/τ²,
    w = (se/τ)² = ρ/v: the boundary squared, over v, is (1 + w)(2 log(1/α) + log(1 + 1/w)). The
    authors' ρ that is best at v is v / (2 log(1/α) + log(1 + 2 log(1/α))), their log mixture is
    log(ρ/(v + ρ))/2 + S²/(2 (v + ρ)): the log(1/α) at which the cutoff equals S²/v.
    """
    twice = 2 * np.log(1 / 0.05)
    rho = VARIANCE / (twice + np.log(1 + twice))
    assert NORMAL_MIXTURE.agrees("rho", rho)
    w = rho / VARIANCE
    boundary = np.sqrt(VARIANCE * mixture_cutoff(0.05, w))
    assert NORMAL_MIXTURE.agrees("boundary", boundary)
    # At the log mixture's own alpha the boundary is where the score stands.
    alpha = np.exp(-NORMAL_MIXTURE["log mixture"])
    assert mixture_cutoff(alpha, w) == pytest.approx(SCORE**2 / VARIANCE, abs=1e-6)


def test_with_very_many_trips_the_running_cutoff_is_that_of_the_mixture():
    """R = (mixture's cutoff) · t²/χ²: the factor goes to 1, and is that of scipy's quantiles."""
    w = (0.3 / TAU) ** 2
    assert running_cutoff(0.05, 10**8, 0.3) == pytest.approx(mixture_cutoff(0.05, w), rel=1e-6)
    for df in (3, 10, 40):
        factor = stats.t.ppf(0.975, df) ** 2 / stats.chi2.ppf(0.95, 1)
        assert running_cutoff(0.05, df, 0.3) == pytest.approx(mixture_cutoff(0.05, w) * factor)


@pytest.mark.parametrize("alpha", [0.5, 0.05, 0.05 / 12, 0.001])
@pytest.mark.parametrize("df", [3, 8, 1000])
def test_the_running_cutoff_is_above_the_fixed_one_at_any_spread(alpha, df):
    """Allowing for all looks never makes an interval narrower."""
    for spread in np.geomspace(1e-3, 20, 25):
        assert running_cutoff(alpha, df, spread) > stats.t.ppf(1 - alpha / 2, df) ** 2


def season(trips=14, rate=0.06, seed=2):
    """A dated season with a favourite, drawn rod by rod, and some trips of one bait alone."""
    rng = np.random.default_rng(seed)
    log = seasons.each_rod_by_mood(rng, 1.5, Season(trips=trips, rate=rate, session_sd=0.7))
    number = log["session"].astype(int)
    return log.assign(
        date=pd.Timestamp("2025-04-01") + pd.to_timedelta(5 * number, unit="D"),
        depth_m=2.0 + number % 3,
    )


@pytest.fixture(scope="module")
def log():
    return season()


@pytest.fixture(scope="module")
def looks(log):
    return running_looks(log, REFERENCE)


def test_the_last_fixed_interval_is_the_headline(log, looks):
    """One log, one fit, one answer: the last look is what `compare` says of the season."""
    (one,) = compare(log, REFERENCE, checks=False).comparisons
    last = looks.comparisons[0].looks[-1]
    assert looks.comparisons[0].basis == one.basis == "same trips"
    assert (last.fixed_low, last.fixed_high) == (one.conf_low, one.conf_high)
    for name in ("rate_ratio", "fish", "reference_fish", "sessions", "rod_hours"):
        assert getattr(last, name) == getattr(one, name)


def test_each_look_sees_the_trips_so_far_and_nothing_else(log, looks):
    """After trip n the fixed interval is that of `compare` on the first n trips alone."""
    found = looks.comparisons[0].looks
    assert [look.trip for look in found] == list(range(1, 15))
    for n in (9, 12):
        so_far = log[log["session"].astype(int) < n]
        (one,) = compare(so_far, REFERENCE, basis="same", checks=False).comparisons
        look = found[n - 1]
        found_here = look.rate_ratio, look.fixed_low, look.fixed_high
        assert found_here == pytest.approx((one.rate_ratio, one.conf_low, one.conf_high), rel=1e-5)


def test_running_limits_lie_where_the_profile_meets_the_cutoff(log, looks):
    """{θ : L(θ) <= R}, with R from scipy's quantiles and the model's own standard error."""
    last = looks.comparisons[0].looks[-1]
    w = (last.spread / 0.7) ** 2
    factor = stats.t.ppf(0.975, last.df) ** 2 / stats.chi2.ppf(0.95, 1)
    cutoff = (1 + w) * (2 * np.log(1 / 0.05) + np.log(1 + 1 / w)) * factor
    assert last.cutoff == pytest.approx(cutoff)
    stints = prepare(log)
    both = stints.take(np.isin(stints.session, _with_both(stints)))
    basis = Basis.of(both, stints.code_of(REFERENCE), same_trips=True)
    profile = basis.profile(stints.code_of(FAVOURITE))
    for limit in (last.conf_low, last.conf_high):
        assert profile.statistic(np.log(limit)) == pytest.approx(cutoff, abs=0.01)


def _with_both(stints):
    pairs = np.unique(np.column_stack((stints.session, stints.variant)), axis=0)
    sessions, baits = np.unique(pairs[:, 0], return_counts=True)
    return sessions[baits == 2]


def test_there_is_an_interval_from_the_first_trip_with_5_fish_and_one_on_each(log, looks):
    """Counted within the sessions of the basis; before that none, and the reason is given."""
    one = looks.comparisons[0]
    fish = log.assign(trip=log["session"].astype(int) + 1)
    shared = fish.groupby("trip")["variant"].transform("nunique") == 2
    for look in one.looks:
        so_far = fish[shared & (fish["trip"] <= look.trip)]
        own = so_far[so_far["variant"] == FAVOURITE]["fish"].sum()
        other = so_far[so_far["variant"] == REFERENCE]["fish"].sum()
        assert (look.fish, look.reference_fish) == (own, other)
        enough = own + other >= 5 and min(own, other) >= 1
        assert (look.missing != "few_fish") == enough
        if not enough:
            assert look.rate_ratio is look.conf_low is look.fixed_high is None
    assert one.first_trip == next(look.trip for look in one.looks if look.missing is None)


def test_the_family_is_that_of_the_season_at_every_look():
    """m comparisons: each interval at 1 − α/m, from the first look on, unlike one asked alone."""
    log = seasons.several_variants(
        np.random.default_rng(3), (1.0, 2.0), Season(trips=10, rate=0.1, session_sd=0.5)
    )
    all_asked = running_looks(log, REFERENCE, most=3)
    assert all_asked.family == 2
    alone = running_looks(log, REFERENCE, "variant-2", most=3)
    together = running_looks(log, REFERENCE, "variant-2", confidence=0.975, most=3)
    one = all_asked.comparisons[1]
    assert one.variant == "variant-2"
    for look, wide, narrow in zip(
        one.shown, together.comparisons[0].shown, alone.comparisons[0].shown, strict=True
    ):
        assert look.cutoff == pytest.approx(wide.cutoff)
        assert look.cutoff > narrow.cutoff


def test_the_order_is_that_of_the_dates_whatever_the_order_of_the_rows(log, looks):
    """Rows shuffled, sessions relabelled backwards: the same intervals at the same dates."""
    shuffled = log.sample(frac=1, random_state=1).reset_index(drop=True)
    shuffled["session"] = "trip " + (100 - shuffled["session"].astype(int)).astype(str)
    found = running_looks(shuffled, REFERENCE)
    columns = ["trip", "date", "fish", "rate_ratio", "conf_low", "conf_high"]
    pd.testing.assert_frame_equal(found.frame[columns], looks.frame[columns], rtol=1e-5)


def test_equal_dates_go_by_label_and_undated_trips_come_last():
    """T2 before T10, the label before the angler; without a date at the end, counted."""
    frame = pd.DataFrame(
        {
            "session": ["T10", "T2", "T1", "T9", "T2", "T11"],
            "angler": ["a", "b", "a", "a", "a", "a"],
            "date": pd.to_datetime(["2025-05-01"] * 2 + [None, "2025-04-01", "2025-05-01", None]),
            "variant": ["plain", "other"] * 3,
            "hours": 10.0,
            "fish": 0,
        }
    )
    trips = trips_in_order(frame, prepare(frame))
    order = " ".join(f"{trip.session}{trip.angler}" for trip in trips)
    assert order == "T9a T2a T2b T10a T1a T11a"
    assert [trip.date for trip in trips][-3:] == ["2025-05-01", None, None]
    result = running_looks(frame, "plain")
    assert (result.trips, result.undated) == (6, 2)


def test_at_most_so_many_looks_and_the_last_always():
    """Spread evenly from the first trip to the last."""
    for trips in (1, 2, 39, 40, 41, 79, 400):
        for most in (None, 1, 2, 7, 40):
            after = looks_at(trips, most)
            assert len(after) == min(trips, most or trips)
            assert after[-1] == trips
            assert (np.diff(after) > 0).all()
            if len(after) > 1:
                assert after[0] == 1
                assert np.diff(after).max() - np.diff(after).min() <= 1


def test_thinned_looks_are_those_of_the_whole_season(log, looks):
    """Fewer looks change no look that is taken; progress is told for each."""
    told = []
    season = compare(log, REFERENCE, checks=False)
    few = looks_of(log, season, most=5, progress=lambda done, of: told.append((done, of)))
    assert told == [(n, 5) for n in range(1, 6)]
    assert (few.every_trip, looks.every_trip) == (False, True)
    whole = {look.trip: look for look in looks.comparisons[0].looks}
    for look in few.comparisons[0].looks:
        assert look == whole[look.trip]


def made(**changes):
    """Eight trips of two rods, three fish each for a and plain."""
    frame = pd.DataFrame(
        {
            "session": np.repeat([f"{i}" for i in range(8)], 2),
            "variant": ["plain", "a"] * 8,
            "hours": 12.0,
            "fish": [1, 1, 0, 1, 1, 0, 0, 0, 1, 1, 1, 0, 0, 1, 0, 0],
        }
    )
    return frame.assign(**changes)


@pytest.mark.parametrize(
    ("frame", "missing"),
    [
        (made(fish=0), "few_fish"),
        (made(fish=[1, 0] * 8), "few_fish"),
        (made(fish=[0, 1] * 8), "few_fish"),
        (made(fish=[1, 1, *[0] * 14]), "few_fish"),
        (made()[:4].assign(fish=[4, 3, 2, 2]), "few_trips"),
        (made()[:2].assign(fish=[9, 8]), "few_trips"),
    ],
)
def test_where_there_is_no_interval_the_last_look_says_why(frame, missing):
    """No number is made up: no fish at all, none on one, few fish, too few trips for a quantile."""
    last = running_looks(frame, "plain").comparisons[0].looks[-1]
    assert last.missing == missing
    assert last.conf_low is last.conf_high is last.fixed_low is last.rate_ratio is None


def test_a_variant_without_a_forced_same_trip_answer_has_no_looks():
    """As `compare --basis same` gives it no answer; the other variant keeps its own."""
    extra = pd.DataFrame(
        {"session": ["9", "9"], "variant": ["b", "a"], "hours": 12.0, "fish": [3, 2]}
    )
    result = running_looks(pd.concat([made(), extra]), "plain", basis="same")
    by_name = {one.variant: one for one in result.comparisons}
    assert {look.missing for look in by_name["b"].looks} == {"no_same_trips"}
    assert by_name["a"].first_trip is not None


def test_the_result_is_frozen_tidy_and_machine_readable(looks):
    """to_dict survives JSON without NaN; the frame has one row a look; nothing can be changed."""
    machine = json.loads(json.dumps(looks.to_dict(), allow_nan=False))
    assert machine == looks.to_dict()
    assert machine["schema"] == 1
    assert len(looks.frame) == len(machine["comparisons"][0]["looks"]) == 14
    missing = [look["conf_low"] is None for look in machine["comparisons"][0]["looks"]]
    assert list(looks.frame["conf_low"].isna()) == missing
    with pytest.raises(FrozenInstanceError):
        looks.trips = 3
    assert rodhours.running_looks is running_looks
    assert "<table" in looks._repr_html_()
    assert repr(looks).startswith("<RunningResult: Nothing is settled yet: ")


def test_adjusted_looks_adjust_as_the_headline_does(log):
    """Columns to adjust for, and the stints that lack one, are those of the season."""
    lacking = log.assign(depth_m=log["depth_m"].where(log["session"] != "3"))
    (one,) = compare(lacking, REFERENCE, adjust=("depth_m",), basis="all", checks=False).comparisons
    result = running_looks(lacking, REFERENCE, adjust=("depth_m",), basis="all")
    assert result.trips == 13
    last = result.comparisons[0].looks[-1]
    assert (last.fixed_low, last.fixed_high) == (one.conf_low, one.conf_high)


def test_repeated_fixed_looks_err_as_published_and_running_ones_do_not():
    """Armitage, McPherson & Rowe, Table 2, by simulation; the running cutoff at the same looks.

    By Ville's inequality the chance of ever crossing is 5 % at most, also over 400 looks.
    """
    paths = 40_000
    rng = np.random.default_rng(5)
    score = rng.standard_normal((paths, 10)).cumsum(axis=1)
    looks = np.arange(1, 11)
    z = score**2 / looks
    fixed = z > stats.chi2.ppf(0.95, 1)
    cutoffs = np.array([mixture_cutoff(0.05, 1 / (TAU**2 * n)) for n in looks])
    for name, stated in REPEATED_LOOKS.values.items():
        k = int(name)
        error = np.sqrt(stated * (1 - stated) / paths)
        assert abs(fixed[:, :k].any(axis=1).mean() - stated) < 4 * error + 0.0005
        assert (z > cutoffs)[:, :k].any(axis=1).mean() <= 0.05
    many = np.arange(1, 401)
    long = rng.standard_normal((4_000, 400)).cumsum(axis=1) ** 2 / many
    bounds = np.array([mixture_cutoff(0.05, 1 / (TAU**2 * n)) for n in many])
    assert (long > bounds).any(axis=1).mean() <= 0.05
    assert (long > stats.chi2.ppf(0.95, 1)).any(axis=1).mean() > 0.3
