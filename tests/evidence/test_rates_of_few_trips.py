"""Rates of a group of few trips: unevenness from the whole log, by slow sums and by simulation."""

from __future__ import annotations

import math
import os
from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pandas as pd
import pytest
from scipy import optimize, stats

import brute_force
import simulated_seasons as seasons
from rodhours.evidence.summary import summarise
from simulated_seasons import REFERENCE, Season


def log_of(kind: str, trips: int, seed: int) -> pd.DataFrame:
    """Dates, waters, and a third bait on one rod of five trips; every stint has the true rate."""
    rng = np.random.default_rng([seed, trips, list(KINDS).index(kind)])
    log = seasons.both_on_every_trip(rng, 1.0, Season(trips=trips, **KINDS[kind]))
    log = seasons.logged(rng, log)
    number = log["session"].str[1:].astype(int)
    rare = number.isin(rng.choice(trips, 5, replace=False) + 1) & (log["rod"] == "3")
    return log.assign(variant=log["variant"].mask(rare, "rare"))


KINDS: dict[str, dict[str, float]] = {
    "even": {"session_sd": 0.0},
    "usual": {"session_sd": 1.0},
    "wild": {"session_sd": 1.5},
    "clumps": {"session_sd": 0.7, "stint_clumping": 1.0},
    "few fish": {"session_sd": 1.0, "stint_clumping": 0.5, "rate": 0.012},
}


def test_limits_of_a_group_are_those_of_slow_sums_at_the_whole_logs_unevenness():
    """Section 11: s and t of the whole log held, the group's log rate profiled, t² with its df.

    Both by trapezoid sums; df = trips − variants + 2.
    """
    log = log_of("usual", 16, 5)
    variant = log["variant"].to_numpy()
    others = [np.where(variant == one, 1.0, 0.0) for one in sorted(set(variant) - {REFERENCE})]
    cell = log["session"].to_numpy() + "|" + variant.astype(str)
    session, hours, fish = (log[name].to_numpy() for name in ("session", "hours", "fish"))
    whole = brute_force.Brute(
        session, cell, hours, fish.astype(float), np.column_stack((np.ones(len(log)), *others))
    )
    _, at = whole.fit()
    s, t = at[-2:]
    rows = variant == "rare"
    group = brute_force.Brute(
        session[rows], cell[rows], hours[rows], fish[rows].astype(float), np.ones((rows.sum(), 1))
    )

    def height(theta: float) -> float:
        return group.log_likelihood(np.array([theta]), s, t)

    plain = math.log(fish[rows].sum() / hours[rows].sum())
    top = optimize.minimize_scalar(lambda x: -height(x), bounds=(plain - 3, plain + 3)).x
    (row,) = (one for one in summarise(log).rows if one.group == "rare")
    assert row.fish > 0
    for side, found in ((-1, row.conf_low), (1, row.conf_high)):
        t_squared = stats.t.ppf(0.975, 16 - 3 + 2) ** 2
        cut = max(t_squared, brute_force.distance(row.fish, 0.05, side))
        limit = optimize.brentq(
            lambda x, cut=cut: 2 * (height(top) - height(x)) - cut, top, top + 12 * side
        )
        assert found == pytest.approx(100 * math.exp(limit), rel=2e-3)
    assert row.method == "session model, unevenness of the whole log"


def test_a_bait_without_a_fish_has_an_upper_limit_from_the_whole_log():
    """Wider than if every fish came by itself: 3.689 in its rod-hours (Garwood 1936)."""
    log = log_of("wild", 16, 4)
    log.loc[log["variant"] == "rare", "fish"] = 0
    (row,) = (one for one in summarise(log).rows if one.group == "rare")
    assert row.conf_low == 0.0
    assert row.conf_high > 100 * 3.689 / row.rod_hours


def test_limits_more_than_20_fold_apart_have_no_upper_one():
    """Section 11: then there are too few trips for an upper limit, and the row says so."""
    found = 0
    for seed in range(3):
        for row in summarise(log_of("wild", 20, seed), "month").rows:
            if row.fish >= 3:
                assert row.conf_high is None or row.conf_high <= 20 * row.conf_low
            assert (row.conf_high is None) == row.method.endswith(
                "too few trips for an upper limit"
            )
            found += row.conf_high is None
    assert found


def held(task: tuple[str, int, int]) -> list[tuple[str, bool]]:
    """Whether each group of few trips held the true rate, by what it is grouped by."""
    kind, trips, seed = task
    log, truth = log_of(kind, trips, seed), 100 * KINDS[kind].get("rate", 0.03)
    return [
        (by, row.conf_low <= truth <= (row.conf_high or math.inf))
        for by in ("month", "venue", "variant")
        for row in summarise(log, by).rows
        if row.sessions < 10
    ]


def coverage(seasons_a_kind: int, cores: int = 1) -> pd.DataFrame:
    tasks = [
        (kind, trips, seed)
        for kind in KINDS
        for trips in (20, 45)
        for seed in range(seasons_a_kind)
    ]
    if cores == 1:
        rows = [held(task) for task in tasks]
    else:
        with ProcessPoolExecutor(cores) as pool:
            rows = list(pool.map(held, tasks, chunksize=4))
    found = [(kind, *one) for (kind, _, _), many in zip(tasks, rows, strict=True) for one in many]
    return pd.DataFrame(found, columns=["kind", "by", "held"])


def test_few_seasons_hold_the_true_rate():
    """Of some 20 groups at most two miss; the seeds are fixed."""
    rows = [held(("usual", 20, 1)), held(("clumps", 20, 1))]
    assert sum(not one for many in rows for _, one in many) <= 2


@pytest.mark.full
def test_groups_of_few_trips_hold_the_true_rate():
    """93 % at least over months, over waters and over baits; 40 seasons of each kind and length."""
    found = coverage(40, os.cpu_count() or 1)
    print(found.groupby(["by", "kind"])["held"].agg(["size", "mean"]).to_string())
    assert found.groupby("by")["held"].mean().min() >= 0.93
