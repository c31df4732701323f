"""One person who carries the answer: false alarms on clean logs, and what it was left out of."""

from __future__ import annotations

import numpy as np
import pytest

from evidence.checks.clean_logs import clean_logs
from rodhours.evidence.compare import compare
from simulated_seasons import REFERENCE


def alarms(logs: int) -> float:
    """The share of clean logs, of trips by three people in turn, with the finding."""
    told = []
    for seed, log in zip(range(logs), clean_logs(), strict=False):
        names = np.random.default_rng([seed, 13]).permutation(["Ida", "Tam", "Uwe"])
        trip = log["session"].astype("category").cat.codes
        notes = compare(log.assign(angler=names[trip % 3]), REFERENCE).notes
        told.append(any(note.code == "one_angler_carries" for note in notes))
    return float(np.mean(told))


def test_clean_logs_are_left_alone():
    """At most 10 % of 20 clean logs; measured 0 % of 200."""
    assert alarms(20) <= 0.10


@pytest.mark.full
def test_clean_logs_are_left_alone_at_full_size():
    """At most 10 % of 200 clean logs."""
    assert alarms(200) <= 0.10
