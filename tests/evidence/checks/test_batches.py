"""One batch each: told where batches are logged and a variant has one, quiet otherwise."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from evidence.checks.clean_logs import alarms, clean_logs
from rodhours.evidence.checks.batches import (
    batch_apart,
    batches_of,
    off_recipe_notes,
    one_batch_each,
)
from rodhours.evidence.compare import compare
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
    """Two batches of each variant, alike: in at most 10 % of clean logs; measured 1.5 % of 200."""

    def told(log, *two):
        batches = batches_of(log)
        return [*one_batch_each(batches, *two), *batch_apart(log, batches, two)]

    assert alarms(told) <= 0.10


@pytest.mark.parametrize(
    ("favourite", "reference", "batches", "reference_batches"),
    [
        (["a", "a"], ["b", "c"], 1, 2),
        (["a", "d"], ["b", "b"], 2, 1),
        (["a", "a"], ["b", "b"], 1, 1),
        (["a", "a"], [None, None], 1, None),
        (["a", "a", None], ["b", "c", None], 1, 2),
        # One stint of ten under a code written wrong, and of the shortest: still one batch.
        (["a"] * 9 + ["A-1"], ["b", "c"] * 5, 1, 2),
    ],
)
def test_a_single_batch_is_told_with_both_counts(favourite, reference, batches, reference_batches):
    """Of either of the two; None where batches are not logged."""
    (note,) = one_batch_each(batches_of(a_log(favourite, reference)), REFERENCE, FAVOURITE)
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
    assert one_batch_each(batches_of(a_log(favourite, reference)), REFERENCE, FAVOURITE) == []


SECOND_ONLY = [1, 0, 1, 1, 0, 1, 0, 1, 1, 1, 4, 3, 4, 4, 3, 4, 4, 4, 4, 4]
PLAIN = [1, 0, 1, 2, 0, 1, 1, 0, 2, 1, 1, 0, 1, 2, 0, 1, 1, 0, 2, 1]


def two_batches(favourite: list[int]) -> pd.DataFrame:
    """20 trips of ten hours with both baits; the favourite's second batch from the eleventh on."""
    rows = [
        (f"T{trip}", variant, f"{variant} {'one' if trip < 10 else 'two'}", 10.0, fish)
        for trip in range(20)
        for variant, fish in ((FAVOURITE, favourite[trip]), (REFERENCE, PLAIN[trip]))
    ]
    return pd.DataFrame(rows, columns=["session", "variant", "batch", "hours", "fish"])


def test_one_batch_that_carries_the_answer_is_said():
    """45 fish against 18: ahead. The first batch had 7 against 9, 0.78 times by equal hours; the
    second 38 against 9."""
    log = two_batches(SECOND_ONLY)
    result = compare(log, REFERENCE)
    (answer,) = result.comparisons
    assert answer.verdict == "ahead"
    notes = {note.code: note for note in result.notes}
    carries = notes["one_batch_carries"]
    assert (carries.numbers["batch"], carries.severity) == (f"{FAVOURITE} two", "serious")
    assert carries.numbers["rate_ratio_without"] == pytest.approx(7 / 9, rel=0.1)
    first = compare(log[log["batch"] != f"{FAVOURITE} two"], REFERENCE).comparisons[0]
    assert carries.numbers["rate_ratio_without"] == pytest.approx(first.rate_ratio, rel=1e-4)
    assert carries.numbers["conf_high_without"] == pytest.approx(first.conf_high, rel=1e-3)
    apart = notes["batch_apart"]
    assert (apart.numbers["fish"], apart.numbers["other_fish"]) in ((38, 7), (7, 38))
    assert apart.variant == FAVOURITE
    even = compare(two_batches([2, 3, 1, 2, 3, 2] * 3 + [2, 2]), REFERENCE)
    assert not {"one_batch_carries", "batch_apart"} & {note.code for note in even.notes}


def test_an_answer_with_a_batch_off_its_recipe_is_given_without_it_too():
    """Both answers stand in the note; serious where the verdict is another."""
    log = two_batches(SECOND_ONLY)
    off = [(f"{FAVOURITE} two", FAVOURITE)]
    whole = compare(log, REFERENCE, checks=False)

    def left(batches):
        rest = log[~log["batch"].isin([code for code, _ in batches])]
        known = REFERENCE in set(rest["variant"]) and FAVOURITE in set(rest["variant"])
        return compare(rest, REFERENCE, checks=False) if known else replace(whole, comparisons=())

    without = left(off)
    (note,) = off_recipe_notes(whole, left, off)
    assert (note.code, note.severity) == ("batch_off_recipe", "serious")
    assert note.numbers["rate_ratio"] == whole.comparisons[0].rate_ratio
    assert note.numbers["rate_ratio_without"] == without.comparisons[0].rate_ratio
    assert off_recipe_notes(whole, left, [("other", "pellet-7")]) == ()
    both = [(f"{FAVOURITE} one", FAVOURITE), *off]
    (note,) = off_recipe_notes(whole, left, both)
    assert (note.numbers["rate_ratio_without"], note.severity) == (None, "serious")
    assert [one["rate_ratio_without"] for one in note.numbers["each"]] == [
        left([one]).comparisons[0].rate_ratio for one in both
    ]


@pytest.mark.full
def test_no_person_carries_the_answer_of_a_clean_log():
    """At most 10 % of 200 clean logs, of trips by three people in turn; measured 0 %."""
    told = []
    for seed, log in zip(range(200), clean_logs(200), strict=True):
        names = np.random.default_rng([seed, 13]).permutation(["Ida", "Tam", "Uwe"])
        trip = log["session"].astype("category").cat.codes
        notes = compare(log.assign(angler=names[trip % 3]), REFERENCE).notes
        told.append(any(note.code == "one_angler_carries" for note in notes))
    assert np.mean(told) <= 0.10


def test_one_person_who_carries_the_answer_is_said():
    """Ida's trips are the eleventh on, with the second batch: hers is the whole lead."""
    log = two_batches(SECOND_ONLY).drop(columns="batch")
    log["angler"] = np.where(log["session"].str[1:].astype(int) < 10, "Tam", "Ida")
    (note,) = [one for one in compare(log, REFERENCE).notes if one.code == "one_angler_carries"]
    assert (note.numbers["angler"], note.severity) == ("Ida", "serious")
    tam = compare(log[log["angler"] == "Tam"], REFERENCE).comparisons[0]
    assert note.numbers["rate_ratio_without"] == pytest.approx(tam.rate_ratio, rel=1e-4)
