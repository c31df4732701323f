"""Earlier seasons beside a short one: what they share, when they are used, coverage and width."""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from itertools import product

import numpy as np
import pandas as pd
import pytest
from scipy import stats

import brute_force
import simulated_seasons as seasons
from rodhours.evidence.compare import compare
from rodhours.evidence.result import Note
from rodhours.evidence.results import ComparisonResult
from rodhours.evidence.season_by_season import season_by_season
from rodhours.words.season_by_season import caption
from simulated_seasons import REFERENCE, Season

UNEVEN = {"s 0.7": (0.7, 0.0), "s 1": (1.0, 0.0), "s 1.5": (1.5, 0.0)}
UNEVEN |= {"clumps": (0.7, 1.0), "both": (1.0, 0.5)}
KINDS = {
    "both": seasons.both_on_every_trip,
    "two rods": lambda rng, ratio, season: seasons.both_on_every_trip(
        rng, ratio, replace(season, rods=2)
    ),
    "mood": seasons.third_rod_by_mood,
    "one a trip": seasons.one_a_trip,
}


def two_seasons(
    seed: int, trips: int, kind: str = "both", uneven: str = "s 1", smoother: float = 1.0
) -> tuple[pd.DataFrame, float]:
    """A season of so many trips and one of 30 before it, and the true ratio of the later one.

    `smoother` is by how much s is less in the earlier one; a is less by nearly the square.
    """
    rng = np.random.default_rng([seed, 31])
    (s, a), ratio = UNEVEN[uneven], (1.0, 2.0)[seed % 2]
    now = KINDS[kind](rng, ratio, Season(trips=trips, session_sd=s, stint_clumping=a))
    less = {"session_sd": s * smoother, "stint_clumping": a * (1.0 if smoother == 1.0 else 0.5)}
    old = KINDS[kind](rng, 1.5, Season(trips=30, **less))
    old["session"] = "before " + old["session"]
    now, old = now.assign(date="2026-05-01"), old.assign(date="2025-05-01")
    return pd.concat([now.assign(earlier=False), old.assign(earlier=True)]), ratio


def told(result: ComparisonResult) -> list[Note]:
    return [note for note in result.notes if note.code == "earlier_seasons"]


def asked(log: pd.DataFrame) -> ComparisonResult:
    return compare(log, REFERENCE, checks=False)


def test_spread_and_clumping_are_shared_and_no_ratio():
    """Against the slow likelihood of both seasons' rows, each with columns of its own: where the
    profile falls to t² with degrees of freedom between 6 of this season's (6 − 2 + 2) and 34 of
    both (36 − 4 + 2), their geometric mean, rounded down to 14."""
    log, _ = two_seasons(3, 6)
    result = asked(log)
    (one,), (note,) = result.comparisons, told(result)
    parts = [log[log["earlier"] == which] for which in (False, True)]
    now, old = (brute_force.lay_out(part, REFERENCE, part) for part in parts)
    width = now.design.shape[1]
    design = np.zeros((len(log), width + old.design.shape[1]))
    design[: len(parts[0]), :width], design[len(parts[0]) :, width:] = now.design, old.design
    both = brute_force.Brute(
        log["session"].to_numpy(),
        log.groupby(["session", "variant"]).ngroup().to_numpy(),
        log["hours"].to_numpy(),
        log["fish"].to_numpy(float),
        design,
    )
    start = both.starts()[0]
    start[width] = start[0]
    top, at = both._highest(None, 0.0, [start])
    assert one.rate_ratio == pytest.approx(np.exp(at[1]), rel=1e-4)
    for limit in (one.conf_low, one.conf_high):
        fall = both.statistic(1, np.log(limit), top, at)
        assert fall == pytest.approx(stats.t.ppf(0.975, 14) ** 2, rel=1e-3)
    (alone,) = asked(parts[0].drop(columns="earlier")).comparisons
    assert (note.numbers["conf_low"], note.numbers["conf_high"]) == pytest.approx(
        (alone.conf_low, alone.conf_high)
    )
    assert note.numbers["trips"] == 30
    assert (one.sessions, one.fish, one.rod_hours) == (alone.sessions, alone.fish, alone.rod_hours)
    assert np.log(one.conf_high / one.conf_low) < np.log(alone.conf_high / alone.conf_low)


def test_used_only_where_it_may_be():
    """Not for ten trips, beside fewer than twelve, or where trips were far less uneven before."""
    assert not told(asked(two_seasons(3, 10)[0]))
    log = two_seasons(3, 6)[0]
    early = [f"before {one}" for one in range(11)]
    assert not told(asked(log[~log["earlier"] | log["session"].isin(early)]))
    wild = two_seasons(3, 9, "one a trip", "s 1.5")[0]
    wild.loc[~wild["earlier"], "fish"] = np.where(np.arange(27) // 3 % 5 == 0, 40, 0)
    wild.loc[wild["earlier"], "fish"] = 2
    assert not told(asked(wild))


def test_a_short_season_beside_earlier_ones_is_helped_and_says_so():
    """Season by season the last one has the limits of the joint fit, and the caption says why."""
    log = two_seasons(3, 6)[0].assign(date=lambda one: pd.to_datetime(one["date"]))
    found = season_by_season(log.drop(columns="earlier"), REFERENCE)
    (one,) = asked(log).comparisons
    assert found.seasons[-1].comparisons[0].conf_low == pytest.approx(one.conf_low)
    assert "takes how uneven trips are from those before it" in caption(found)


def season(task: tuple[int, str, str, int, float]) -> tuple[str, int, bool, bool, float]:
    """Kind, trips, whether the truth was held, whether earlier trips were used, and how many times
    as wide the interval then was as alone."""
    seed, uneven, kind, trips, smoother = task
    log, ratio = two_seasons(seed, trips, kind, uneven, smoother)
    result = asked(log)
    (one,), notes = result.comparisons, told(result)
    low, high = one.conf_low or 0.0, one.conf_high or np.inf
    width = np.nan
    if notes and notes[0].numbers["conf_low"] and notes[0].numbers["conf_high"]:
        numbers = notes[0].numbers
        width = np.log(high / low) / np.log(numbers["conf_high"] / numbers["conf_low"])
    return kind, trips, low <= ratio <= high, bool(notes), float(width)


def test_few_short_seasons_hold_the_truth():
    """Two of each kind, the earlier ones smoother: of 8 at most 1 misses; the seeds are fixed."""
    tasks = [(1, uneven, kind, 6, 0.7) for kind in KINDS for uneven in ("s 0.7", "clumps")]
    assert sum(not season(task)[2] for task in tasks) <= 1


@pytest.mark.full
@pytest.mark.parametrize(("smoother", "bar"), [(1.0, 0.94), (0.7, 0.92)])
def test_coverage_at_full_size(smoother: float, bar: float):
    """100 seasons of each unevenness, kind and length: 94 % where the seasons agree, 92 % where the
    earlier one was a third less uneven, by length and by kind, within three standard errors."""
    tasks = list(product(range(100), UNEVEN, KINDS, (4, 6, 9), [smoother]))
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        rows = list(pool.map(season, tasks, chunksize=20))
    found = pd.DataFrame(rows, columns=["kind", "trips", "held", "used", "width"])
    print(f"\n{smoother}: {found.groupby(['trips', 'kind']).mean()}")
    for by in ("trips", "kind"):
        for _, held in found.groupby(by)["held"]:
            assert held.mean() >= bar - 3 * np.sqrt(bar * (1 - bar) / len(held))
