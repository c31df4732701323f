"""Does the running interval hold the truth at every trip of 95 seasons of 100?

Seasons whose truth is stated, looked at after every one of 100 trips: a season is wrong where the
true ratio was outside at any look. The bar is the one that the interval states for itself, 5 %.
The fixed interval stands beside it: with it, looking after every trip errs far more often (14 to
31 % in 80 looks, by a program written apart from this one).
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from math import log

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from rodhours.evidence.compare import compare
from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.running import (
    bases_after,
    missing_of,
    profile_of,
    running_looks,
    trips_in_order,
)
from rodhours.evidence.stints import prepare
from simulated_seasons import FAVOURITE, REFERENCE, Season

Simulator = Callable[[np.random.Generator, float, Season], pd.DataFrame]

TRIPS = 100
CLUMPED = {"session_sd": 0.7, "stint_clumping": 1.0}
KINDS: dict[str, tuple[Simulator, float, dict[str, float]]] = {
    "each rod by mood": (seasons.each_rod_by_mood, 1.0, {}),
    "each rod by mood, 1.5": (seasons.each_rod_by_mood, 1.5, {}),
    "mood and clumps": (seasons.each_rod_by_mood, 1.0, CLUMPED),
    "mood and clumps, 1.5": (seasons.each_rod_by_mood, 1.5, CLUMPED),
    "whole trips by mood": (seasons.whole_trips_by_mood, 1.0, {}),
    "third rod by mood": (seasons.third_rod_by_mood, 1.5, {}),
    "both, clumps": (seasons.both_on_every_trip, 1.0, CLUMPED),
    "several by mood": (seasons.several_by_mood, 1.0, {}),
    "follows the leader, clumps": (seasons.follows_the_leader, 1.0, CLUMPED),
    "by mood, few fish": (seasons.each_rod_by_mood, 1.0, {"rate": 0.01}),
    "one a trip": (seasons.one_a_trip, 1.0, {}),
    "no clumping": (seasons.both_on_every_trip, 1.0, {"session_sd": 0.0}),
}
"""A simulator, the true ratio, and what differs from the usual season."""

WRONG_MODEL: dict[str, tuple[Simulator, float, dict[str, float]]] = {
    "takes differ": (seasons.both_on_every_trip, 1.0, {"take_sd": 0.5}),
}
"""Baits whose ratio differs from trip to trip: not the law that the model assumes."""


@dataclass(frozen=True)
class Errors:
    """How many seasons left the true ratio out at any look, with either interval."""

    running: int
    fixed: int
    seasons: int


def season_errors(task: tuple[str, int, int, int]) -> tuple[bool, bool]:
    """Whether the running and whether the fixed interval of a season ever left out the truth.

    The task is a kind, the trips of the season, after how many of them one looks, and a seed.
    It is enough to hold L at the true ratio against the cutoffs; no limits are needed. With
    several variants the family is wrong where one of its intervals is.
    """
    kind, trips, every, seed = task
    simulate, ratio, season = (KINDS | WRONG_MODEL)[kind]
    frame = simulate(np.random.default_rng(seed), ratio, season=Season(trips=trips, **season))
    result = compare(frame, REFERENCE, checks=False)
    alpha = (1.0 - result.confidence) / len(result.comparisons)
    stints = prepare(frame)
    order = trips_in_order(frame, stints)
    asked = [
        (stints.code_of(one.variant), one.basis, log(ratio if one.variant == FAVOURITE else 1.0))
        for one in result.comparisons
    ]
    running = fixed = False
    after = np.arange(every, trips + 1, every)
    of = (stints, order, stints.code_of(REFERENCE), after)
    seen = {name: bases_after(*of, name) for name in {basis for _, basis, _ in asked}}
    for number in range(len(after)):
        for code, name, truth in asked:
            basis, before = seen[name][number], seen[name][number - 1] if number else None
            if basis is before or missing_of(basis, code) is not None:
                continue
            profile, cutoff = profile_of(basis, code, alpha)
            statistic = profile.statistic(truth)
            side = 1 if truth > profile.estimate else -1
            fish, others = (int(basis.fish[one]) for one in (code, basis.reference))
            running |= statistic > cutoff
            fixed |= statistic > Cutoff(basis.df, fish, others).at(alpha, side)
        if running and fixed:
            break
    return running, fixed


def errors(kind: str, count: int, every: int = 1, cores: int = 1) -> Errors:
    tasks = [(kind, TRIPS, every, seed) for seed in range(count)]
    if cores == 1:
        rows = [season_errors(task) for task in tasks]
    else:
        with ProcessPoolExecutor(cores) as pool:
            rows = list(pool.map(season_errors, tasks, chunksize=5))
    running, fixed = np.array(rows).sum(axis=0)
    return Errors(int(running), int(fixed), count)


BAR = 0.05
SEASONS_IN_CI, EVERY_IN_CI = 6, 5


def test_looking_again_and_again_in_few_seasons() -> None:
    """Mood and clumps, small: the running interval rarely errs where the fixed one often does.

    The seeds are fixed; the full size below is the test of the bar itself.
    """
    found = errors("mood and clumps, 1.5", SEASONS_IN_CI, EVERY_IN_CI)
    assert found.running <= 1
    assert found.fixed > found.running


@pytest.mark.full
def test_the_statistic_and_the_limits_tell_the_same() -> None:
    """A look leaves out the truth by L(truth) > R just where its limits do; one with both cases."""
    kind, trips, seed = "both, clumps", 30, 8
    simulate, ratio, season = KINDS[kind]
    frame = simulate(np.random.default_rng(seed), ratio, season=Season(trips=trips, **season))
    (one,) = running_looks(frame, REFERENCE).comparisons
    outside = {
        name: any(
            (low is not None and low > ratio) or (high is not None and high < ratio)
            for low, high in (
                (getattr(look, f"{name}_low"), getattr(look, f"{name}_high")) for look in one.looks
            )
        )
        for name in ("conf", "fixed")
    }
    assert outside == {"conf": False, "fixed": True}
    assert season_errors((kind, trips, 1, seed)) == (False, True)


@pytest.mark.full
def test_where_the_model_is_wrong_looking_still_costs_little() -> None:
    """Baits whose ratio differs from trip to trip are outside the law that the interval supposes.

    No bar is stated for them; what is held is that the running interval errs far less often than
    the fixed one, and both figures are printed.
    """
    for kind in WRONG_MODEL:
        found = errors(kind, 200, cores=os.cpu_count() or 1)
        print(f"\n{kind}: {found}")
        assert 2 * found.running < found.fixed


@pytest.mark.full
@pytest.mark.parametrize("kind", KINDS)
def test_the_running_interval_errs_in_5_seasons_of_100_at_most(kind: str) -> None:
    """200 seasons of 100 trips a kind, every trip looked at: the error itself is within 5 %."""
    found = errors(kind, 200, cores=os.cpu_count() or 1)
    print(f"\n{kind}: {found}")
    assert found.running <= BAR * found.seasons
    assert found.fixed > found.running
