"""Clumping: told where it is more than chance, quiet where fish come one by one."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from rodhours.evidence.basis import Basis
from rodhours.evidence.checks.on_comparison import MORE_THAN_CHANCE, clumping
from rodhours.evidence.fitted import Headline
from rodhours.evidence.stints import prepare
from simulated_seasons import FAVOURITE, REFERENCE, Season


def found_in(frame: pd.DataFrame) -> dict | None:
    stints = prepare(frame)
    basis = Basis.of(stints, stints.code_of(REFERENCE), same_trips=False)
    variant = stints.code_of(FAVOURITE)
    notes = clumping([Headline(None, variant, basis, basis.answer(variant, 0.05, 0.05))], 0.05)
    return notes[0].numbers if notes else None


def test_quiet_where_fish_come_one_by_one() -> None:
    """At most 10 % of 10 logs without clumping; measured 1.5 % of 200."""
    season = Season(session_sd=0.0)
    logs = (seasons.one_a_trip(np.random.default_rng(seed), 1.0, season) for seed in range(10))
    assert sum(found_in(log) is not None for log in logs) / 10 <= 0.10


@pytest.mark.parametrize("make", [seasons.one_a_trip, seasons.clumps_by_stint])
def test_told_where_fish_come_in_clumps(make) -> None:
    """Trips that differ, or clumps by stint, are found and their cost is told."""
    found = [found_in(make(np.random.default_rng(seed))) for seed in range(4)]
    told = [one for one in found if one is not None]
    assert len(told) >= 3
    widths = [one["width_ratio"] for one in told if one["width_ratio"] is not None]
    # Poisson intervals are far too narrow on these logs.
    assert np.median(widths) > 1.2


def test_a_good_trip_is_e_to_the_s() -> None:
    """With s = 1 a good trip gives about 2.7 times a usual one."""
    found = [
        found_in(seasons.one_a_trip(np.random.default_rng(seed), 1.0, Season(trips=400)))
        for seed in range(2)
    ]
    assert np.median([one["good_trip"] for one in found if one]) == pytest.approx(np.e, rel=0.15)


def test_the_threshold_is_that_of_two_spreads_at_their_boundary() -> None:
    """0.05 = 1/2 P(chi2_1 > c) + 1/4 P(chi2_2 > c), Self & Liang 1987, case 7."""
    from scipy.stats import chi2

    tail = 0.5 * chi2.sf(MORE_THAN_CHANCE, 1) + 0.25 * chi2.sf(MORE_THAN_CHANCE, 2)
    assert tail == pytest.approx(0.05, abs=2e-4)
