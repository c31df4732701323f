"""The comparison against slow likelihoods by trapezoid sums and against statsmodels.

Expected values come from `brute_force` (numpy sums, scipy optimisers and cutoffs of scipy.special),
from statsmodels' Poisson GLM, or from published fits; never from the package.
"""

from __future__ import annotations

import dataclasses
import json
import math
from functools import partial

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from scipy import optimize, stats

import brute_force
import simulated_seasons as seasons
from reference import open_data, published
from rodhours.errors import NoSuchBasis, UsageError
from rodhours.evidence.compare import compare as with_checks
from rodhours.evidence.verdicts import AHEAD
from simulated_seasons import FAVOURITE, REFERENCE, Season

compare = partial(with_checks, checks=False)
"""What the checks find is theirs to test."""


def seeded(kind, seed, ratio=1.0, **season):
    return kind(np.random.default_rng(seed), ratio, Season(**season))


def same_trip_log(log):
    """Sessions with at least two variants; right where all variants are linked."""
    kinds = log.groupby("session")["variant"].transform("nunique")
    return log[kinds > 1].reset_index(drop=True)


def close(value, expected, rel=2e-4):
    assert value == pytest.approx(expected, rel=rel, abs=1e-9)


def agree(one, expected, rel=2e-4):
    """Ratio, limits and p are those of the slow likelihood."""
    close(one.rate_ratio, expected.ratio, rel)
    close(one.conf_low, expected.low, rel)
    close(one.conf_high, expected.high, rel)
    close(one.p_value, expected.p, rel)


SMALL_LOGS = {
    "both on every trip": (seasons.both_on_every_trip, 3, 1.5, {"trips": 9}),
    "both, clumps": (
        seasons.both_on_every_trip,
        8,
        2.5,
        {"trips": 10, "session_sd": 0.7, "stint_clumping": 1.0},
    ),
    "each rod by mood": (seasons.each_rod_by_mood, 4, 1.5, {"trips": 14}),
    "few fish": (seasons.both_on_every_trip, 21, 2.5, {"trips": 7, "rods": 2, "rate": 0.02}),
}


@pytest.mark.parametrize("name", SMALL_LOGS)
def test_same_trip_answer_equals_slow_likelihood(name):
    """Sections 1 and 2: sessions with both variants, a share column, df = G − K + 2.

    Estimate, limits at max(t², guard), p, log-likelihood, s and a, by trapezoid sums.
    """
    kind, seed, ratio, season = SMALL_LOGS[name]
    log = seeded(kind, seed, ratio, **season)
    kept = same_trip_log(log)
    fish = kept.groupby("variant")["fish"].sum()
    sessions = kept["session"].nunique()
    df = sessions - 2 + 2
    expected = brute_force.interval(
        brute_force.lay_out(kept, REFERENCE, kept), 1, 0.05, df, fish[FAVOURITE], fish[REFERENCE]
    )
    result = compare(log, reference=REFERENCE)
    one, model = result.comparisons[0], result.models[0]
    assert (one.basis, model.basis) == ("same trips", "same trips")
    assert (one.fish, one.reference_fish) == (fish[FAVOURITE], fish[REFERENCE])
    assert (one.sessions, one.shared_sessions, model.sessions) == (sessions,) * 3
    assert (model.df, model.cells) == (df, 2 * sessions)
    agree(one, expected)
    # Quadrature with 15 nodes errs by 3e-7 a session at s = 1 and 1e-5 at s = 1.5.
    assert model.log_likelihood == pytest.approx(expected.log_likelihood, abs=3e-5)
    assert model.session_sd == pytest.approx(expected.s, abs=3e-3)
    assert model.clumping == pytest.approx(expected.t**2, abs=3e-3)


def test_all_trips_answer_equals_slow_likelihood():
    """Section 2: every stint, no share columns, a cell is session × variant."""
    log = seeded(seasons.each_rod_by_mood, 4, 1.5, trips=14)
    fish = log.groupby("variant")["fish"].sum()
    expected = brute_force.interval(
        brute_force.lay_out(log, REFERENCE), 1, 0.05, 14, fish[FAVOURITE], fish[REFERENCE]
    )
    result = compare(log, reference=REFERENCE)
    beside, model = result.comparisons[0].all_trips, result.models[1]
    assert (beside.fish, beside.sessions, beside.rod_hours) == (
        fish[FAVOURITE],
        14,
        log.loc[log["variant"] == FAVOURITE, "hours"].sum(),
    )
    assert model.cells == log.groupby(["session", "variant"]).ngroups
    assert model.df == 14
    agree(beside, expected)
    assert model.log_likelihood == pytest.approx(expected.log_likelihood, abs=1e-5)
    forced = compare(log, reference=REFERENCE, basis="all").comparisons[0]
    assert (forced.basis, forced.rate_ratio) == ("all trips", beside.rate_ratio)
    assert (forced.conf_low, forced.conf_high) == (beside.conf_low, beside.conf_high)


def test_a_cell_is_one_stint_where_no_session_has_two_variants():
    """Section 1: whole trips of one variant leave no cell but the stint to tell clumps from s."""
    log = seeded(seasons.one_a_trip, 5, 1.5, trips=12, rods=2, session_sd=0.7, stint_clumping=0.8)
    fish = log.groupby("variant")["fish"].sum()
    expected = brute_force.interval(
        brute_force.lay_out(log, REFERENCE), 1, 0.05, 12, fish[FAVOURITE], fish[REFERENCE]
    )
    result = compare(log, reference=REFERENCE)
    one, (model,) = result.comparisons[0], result.models
    assert (one.basis, model.cells) == ("all trips", 24)
    agree(one, expected)
    close(model.session_sd, expected.s, 1e-3)
    close(model.clumping, expected.t**2, 1e-3)


def test_cells_by_stint_hold_all_rows_of_a_rod_and_variant_whatever_their_covariates():
    """Section 1: rows of one session with the same rod and variant are one stint, one cell.

    So a rod that changed its spot half-way does not become two cells when spot is adjusted for.
    """
    log = seeded(seasons.one_a_trip, 5, 1.5, trips=12, rods=2, session_sd=0.7, stint_clumping=0.8)
    moved = log.assign(spot="bar", hours=log["hours"] / 2)
    moved = pd.concat([moved, moved.assign(spot="weed", fish=0)], ignore_index=True)
    model = compare(moved, reference=REFERENCE, adjust=["spot"]).models[0]
    assert model.cells == 24


def test_covariates_of_both_bases_equal_slow_likelihood():
    """Sections 1 and 2: covariates constant within sessions are dropped on the same trips.

    They stay on all trips, and each column that is used counts in df. Water temperature is of
    the session, range of the stint.
    """
    rng = np.random.default_rng(12)
    log = seeded(seasons.both_on_every_trip, 12, 1.5, trips=12, rate=0.05)
    log["water_temp_c"] = log["session"].map(
        dict(zip(log["session"].unique(), rng.normal(15, 4, 12), strict=True))
    )
    log["range_m"] = rng.uniform(20, 110, len(log))
    result = compare(log, reference=REFERENCE, adjust=["water_temp_c", "range_m"])
    same, everything = result.models
    one = result.comparisons[0]
    fish = log.groupby("variant")["fish"].sum()
    temperature, distance = (
        stats.zscore(log[column].to_numpy()) for column in ("water_temp_c", "range_m")
    )
    assert (same.adjusted_for, same.df) == (("range_m",), 12 - 2 - 1 + 2)
    assert (everything.adjusted_for, everything.df) == (("water_temp_c", "range_m"), 12 - 2)
    counts = (fish[FAVOURITE], fish[REFERENCE])
    expected = brute_force.interval(
        brute_force.lay_out(log, REFERENCE, log, [distance]), 1, 0.05, same.df, *counts
    )
    agree(one, expected)
    design = brute_force.lay_out(log, REFERENCE, None, [temperature, distance])
    top, at = design.fit()
    assert everything.log_likelihood == pytest.approx(top, abs=1e-5)
    close(one.all_trips.rate_ratio, math.exp(at[1]), 1e-3)


def three_variants(seed=14):
    return seasons.several_variants(
        np.random.default_rng(seed), (1.0, 2.0), Season(trips=13, rods=3, rate=0.05)
    )


def test_several_variants_are_one_fit_with_a_family():
    """Section 1: m comparisons, each interval at 1 − α/m and p·m, at most 1; alone unadjusted.

    Three variants by trapezoid sums with both share columns, df = G − 3 + 2, limits at 0.025.
    """
    log = three_variants()
    kept = same_trip_log(log)
    fish = kept.groupby("variant")["fish"].sum()
    df = kept["session"].nunique() - 3 + 2
    slow = brute_force.lay_out(kept, REFERENCE, kept)
    assert slow.design.shape[1] == 5
    counts = (fish[FAVOURITE], fish[REFERENCE])
    family = brute_force.interval(slow, 1, 0.05 / 2, df, *counts)
    result = compare(log, reference=REFERENCE)
    one = result.comparisons[0]
    assert [each.variant for each in result.comparisons] == [FAVOURITE, "variant-2"]
    assert result.models[0].df == df
    close(one.rate_ratio, family.ratio)
    close(one.conf_low, family.low)
    close(one.conf_high, family.high)
    close(one.p_value, min(1.0, 2 * family.p))
    close(one.alone.p_value, family.p)
    top, at = slow.fit()
    cut = brute_force.cutoff(0.05, 1, df, *counts)
    close(one.alone.conf_high, math.exp(slow.limit(1, 1, cut, top, at)))


def test_asking_for_one_variant_changes_the_family_and_not_the_fit():
    """Section 1: one log, one fit, one answer; one comparison asked for has no family."""
    log = three_variants()
    family, alone = compare(log, reference=REFERENCE), compare(log, REFERENCE, "variant-2")
    assert alone.models == family.models
    (one,) = alone.comparisons
    several = family.comparisons[1]
    assert one.rate_ratio == several.rate_ratio
    assert (one.conf_low, one.conf_high, one.p_value) == dataclasses.astuple(several.alone)
    assert dataclasses.astuple(one.alone) == dataclasses.astuple(several.alone)
    assert one.conf_low > several.conf_low
    assert one.conf_high < several.conf_high
    assert several.p_value == min(1.0, 2 * several.alone.p_value)
    for name in ("all_trips", "poisson"):
        assert getattr(one, name).rate_ratio == getattr(several, name).rate_ratio
        assert getattr(one, name).conf_high < getattr(several, name).conf_high
        assert getattr(several, name).p_value == pytest.approx(
            min(1.0, 2 * getattr(one, name).p_value)
        )


def without_fish(log, variant):
    return log.assign(fish=log["fish"].where(log["variant"] != variant, 0))


def test_no_fish_on_the_variant_gives_its_upper_limit():
    """Section 1: estimate 0, upper limit from the same profile, by trapezoid sums, both bases.

    The variant's stints carry nothing at the maximum; share columns stay; guard with y = 0.
    """
    log = without_fish(seeded(seasons.both_on_every_trip, 5, trips=9, rods=2), FAVOURITE)
    (one,) = compare(log, reference=REFERENCE).comparisons
    other = int(log["fish"].sum())
    for answer, slow in (
        (one, brute_force.lay_out(log, REFERENCE, log)),
        (one.all_trips, brute_force.lay_out(log, REFERENCE)),
    ):
        high, p = brute_force.upper_without_fish(slow, 1, 0.05, 9, other)
        assert (answer.rate_ratio, answer.conf_low) == (0.0, 0.0)
        close(answer.conf_high, high, 1e-3)
        close(answer.p_value, p, 1e-3)
    assert one.fish == 0
    assert one.verdict == ("behind" if one.conf_high < 1 else "too little to say")


def test_no_fish_on_the_reference_gives_the_lower_limit_of_the_same_profile():
    """Section 1: re-based on the other variant, whose upper limit turned over is the lower one."""
    log = without_fish(seeded(seasons.both_on_every_trip, 5, trips=9, rods=2), REFERENCE)
    (one,) = compare(log, reference=REFERENCE).comparisons
    slow = brute_force.lay_out(log, FAVOURITE, log)
    high, p = brute_force.upper_without_fish(slow, 1, 0.05, 9, int(log["fish"].sum()))
    assert (one.rate_ratio, one.conf_high, one.reference_fish) == (None, None, 0)
    close(one.conf_low, 1 / high, 1e-3)
    close(one.p_value, p, 1e-3)
    close(one.alone.conf_low, 1 / high, 1e-3)


def test_no_fish_on_either_says_nothing():
    """Section 1: nothing to say, null everywhere, too little, and the notes name both."""
    log = seeded(seasons.both_on_every_trip, 5, trips=9, rods=2).assign(fish=0)
    result = compare(log, reference=REFERENCE)
    (one,) = result.comparisons
    for part in (one, one.all_trips, one.poisson):
        assert (part.rate_ratio, part.conf_low, part.conf_high, part.p_value) == (None,) * 4
    assert dataclasses.astuple(one.alone) == (None, None, None)
    assert one.verdict == "too little to say"
    assert (one.fish, one.reference_fish, one.sessions) == (0, 0, 9)
    assert all(model.log_likelihood is None for model in result.models)
    assert "too_few_trips" not in {note.code for note in result.notes}


def test_an_empty_variant_leaves_the_estimates_of_the_others_alone():
    """Section 1: the others are fitted without its stints, the share columns kept.

    The maximum with the empty variant's coefficient at minus infinity, by trapezoid sums.
    """
    log = without_fish(three_variants(), "variant-2")
    kept = same_trip_log(log)
    fitted = kept[kept["variant"] != "variant-2"]
    slow = brute_force.lay_out(fitted, REFERENCE, kept)
    # Cells stay session × variant; the sessions left have two variants often enough.
    top, at = slow.fit()
    result = compare(log, reference=REFERENCE)
    first, second = result.comparisons
    assert result.models[0].log_likelihood == pytest.approx(top, abs=1e-5)
    close(first.rate_ratio, math.exp(at[1]), 1e-3)
    assert (second.rate_ratio, second.conf_low) == (0.0, 0.0)
    assert 0.001 < second.conf_high < 100


def glm(log, reference, covariates=()):
    """statsmodels' Poisson GLM and its design; the variants in the order of their names."""
    others = sorted(set(log["variant"]) - {reference})
    design = np.column_stack(
        [
            np.ones(len(log)),
            *((log["variant"] == one).to_numpy(float) for one in others),
            *covariates,
        ]
    )
    model = sm.GLM(log["fish"], design, family=sm.families.Poisson(), exposure=log["hours"])
    return model.fit(tol=1e-12), design


def glm_limits(log, reference, alpha, covariates=()):
    """Profile limits of the first coefficient after the intercept, by GLM fits with an offset."""
    fitted, design = glm(log, reference, covariates)
    rest = np.delete(design, 1, axis=1)

    def lost(theta):
        held = sm.GLM(
            log["fish"],
            rest,
            family=sm.families.Poisson(),
            offset=np.log(log["hours"].to_numpy()) + theta * design[:, 1],
        ).fit(tol=1e-12)
        return 2 * (fitted.llf - held.llf)

    cut = stats.chi2.ppf(1 - alpha, 1)
    at, far = np.asarray(fitted.params)[1], 12 * np.asarray(fitted.bse)[1]
    low = optimize.brentq(lambda theta: lost(theta) - cut, at - far, at, xtol=1e-9)
    high = optimize.brentq(lambda theta: lost(theta) - cut, at, at + far, xtol=1e-9)
    return np.exp([at, low, high]), stats.chi2.sf(lost(0.0), 1)


@pytest.mark.parametrize("adjusted", [False, True])
def test_poisson_column_equals_general_software(adjusted):
    """Section 3: statsmodels' Poisson GLM on the all-trips rows with the same covariates.

    Profile limits by its own fits with an offset and scipy's root finder, p by chi-square.
    """
    log = seeded(seasons.each_rod_by_mood, 4, 1.5, trips=14)
    log["range_m"] = np.random.default_rng(1).uniform(20, 110, len(log))
    covariates = [stats.zscore(log["range_m"])] if adjusted else []
    (ratio, low, high), p = glm_limits(log, REFERENCE, 0.05, covariates)
    one = compare(log, REFERENCE, adjust=["range_m"] if adjusted else []).comparisons[0].poisson
    close(one.rate_ratio, ratio, 1e-6)
    close(one.conf_low, low, 1e-5)
    close(one.conf_high, high, 1e-5)
    close(one.p_value, p, 1e-5)


def test_poisson_column_holds_for_the_family():
    """Everywhere but in `alone`, limits and p hold for the family: 1 − α/2 for two of them."""
    log = three_variants()
    (ratio, low, high), p = glm_limits(log, REFERENCE, 0.025)
    one = compare(log, REFERENCE).comparisons[0].poisson
    close(one.rate_ratio, ratio, 1e-6)
    close(one.conf_low, low, 1e-5)
    close(one.conf_high, high, 1e-5)
    close(one.p_value, min(1, 2 * p), 1e-5)


def test_poisson_column_gives_the_published_rate_ratio_of_smoking():
    """British doctors: IRR of smoking adjusted for age 1.425519.

    Doll & Hill 1966; Breslow & Day 1987; Stata [R] poisson; from memory (DOCTORS_REGRESSION).
    """
    doctors = open_data.doctors()
    log = pd.DataFrame(
        {
            "session": doctors["age"],
            "variant": np.where(doctors["smoker"] == 1, "smoker", "none"),
            "hours": doctors["person_years"],
            "fish": doctors["deaths"],
            "age": doctors["age"],
        }
    )
    for basis in ("auto", "all"):
        result = compare(log, reference="none", adjust=["age"], basis=basis)
        ratio = result.comparisons[0].poisson.rate_ratio
        assert published.DOCTORS_REGRESSION.agrees("doc_irr_smoker", ratio)


def test_poisson_column_gives_the_published_period_effect_of_ship_damage():
    """Ship damage by period, adjusted for type and year built: log ratio 0.38.

    McCullagh & Nelder 1989, section 6.3.2 (SHIPS_ESTIMATES).
    """
    ships = open_data.ships()
    log = ships.rename(columns={"period": "variant", "service": "hours", "incidents": "fish"})
    log["session"] = log["type"]
    (one,) = compare(log, reference="60", adjust=["type", "year"], basis="all").comparisons
    assert published.SHIPS_ESTIMATES.agrees("ships_b_period75", math.log(one.poisson.rate_ratio))


def test_poisson_column_without_fish_has_exact_limits():
    """Section 3: 0 fish in 400 h against 12 in 380 h: upper limit 0.342, p by two binomial tails.

    The limit is Clopper-Pearson's by scipy, turned to a ratio of rates.
    """
    trips = [str(i) for i in range(12)]
    log = pd.DataFrame(
        {
            "session": trips * 2,
            "variant": ["a"] * 12 + ["b"] * 12,
            "hours": [380 / 12] * 12 + [400 / 12] * 12,
            "fish": [1] * 12 + [0] * 12,
        }
    )
    share = stats.beta.ppf(0.975, 1, 12)
    one = compare(log, reference="a").comparisons[0].poisson
    assert (one.rate_ratio, one.conf_low) == (0.0, 0.0)
    close(one.conf_high, share / (1 - share) * 380 / 400, 1e-8)
    assert round(one.conf_high, 3) == 0.342
    close(one.p_value, 2 * stats.binom.cdf(0, 12, 400 / 780), 1e-8)
    turned = compare(log, reference="b").comparisons[0].poisson
    assert (turned.rate_ratio, turned.conf_high) == (None, None)
    close(turned.conf_low, 1 / one.conf_high, 1e-8)


def grid_of_logs():
    for seed in range(4):
        yield seeded(seasons.each_rod_by_mood, seed, 1.5, trips=10, rods=2)
        yield seeded(seasons.both_on_every_trip, seed, 3.0, trips=7, rods=2, rate=0.02)
        yield seeded(
            seasons.one_a_trip, seed, 4.0, trips=12, rods=2, session_sd=0.7, stint_clumping=1.0
        )
        yield three_variants(seed)


def test_p_is_the_confidence_at_which_the_interval_touches_one():
    """Section 1: the α at which c_α(side of 1) = L(0), so the limit at 1 − p is 1."""
    touched = 0
    for log in list(grid_of_logs())[:9]:
        (one,) = compare(log, REFERENCE, FAVOURITE).comparisons
        if one.p_value is None or not 0.001 < one.p_value < 0.9:
            continue
        (at_p,) = compare(log, REFERENCE, FAVOURITE, confidence=1 - one.p_value).comparisons
        nearer = at_p.conf_high if one.rate_ratio < 1 else at_p.conf_low
        assert nearer == pytest.approx(1.0, abs=2e-5)
        touched += 1
    assert touched >= 5


def hand_made(*trips):
    """Rows from trips of {variant: (hours, fish)}; the session is the trip's number."""
    return pd.DataFrame(
        [
            {"session": f"t{i}", "variant": variant, "hours": hours, "fish": fish}
            for i, trip in enumerate(trips)
            for variant, (hours, fish) in trip.items()
        ]
    )


BOTH = {"a": (24.0, 1), "b": (24.0, 2)}
ONLY_A, ONLY_B = {"a": (24.0, 1)}, {"b": (24.0, 1)}


def test_too_few_degrees_of_freedom_give_no_limits():
    """Section 1: df = G − K + 2 below 3 is too little to say, with a note, never a number."""
    log = hand_made({"a": (24.0, 4), "b": (24.0, 2)}, {"a": (24.0, 1), "b": (24.0, 3)})
    result = compare(log, reference="a")
    (one,) = result.comparisons
    assert result.models[0].df == 2
    assert (one.conf_low, one.conf_high, one.p_value) == (None, None, None)
    assert dataclasses.astuple(one.alone) == (None, None, None)
    assert one.verdict == "too little to say"
    assert "too_few_trips" in {note.code for note in result.notes}


def test_same_trips_need_four_sessions_of_each():
    """Section 2: the variant and the reference each in at least 4 sessions of that fit."""
    three, four = hand_made(*[BOTH] * 3, *[ONLY_A] * 5), hand_made(*[BOTH] * 4, *[ONLY_A] * 5)
    assert compare(three, reference="a").comparisons[0].basis == "all trips"
    same = compare(four, reference="a")
    assert same.comparisons[0].basis == "same trips"
    assert (same.comparisons[0].sessions, same.comparisons[0].reference_rod_hours) == (4, 96.0)
    with pytest.raises(NoSuchBasis):
        compare(three, reference="a", basis="same")


@pytest.mark.parametrize("sessions", [3, 4])
def test_the_variant_and_the_reference_are_counted_one_by_one(sessions):
    """Section 2: 3 sessions of one of the two are too few in a fit of many, 4 are enough."""
    log = hand_made(
        *[{"a": (24.0, 1), "b": (24.0, 2)}, {"a": (24.0, 2), "b": (24.0, 1)}] * 4,
        *[{"a": (24.0, 1), "c": (24.0, 1)}] * sessions,
    )
    for reference, variant in (("a", "c"), ("c", "a")):
        result = compare(log, reference, variant)
        reasons = [note.numbers["reason"] for note in result.notes if "reason" in note.numbers]
        assert reasons == (["few_sessions"] if sessions < 4 else [])
        expected = "all trips" if sessions < 4 else "same trips"
        assert result.comparisons[0].basis == expected


def test_same_trips_need_four_degrees_of_freedom():
    """Section 2: df >= 4; a covariate that varies within sessions costs one of 4."""
    log = hand_made(*[BOTH] * 4)
    log["range_m"] = [50.0, 60.0, 70.0, 50.0, 20.0, 30.0, 90.0, 20.0]
    assert compare(log, reference="a").models[0].df == 4
    short = compare(log, reference="a", adjust=["range_m"])
    assert short.comparisons[0].basis == "all trips"
    note = next(note for note in short.notes if note.code == "not_same_trips")
    assert note.numbers["reason"] == "few_df"
    with pytest.raises(NoSuchBasis) as refused:
        compare(log, reference="a", adjust=["range_m"], basis="same")
    assert refused.value.exit_code == 5


def test_variants_never_fished_together_are_unlinked():
    """Section 2: without a chain of shared sessions there is no same-trip answer."""
    log = hand_made(*[ONLY_A] * 6, *[ONLY_B] * 6)
    result = compare(log, reference="a")
    (one,) = result.comparisons
    assert (one.basis, one.shared_sessions, one.sessions) == ("all trips", 0, 12)
    assert [model.basis for model in result.models] == ["all trips"]
    note = next(note for note in result.notes if note.code == "not_same_trips")
    assert (note.numbers["reason"], note.variant) == ("unlinked", "b")
    with pytest.raises(NoSuchBasis):
        compare(log, reference="a", basis="same")


def indirect_log():
    """a and c never met; both met b."""
    return hand_made(
        *[{"a": (24.0, 1), "b": (24.0, 2)}, {"a": (12.0, 2), "b": (24.0, 1)}] * 3,
        *[{"b": (24.0, 2), "c": (24.0, 3)}, {"b": (12.0, 1), "c": (24.0, 1)}] * 3,
    )


def test_linked_through_a_third_variant_has_a_same_trip_answer():
    """Section 2: linked directly or through others; shared sessions count the direct ones.

    Ratio by trapezoid sums over all twelve sessions with two share columns.
    """
    log = indirect_log()
    result = compare(log, "a", "c")
    (one,) = result.comparisons
    assert (one.basis, one.sessions, one.shared_sessions) == ("same trips", 12, 0)
    assert "mostly_indirect" in {note.code for note in result.notes}
    slow = brute_force.lay_out(log, "a", log)
    top, at = slow.fit()
    close(one.rate_ratio, math.exp(at[2]), 1e-3)
    assert result.models[0].log_likelihood == pytest.approx(top, abs=1e-5)


def test_a_variant_without_same_trips_is_left_to_all_trips():
    """Section 2: others are left to the all-trips answer; the family has both in it."""
    log = hand_made(
        *[{"a": (24.0, 1), "b": (24.0, 2)}, {"a": (24.0, 2), "b": (24.0, 1)}] * 4,
        *[{"c": (24.0, 1)}, {"c": (24.0, 0)}] * 3,
    )
    result = compare(log, reference="a")
    b, c = result.comparisons
    assert (b.basis, c.basis) == ("same trips", "all trips")
    assert (b.sessions, c.sessions) == (8, 14)
    assert (c.rate_ratio, c.conf_low) == (c.all_trips.rate_ratio, c.all_trips.conf_low)
    assert {note.variant for note in result.notes if note.code == "not_same_trips"} == {"c"}


def test_a_forced_basis_never_shows_the_other_basis_fish():
    """Section 2: forced to the same trips, a variant without them has no answer there.

    Its fish and rod-hours are those of the basis that is named: none.
    """
    log = hand_made(
        *[{"a": (24.0, 1), "b": (24.0, 2)}, {"a": (24.0, 2), "b": (24.0, 1)}] * 4,
        *[{"c": (24.0, 1)}, {"c": (24.0, 0)}] * 3,
    )
    result = compare(log, reference="a", basis="same")
    c = result.comparisons[1]
    assert (c.basis, c.rate_ratio, c.conf_low, c.conf_high) == ("same trips", None, None, None)
    assert c.verdict == "too little to say"
    assert (c.fish, c.rod_hours, c.sessions) == (0, 0.0, 8)
    assert c.all_trips.fish == 3
    about = {note.code for note in result.notes if note.variant == "c"}
    assert about == {"no_same_trips"}


def test_too_few_fish_on_the_same_trips_leave_the_headline_there():
    """Section 2: too few fish on the same trips stays the headline; all trips stand beside it."""
    log = hand_made(
        *[{"a": (24.0, 0), "b": (24.0, 0)}] * 3,
        *[{"a": (24.0, 1), "b": (24.0, 0)}, {"a": (24.0, 0), "b": (24.0, 1)}],
        *[{"a": (24.0, 1)}, {"b": (24.0, 2)}] * 8,
    )
    (one,) = compare(log, reference="a").comparisons
    assert (one.basis, one.fish, one.reference_fish) == ("same trips", 1, 1)
    assert one.verdict == "too little to say"
    assert (one.all_trips.fish, one.all_trips.sessions) == (17, 21)
    assert one.all_trips.conf_low is not None


def test_a_column_that_separates_the_blanks_still_gives_an_answer():
    """Section 1: a slope that runs off is left out of the covariance, the answer stays finite.

    Every fish came at one venue; the rows of that venue alone carry the comparison. The limits
    are those of the trapezoid sums with the other venue's rate at nothing.
    """
    log = seeded(seasons.both_on_every_trip, 3, 1.5, trips=16)
    dead = log["session"].isin([str(i) for i in range(0, 16, 2)])
    log["fish"] = log["fish"].where(~dead, 0)
    log["venue"] = np.where(dead, "mere", "pit")
    (one,) = compare(log, REFERENCE, adjust=["venue"], basis="all").comparisons
    fish = log.groupby("variant")["fish"].sum()
    alive = log[~dead].reset_index(drop=True)
    expected = brute_force.interval(
        brute_force.lay_out(alive, REFERENCE),
        1,
        0.05,
        16 - 2 - 1 + 2,
        fish[FAVOURITE],
        fish[REFERENCE],
    )
    agree(one, expected, 1e-3)


def test_reference_is_the_variant_with_most_shared_rod_hours():
    """Point 7: most shared rod-hours, never the best-looking; and a note says so."""
    log = hand_made(*[{"good": (10.0, 9), "usual": (40.0, 0)}] * 5, *[{"lonely": (500.0, 3)}] * 2)
    result = compare(log)
    assert result.reference == "usual"
    note = next(note for note in result.notes if note.code == "reference_chosen")
    assert note.numbers["shared_rod_hours"] == 200.0
    assert compare(log, variant="usual").reference == "good"
    assert not {"reference_chosen"} & {note.code for note in compare(log, "good").notes}


@pytest.mark.parametrize(
    "options",
    [
        {"confidence": 0.0},
        {"confidence": 1.0},
        {"confidence": 95},
        {"confidence": math.nan},
        {"margin": 1.0},
        {"margin": 0.8},
        {"margin": math.inf},
        {"basis": "some"},
        {"variant": REFERENCE},
        {"adjust": ["fish"]},
    ],
)
def test_impossible_options_are_refused(options):
    """A value out of its bounds is a usage error, and a ValueError in Python."""
    with pytest.raises(UsageError) as refused:
        compare(three_variants(), REFERENCE, **options)
    assert isinstance(refused.value, ValueError)


def test_one_variant_alone_has_nothing_to_be_compared_with():
    """One variant in the rows: no comparison, no model, and a note."""
    result = compare(hand_made(*[ONLY_A] * 5))
    assert (result.reference, result.comparisons, result.models) == ("a", (), ())
    assert [note.code for note in result.notes if note.severity == "serious"] == ["one_variant"]


KEYS = {
    "top": "schema reference confidence adjusted_for comparisons models filters margin version "
    "logbook_sha256 notes",
    "comparisons": "variant basis rate_ratio conf_low conf_high p_value verdict fish rod_hours "
    "reference_fish reference_rod_hours sessions shared_sessions alone all_trips poisson",
    "alone": "conf_low conf_high p_value",
    "all_trips": "rate_ratio conf_low conf_high p_value fish rod_hours sessions",
    "poisson": "rate_ratio conf_low conf_high p_value",
    "models": "basis adjusted_for sessions cells df session_sd clumping log_likelihood",
    "notes": "code variant severity says numbers",
}


def test_machine_form_has_the_stated_keys():
    """Point 4: the keys of the stated JSON, no more and no fewer, and no NaN anywhere."""
    logs = (
        three_variants(),
        without_fish(three_variants(), FAVOURITE),
        without_fish(three_variants(), REFERENCE),
        three_variants().assign(fish=0),
        hand_made(*[ONLY_A] * 5),
    )
    for log in logs:
        machine = with_checks(log).to_dict()
        assert json.loads(json.dumps(machine, allow_nan=False)) == machine
        assert set(machine) == set(KEYS["top"].split())
        assert machine["schema"] == 1
        for part in ("comparisons", "models", "notes"):
            for one in machine[part]:
                assert set(one) == set(KEYS[part].split())
        for one in machine["comparisons"]:
            for part in ("alone", "all_trips", "poisson"):
                assert set(one[part]) == set(KEYS[part].split())
            assert one["basis"] in {"same trips", "all trips"}


def test_frame_is_tidy():
    """Point 4: a tidy frame, one row a comparison and basis, with one fixed vocabulary."""
    result = compare(three_variants(), REFERENCE)
    frame = result.frame
    assert " ".join(frame.columns) == (
        "variant reference basis rate_ratio conf_low conf_high p_value verdict "
        "fish rod_hours sessions"
    )
    assert list(frame["basis"]) == ["same trips", "all trips", "poisson"] * 2
    first = result.comparisons[0]
    ratios = [one.rate_ratio for one in (first, first.all_trips, first.poisson)]
    assert list(frame["rate_ratio"][:3]) == ratios


def test_the_settled_are_those_whose_verdict_says_so():
    """Five fish to one on each of twenty trips is ahead; two baits of one fish each are not."""
    trips = np.repeat(np.arange(20), 3)
    log = pd.DataFrame(
        {
            "session": trips,
            "variant": np.tile(["plain", "five", "like"], 20),
            "hours": 10.0,
            "fish": np.tile([1, 5, 1], 20) + np.repeat(np.tile([0, 1], 10), 3),
        }
    )
    log.loc[log["variant"] == "like", "fish"] = 2 * (trips[::3] % 2)
    result = compare(log, "plain", checks=False)
    assert [one.verdict for one in result.comparisons if one.variant == "five"] == [AHEAD]
    assert result.settled == ["five"]


def test_poisson_column_without_fish_but_with_a_covariate_is_a_profile():
    """Section 3: with covariates there are no exact limits; the GLM's profile has a limit.

    The maximum is the GLM of the other rows; the profile by GLM fits with an offset.
    """
    log = without_fish(seeded(seasons.both_on_every_trip, 5, trips=9, rods=2), FAVOURITE)
    log["range_m"] = np.random.default_rng(2).uniform(20, 110, len(log))
    x = sm.add_constant(stats.zscore(log["range_m"].to_numpy()))
    mine = (log["variant"] == FAVOURITE).to_numpy()
    poisson = sm.families.Poisson()
    hours = log["hours"].to_numpy()
    top = sm.GLM(log["fish"][~mine], x[~mine], family=poisson, exposure=hours[~mine]).fit().llf

    def lost(theta):
        offset = np.log(hours) + theta * mine
        return 2 * (top - sm.GLM(log["fish"], x, family=poisson, offset=offset).fit().llf)

    cut = stats.chi2.ppf(0.95, 1)
    high = optimize.brentq(lambda theta: lost(theta) - cut, -6, 3, xtol=1e-9)
    (one,) = compare(log, REFERENCE, adjust=["range_m"]).comparisons
    assert one.poisson.rate_ratio == 0.0
    close(one.poisson.conf_high, math.exp(high), 1e-5)


def test_a_rod_that_never_caught_leaves_the_same_trip_answer_finite():
    """Section 1: adjusted for rod, the third rod's slope runs off; its stints carry nothing.

    Trapezoid sums without its rows, the shares still of all rod-hours; every column counts.
    """
    log = seeded(seasons.each_rod_by_mood, 0, 1.5, trips=16)
    log["fish"] = log["fish"].where(log["rod"] != "3", 0)
    kept = same_trip_log(log)
    alive = kept[kept["rod"] != "3"].reset_index(drop=True)
    slow = brute_force.lay_out(alive, REFERENCE, kept, [alive["rod"] == "2"])
    slow = dataclasses.replace(slow, cell=alive.groupby(["session", "variant"]).ngroup().to_numpy())
    fish = kept.groupby("variant")["fish"].sum()
    df = kept["session"].nunique() - 2 - 2 + 2
    expected = brute_force.interval(slow, 1, 0.05, df, fish[FAVOURITE], fish[REFERENCE])
    result = compare(log, REFERENCE, adjust=["rod"])
    (one,) = result.comparisons
    assert (one.basis, result.models[0].df) == ("same trips", df)
    agree(one, expected, 1e-3)
