"""One batch each: told where batches are logged and a variant has one, quiet otherwise."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from evidence.checks.clean_logs import alarms
from rodhours.evidence.checks.batches import one_batch_each
from simulated_seasons import FAVOURITE, REFERENCE


def a_log(favourite: list[str | None], reference: list[str | None]) -> pd.DataFrame:
    """Ten stints of each, batches in turn."""
    log = seasons.both_on_every_trip(
        np.random.default_rng(1), season=seasons.Season(trips=10, rods=2)
    )
    turn = log.groupby("variant").cumcount()
    log["batch"] = [
        (favourite if variant == FAVOURITE else reference)[i % len(favourite)]
        for variant, i in zip(log["variant"], turn, strict=True)
    ]
    return log


def test_clean_logs_are_left_alone():
    """Variants of two batches each: none of 200 clean logs (at most 10 %); measured 0.0 %."""
    assert alarms(one_batch_each) <= 0.10


@pytest.mark.parametrize(
    ("favourite", "reference", "batches", "reference_batches"),
    [
        (["a", "a"], ["b", "c"], 1, 2),
        (["a", "d"], ["b", "b"], 2, 1),
        (["a", "a"], ["b", "b"], 1, 1),
        (["a", "a"], [None, None], 1, None),
        (["a", "a", None], ["b", "c", None], 1, 2),
    ],
)
def test_a_single_batch_is_told_with_both_counts(favourite, reference, batches, reference_batches):
    """Of either of the two; None where batches are not logged."""
    (note,) = one_batch_each(a_log(favourite, reference), REFERENCE, FAVOURITE)
    assert note.variant == FAVOURITE
    assert note.numbers == {"batches": batches, "reference_batches": reference_batches}


@pytest.mark.parametrize(
    ("favourite", "reference"),
    [
        (["a", "d"], ["b", "c"]),
        ([None, None], [None, None]),
        # Mostly without a batch: what the others came from is not known.
        (["a", None, None, None], ["b", "c", "b", "c"]),
    ],
)
def test_several_batches_or_none_logged_are_quiet(favourite, reference):
    """Nothing is said where two batches are known or batches are not."""
    assert one_batch_each(a_log(favourite, reference), REFERENCE, FAVOURITE) == []


def test_a_log_without_the_column_is_quiet():
    """Batches are not asked for."""
    log = a_log(["a", "a"], ["b", "b"]).drop(columns="batch")
    assert one_batch_each(log, REFERENCE, FAVOURITE) == []
