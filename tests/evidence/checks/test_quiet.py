"""All checks together on clean logs: how often each code speaks where nothing is wrong."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

import rodhours
import simulated_seasons as seasons
from simulated_seasons import FAVOURITE, REFERENCE, Season

# Told because it is so, not because something is wrong: trips do differ in these logs, and the
# rods are logged and not adjusted for, and each stint is a whole day.
NO_FAULT = {"clumping", "adjust_by_rod", "whole_days"}


@pytest.mark.parametrize("logs", [10, pytest.param(200, marks=pytest.mark.full)])
def test_each_code_stays_quiet_on_clean_logs(logs: int) -> None:
    """At most 10 % of clean logs for any code; measured rates stand in the failure text.

    40 trips with both baits on each, equally good, rods in turn, batches changed, all logged.
    Measured on 200: favourite_conditions 9 %, red_letter_trip 5 %, unlogged_blanks 4 %, gaps 0.5 %.
    """
    found: Counter[str] = Counter()
    for seed in range(logs):
        rng = np.random.default_rng([seed, 9])
        log = seasons.both_on_every_trip(rng, 1.0, Season(session_sd=0.7))
        log = seasons.logged(rng, log)
        codes = {note.code for note in rodhours.check(log, REFERENCE).findings}
        found.update(codes - NO_FAULT)
    shares = {code: count / logs for code, count in found.most_common()}
    print(shares)
    assert all(share <= 0.10 for share in shares.values()), shares


def test_the_favourite_is_told_of_on_logs_by_mood() -> None:
    """Where each rod goes by the mood, favourite_conditions speaks on most logs."""
    logs = (seasons.each_rod_by_mood(np.random.default_rng(seed), 1.0) for seed in range(6))
    told = [
        any(
            note.code == "favourite_conditions" and note.variant == FAVOURITE
            for note in rodhours.compare(log, REFERENCE).notes
        )
        for log in logs
    ]
    assert sum(told) >= 3
