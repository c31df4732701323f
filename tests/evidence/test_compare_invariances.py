"""What must change nothing, and what must turn over: the comparison under harmless rewriting.

No expected value is needed: the same log said in another way has the same answer.
"""

from __future__ import annotations

import dataclasses
import math
from functools import cache, partial

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from rodhours.evidence.compare import compare as with_checks
from simulated_seasons import FAVOURITE, REFERENCE, Season

compare = partial(with_checks, checks=False)


def seeded(kind, seed, ratio=1.0, **season):
    return kind(np.random.default_rng(seed), ratio, Season(**season))


LOGS = {
    "both, s and a inside": seeded(
        seasons.both_on_every_trip, 2, 1.5, session_sd=0.7, stint_clumping=1.0, trips=20
    ),
    "both, no clumps (t = 0)": seeded(seasons.both_on_every_trip, 3, 1.5, trips=9),
    "one a trip": seeded(seasons.one_a_trip, 5, 1.5, trips=16),
    "one a trip, no session effect (s = 0)": seeded(
        seasons.one_a_trip, 4, 1.5, trips=14, session_sd=0.0, stint_clumping=1.0
    ),
    "no clumping at all (s = t = 0)": seeded(
        seasons.both_on_every_trip, 19, 2.0, trips=15, session_sd=0.0
    ),
    "each rod by mood": seeded(seasons.each_rod_by_mood, 4, 1.5, trips=14),
    "few fish": seeded(seasons.both_on_every_trip, 21, 2.5, trips=7, rods=2, rate=0.02),
    "three fish": seeded(seasons.both_on_every_trip, 31, 1.0, trips=6, rods=2, rate=0.01),
    "three variants": seasons.several_variants(
        np.random.default_rng(14), (1.0, 2.0), Season(trips=13, rate=0.05)
    ),
}


@cache
def known(name):
    """The comparison of one of the logs with the reference."""
    return compare(LOGS[name], REFERENCE)


def parts(result):
    """Every pair of limits with its estimate and p, by variant and name."""
    for one in result.comparisons:
        yield (one.variant, "headline"), one
        yield (one.variant, "all trips"), one.all_trips
        yield (one.variant, "poisson"), one.poisson
        yield (one.variant, "alone"), one.alone


def numbers(part):
    return [
        getattr(part, name, None) for name in ("rate_ratio", "conf_low", "conf_high", "p_value")
    ]


def assert_alike(value, expected, rel):
    if value is None or expected is None:
        assert value is expected
    else:
        assert value == pytest.approx(expected, rel=rel)


def assert_same_answer(result, expected, rel=1e-6):
    ours, theirs = dict(parts(result)), dict(parts(expected))
    assert ours.keys() == theirs.keys()
    for name, part in ours.items():
        for value, other in zip(numbers(part), numbers(theirs[name]), strict=True):
            assert_alike(value, other, rel)
    for model, other in zip(result.models, expected.models, strict=True):
        assert (model.basis, model.sessions, model.cells, model.df) == (
            other.basis,
            other.sessions,
            other.cells,
            other.df,
        )
    assert [one.verdict for one in result.comparisons] == [
        one.verdict for one in expected.comparisons
    ]


def assert_same_fit(result, expected):
    for model, other in zip(result.models, expected.models, strict=True):
        assert model.log_likelihood == pytest.approx(other.log_likelihood, abs=1e-7)
        assert model.session_sd == pytest.approx(other.session_sd, abs=1e-3)
        assert model.clumping == pytest.approx(other.clumping, abs=1e-3)


def over(value):
    return None if value is None else math.inf if value == 0 else 1 / value


@pytest.mark.parametrize("name", LOGS)
def test_swapping_variant_and_reference_gives_the_reciprocal(name):
    """Limits turn over with the ratio and p stays, on both bases, Poisson column and alone."""
    log = LOGS[name]
    forward, back = compare(log, REFERENCE, FAVOURITE), compare(log, FAVOURITE, REFERENCE)
    for one, other in zip(parts(forward), parts(back), strict=True):
        ratio, low, high, p = numbers(one[1])
        ratio_back, low_back, high_back, p_back = numbers(other[1])
        assert_alike(ratio, over(ratio_back), 1e-5)
        assert_alike(low, over(high_back), 1e-4)
        assert_alike(high, over(low_back), 1e-4)
        assert_alike(p, p_back, 1e-4)
    (first,), (second,) = forward.comparisons, back.comparisons
    turned = {"ahead": "behind", "behind": "ahead"}
    assert second.verdict == turned.get(first.verdict, first.verdict)
    assert (first.fish, first.rod_hours) == (second.reference_fish, second.reference_rod_hours)
    assert_same_fit(forward, back)


def test_the_logs_reach_the_boundaries():
    """The logs above hold what their names say: s = 0, t = 0 and both among the fits."""
    seen = {
        (model.session_sd == 0, model.clumping == 0)
        for name in LOGS
        for model in known(name).models
    }
    assert seen == {(False, False), (True, False), (False, True), (True, True)}


@pytest.mark.parametrize("name", LOGS)
def test_the_same_log_said_in_another_way(name):
    """Hours in minutes, each stint as two rows of its rod, rows in another order: a unit of time
    shifts nothing but the rate, and two rows of one rod and bait in a session are one stint,
    log-likelihood included."""
    log = LOGS[name]
    minutes = log["hours"] * 60
    first = log.assign(hours=minutes * 0.25, fish=log["fish"] // 2)
    second = log.assign(hours=minutes * 0.75, fish=log["fish"] - log["fish"] // 2)
    other = pd.concat([first, second], ignore_index=True).sample(frac=1, random_state=5)
    result, expected = compare(other, REFERENCE), known(name)
    assert_same_answer(result, expected, 1e-5)
    assert_same_fit(result, expected)
    assert result.comparisons[0].rod_hours == pytest.approx(expected.comparisons[0].rod_hours * 60)


def test_rows_without_a_rod_are_stints_of_their_own():
    """Section 1: without a rod each row is one stint, a cell where no session has two variants."""
    log = LOGS["one a trip"].drop(columns="rod")
    twice = pd.concat([log.assign(hours=log["hours"] / 2)] * 2, ignore_index=True)
    twice.loc[len(log) :, "fish"] = 0
    assert compare(log, REFERENCE).models[0].cells == len(log)
    assert compare(twice, REFERENCE).models[0].cells == 2 * len(log)
    missing = twice.assign(rod=None)
    assert_same_answer(compare(missing, REFERENCE), compare(twice, REFERENCE))


def test_rods_make_no_difference_where_sessions_have_two_variants():
    """Section 1: cells are session × variant there, so that rods only count in log y! terms."""
    log = LOGS["both, s and a inside"]
    expected = known("both, s and a inside")
    assert_same_answer(compare(log.drop(columns="rod"), REFERENCE), expected, 1e-5)


@pytest.mark.parametrize("name", ["each rod by mood", "three variants"])
def test_relabelling_changes_nothing(name):
    """Other names for variants, sessions and rods, also of another order, are the same log."""
    log = LOGS[name]
    names = {REFERENCE: "zz", FAVOURITE: "bb", "variant-2": "aa"}
    other = log.assign(
        variant=log["variant"].map(names), session="trip " + log["session"], rod="r" + log["rod"]
    )
    expected, result = known(name), compare(other, "zz")
    back = {new: old for old, new in names.items()}
    ours = {back[one.variant]: one for one in result.comparisons}
    for one in expected.comparisons:
        theirs = ours[one.variant]
        for (_, part), (_, twin) in zip(
            parts(dataclasses.replace(expected, comparisons=(one,))),
            parts(dataclasses.replace(result, comparisons=(theirs,))),
            strict=True,
        ):
            for value, same in zip(numbers(part), numbers(twin), strict=True):
                assert_alike(value, same, 1e-5)
    assert_same_fit(result, expected)


def test_the_choice_of_reference_does_not_change_the_fit():
    """One log, one fit: another reference re-bases the coefficients, ratios multiply up."""
    log = LOGS["three variants"]
    plain, other = compare(log, REFERENCE, basis="all"), compare(log, FAVOURITE, basis="all")
    assert_same_fit(plain, other)
    favourite, third = (one.rate_ratio for one in plain.comparisons)
    against = {one.variant: one.rate_ratio for one in other.comparisons}
    assert against["variant-2"] == pytest.approx(third / favourite, rel=1e-5)


def test_covariate_units_and_level_names_change_nothing():
    """Degrees Fahrenheit for Celsius, other names of rods: the same adjustment."""
    log = LOGS["each rod by mood"].copy()
    log["water_temp_c"] = np.random.default_rng(3).normal(15, 4, len(log))
    expected = compare(log, REFERENCE, adjust=["water_temp_c", "rod"])
    other = log.assign(water_temp_c=32 + 1.8 * log["water_temp_c"], rod=9 - log["rod"].astype(int))
    assert_same_answer(compare(other, REFERENCE, adjust=["water_temp_c", "rod"]), expected, 1e-5)
    swapped = compare(log, REFERENCE, adjust=["rod", "water_temp_c"])
    assert_same_answer(swapped, expected, 1e-5)


def test_other_columns_change_nothing():
    """Columns that nobody asked for play no part, filled or not."""
    log = LOGS["each rod by mood"]
    more = log.assign(moon=np.nan, notes="windy", range_m=np.arange(len(log)), date=pd.NaT)
    assert with_checks(more, REFERENCE).to_dict() == with_checks(log, REFERENCE).to_dict()


def test_more_confidence_is_a_wider_interval():
    """Limits move outwards with the confidence, p and estimate stay; the margin moves neither."""
    log = LOGS["both, s and a inside"]
    wide, narrow = compare(log, REFERENCE, confidence=0.99), compare(log, REFERENCE, confidence=0.8)
    for (_, outer), (_, inner) in zip(parts(wide), parts(narrow), strict=True):
        assert outer.conf_low < inner.conf_low
        assert outer.conf_high > inner.conf_high
        assert outer.p_value == inner.p_value
    loose = compare(log, REFERENCE, margin=10.0).comparisons[0]
    strict = compare(log, REFERENCE, margin=1.01).comparisons[0]
    assert dataclasses.replace(loose, verdict="") == dataclasses.replace(strict, verdict="")
    assert loose.verdict != strict.verdict


@pytest.mark.parametrize("empty", [FAVOURITE, REFERENCE])
def test_swapping_turns_over_where_one_has_no_fish(empty):
    """0 and at most u on one side is no ratio and at least 1/u on the other."""
    log = LOGS["both, no clumps (t = 0)"]
    log = log.assign(fish=log["fish"].where(log["variant"] != empty, 0))
    (one,) = compare(log, REFERENCE).comparisons
    (back,) = compare(log, FAVOURITE).comparisons
    for forward, turned in ((one, back), (one.all_trips, back.all_trips), (one.alone, back.alone)):
        low, high = forward.conf_low, forward.conf_high
        if empty == REFERENCE:
            assert (high, turned.conf_low) == (None, 0.0)
            assert_alike(low, over(turned.conf_high), 1e-6)
        else:
            assert (low, turned.conf_high) == (0.0, None)
            assert_alike(high, over(turned.conf_low), 1e-6)
        assert_alike(forward.p_value, turned.p_value, 1e-6)
