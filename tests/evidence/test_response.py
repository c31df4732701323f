"""The line through an ingredient against slow likelihoods, statsmodels and stated truths.

Expected values come from `brute_force` (numpy sums, scipy optimisers, cutoffs of scipy.special) and
from statsmodels' Poisson GLM; never from the package.
"""

from __future__ import annotations

import json
import math
import os
from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from scipy import optimize, stats

import brute_force
import rodhours
import simulated_seasons as seasons
from rodhours.errors import UsageError
from rodhours.evidence.basis import Basis
from rodhours.evidence.response.line import Line, Slope
from rodhours.evidence.response.respond import respond, verdict
from rodhours.evidence.stints import prepare
from rodhours.words.notes import says
from simulated_seasons import Season

# Labels of `several_variants`, with the pellet share that each stands for here.
PELLET = {"plain": 0.0, "variant-2": 10.0, "pellet-20": 20.0, "variant-3": 30.0}
RECIPES = pd.DataFrame({"variant": list(PELLET), "pellet_pct": list(PELLET.values())})


def a_log(seed, per_ten=1.3, values=3, **season):
    """Rods drawn at random from baits with 0, 10 and 20 (and 30) points of pellet."""
    ratios = [per_ten**2, per_ten, per_ten**3][: values - 1]
    return seasons.several_variants(np.random.default_rng(seed), ratios, Season(**season))


def shared_trips(log):
    """Sessions with at least two variants."""
    kinds = log.groupby("session")["variant"].transform("nunique")
    return log[kinds > 1].reset_index(drop=True)


def session_mean(log, column):
    """The session's mean of a column by rod-hours, on every row."""
    hours = log.groupby("session")["hours"].transform("sum")
    return (column * log["hours"] / hours).groupby(log["session"]).transform("sum").to_numpy()


def brute(log, columns, same_trips, beside=()):
    """The slow likelihood with these columns after the intercept, cells session × variant."""
    parts = [np.ones(len(log)), *columns, *beside]
    if same_trips:
        parts += [session_mean(log, column) for column in columns]
    return brute_force.Brute(
        log["session"].to_numpy(),
        log.groupby(["session", "variant"]).ngroup().to_numpy(),
        log["hours"].to_numpy(float),
        log["fish"].to_numpy(float),
        np.column_stack(parts),
    )


def end_counts(log, values):
    """Fish at the low and at the high end, each worth its squared distance from the middle."""
    middle = (values.min() + values.max()) / 2
    away = (values - middle) / (values.max() - middle)
    worth = log["fish"].to_numpy() * away**2
    return [math.floor(worth[side].sum() + 1e-9) for side in (away < 0, away > 0)]


def close(value, expected, rel=3e-4):
    assert value == pytest.approx(expected, rel=rel, abs=1e-9)


def agree(found, ratio, expected, rel=3e-4):
    """A ratio and the limits beside it are those of the slow likelihood."""
    close(ratio, expected.ratio, rel)
    close((found.conf_low, found.conf_high), (expected.low, expected.high), rel)


@pytest.mark.parametrize(
    ("seed", "season"),
    [
        (3, {"trips": 8}),
        (8, {"trips": 9, "session_sd": 0.7, "stint_clumping": 1.0}),
        pytest.param(5, {"trips": 8, "values": 4, "rate": 0.02}, marks=pytest.mark.full),
    ],
)
def test_both_bases_equal_the_slow_likelihood(seed, season):
    """Pellet in place of the indicators; session mean beside it on the same trips; df = G.

    Estimate, limits at max(t², guard) and p. G − 2 + 2 degrees of freedom: level and slope.
    """
    log = a_log(seed, **season)
    result = respond(log, RECIPES, "pellet_pct")
    assert result.basis == "same trips"
    for rows, found, same in (
        (shared_trips(log), result, True),
        (log, result.all_trips, False),
    ):
        pellet = rows["variant"].map(PELLET)
        low, high = end_counts(rows, pellet)
        expected = brute_force.interval(
            brute(rows, [pellet / 10], same), 1, 0.05, rows["session"].nunique(), high, low
        )
        agree(found, found.rate_ratio, expected)
        close(found.p_value, expected.p)
        assert found.fish == rows["fish"].sum()
        assert found.sessions == rows["session"].nunique()
        contrasting = pellet.groupby(rows["session"]).nunique() > 1
        assert found.contrasting_sessions == contrasting.sum()


def test_columns_adjusted_for_count_in_df_and_stand_beside_the_line():
    """A covariate of the stint is in both designs and takes one degree of freedom."""
    log = a_log(11, trips=9, rate=0.04)
    log["depth_m"] = np.random.default_rng(1).uniform(1, 4, len(log)).round(1)
    result = respond(log, RECIPES, "pellet_pct", adjust=["depth_m"])
    rows = shared_trips(log)
    pellet = rows["variant"].map(PELLET)
    low, high = end_counts(rows, pellet)
    depth = (rows["depth_m"] - rows["depth_m"].mean()).to_numpy()
    df = rows["session"].nunique() - 1
    slow = brute(rows, [pellet / 10], True, [depth])
    agree(result, result.rate_ratio, brute_force.interval(slow, 1, 0.05, df, high, low))
    assert result.models[0].df == df


def one_fish_at_a_time(seed, values=3, per_ten=1.3):
    """A log whose fish come by themselves, so that the fit ends at s = t = 0."""
    return a_log(seed, per_ten, values, trips=25, rods=2, session_sd=0.0)


def poisson(log, columns):
    return sm.GLM(
        log["fish"],
        np.column_stack([np.ones(len(log)), *columns]),
        family=sm.families.Poisson(),
        exposure=log["hours"],
    ).fit(tol=1e-12)


def without_clumps(values, seeds=range(40)):
    """Logs of that kind on which all trips are fitted best by s = t = 0."""
    for seed in seeds:
        log = one_fish_at_a_time(seed, values)
        log["session"] += "-" + log["rod"]  # one stint a session: the answer is from all trips
        result = respond(log, RECIPES, "pellet_pct")
        model = result.models[0]
        if model.session_sd == model.clumping == 0:
            yield log, result


def test_trend_and_lack_of_fit_equal_statsmodels_where_nothing_clumps():
    """s = t = 0: the slope is the GLM's, its limits the GLM's profile at max(t², guard).

    Lack of fit is the difference in deviance to the GLM with a rate of each variant's own, and
    its p the chi-square tail with K − 2 degrees of freedom.
    """
    seen = 0
    for log, result in without_clumps(3):
        pellet = log["variant"].map(PELLET)
        fitted = poisson(log, [pellet / 10])
        assert result.basis == "all trips"
        close(result.rate_ratio, np.exp(fitted.params.iloc[1]), 1e-6)
        low, high = end_counts(log, pellet)
        for side, limit in ((-1, result.conf_low), (1, result.conf_high)):
            cut = brute_force.cutoff(0.05, side, log["session"].nunique(), high, low)

            def lost(theta, log=log, pellet=pellet, fitted=fitted):
                held = sm.GLM(
                    log["fish"],
                    np.ones(len(log)),
                    family=sm.families.Poisson(),
                    offset=np.log(log["hours"]) + theta * pellet / 10,
                ).fit(tol=1e-12)
                return 2 * (fitted.llf - held.llf)

            inside = fitted.params.iloc[1]
            root = optimize.brentq(
                lambda theta, cut=cut, lost=lost: lost(theta) - cut,
                *sorted((inside, inside + 4 * side)),
            )
            # A limit may lie further out on another branch, never further in.
            assert side * np.log(limit) >= side * root - 1e-4
            if seen == 0:
                assert np.log(limit) == pytest.approx(root, abs=1e-3)
        own = poisson(log, [log["variant"] == one for one in ("variant-2", "pellet-20")])
        assert result.lack_of_fit.df == 1
        assert result.lack_of_fit.statistic >= fitted.deviance - own.deviance - 1e-6
        if rodhours.compare(log, "plain", basis="all").models[0].log_likelihood == pytest.approx(
            own.llf, abs=1e-6
        ):
            expected = fitted.deviance - own.deviance
            assert result.lack_of_fit.statistic == pytest.approx(expected, abs=1e-5)
            close(result.lack_of_fit.p_value, stats.chi2.sf(expected, 1), 1e-4)
            seen += 1
        if seen == 2:
            break
    assert seen == 2


def test_a_variant_without_fish_counts_in_the_lack_of_fit():
    """Its rate of its own is 0: the deviance of the GLM without its stints, K − 2 all the same."""
    log = pd.DataFrame(
        {
            "session": [str(i) for i in range(24)],
            "variant": ["plain", "variant-2", "pellet-20"] * 8,
            "hours": 24.0,
            "fish": [1, 0, 1, 2, 0, 1, 1, 0, 2, 1, 0, 1] * 2,
        }
    )
    result = respond(log, RECIPES, "pellet_pct")
    assert (result.models[0].session_sd, result.models[0].clumping) == (0, 0)
    pellet = log["variant"].map(PELLET)
    line = poisson(log, [pellet / 10])
    caught = log[log["variant"] != "variant-2"]
    own = poisson(caught, [caught["variant"] == "pellet-20"])
    expected = 2 * (own.llf - line.llf)
    assert result.lack_of_fit.statistic == pytest.approx(expected, abs=1e-5)
    assert result.lack_of_fit.df == 1
    close(result.lack_of_fit.p_value, stats.chi2.sf(expected, 1), 1e-4)
    (empty,) = [one for one in result.points if one.variant == "variant-2"]
    assert (empty.ratio, empty.conf_low) == (0, 0)
    assert empty.conf_high > 0.01


def test_same_trip_lack_of_fit_equals_the_slow_likelihood():
    """On the same trips both fits hold every variant's share of the session."""
    log = shared_trips(a_log(6, trips=12))
    result = respond(log, RECIPES, "pellet_pct")
    own = brute_force.lay_out(log, "plain", log)
    line = brute_force.lay_out(log, "plain", log)
    pellet = log["variant"].map(PELLET).to_numpy() / 10
    line.design = np.column_stack((own.design[:, 0], pellet, own.design[:, 3:]))
    expected = 2 * (own.fit()[0] - line.fit()[0])
    assert result.lack_of_fit.statistic == pytest.approx(expected, abs=1e-3)
    assert result.lack_of_fit.df == 1


def hump(seed=3, trips=9):
    """Four values, best in the middle."""
    return seasons.several_variants(
        np.random.default_rng(seed), [4.0, 4.0, 1.0], Season(trips=trips, rate=0.05, session_sd=0.5)
    )


def test_a_bend_and_its_curve_equal_the_slow_likelihood():
    """A squared term with its own session mean; p with K = 3, so df = G − 1.

    The curve at a value is the rate there over the rate at the lowest value, with the limits of
    that one ratio.
    """
    log = shared_trips(hump())
    result = respond(log, RECIPES, "pellet_pct")
    u = log["variant"].map(PELLET) / 30
    df = log["session"].nunique() - 1
    low, high = end_counts(log, u)
    bent = brute(log, [u, u**2], True)
    top, at = bent.fit()
    lost = bent.statistic(2, 0.0, top, at)
    p = max(brute_force.p_value(lost, side, df, high, low) for side in (-1, 1))
    assert result.bent is not None
    close(result.bent.p_value, p, 2e-3)
    peak = -at[1] / (2 * at[2]) * 30
    assert result.bent.turn == "peak"
    assert result.bent.turns_at == pytest.approx(peak, abs=0.01)
    # Turned so that the ratio at 10 points, u = 1/3, is the first coefficient.
    d, e = 1 / 3, 1 / 9
    turned = brute(log, [u, u**2], True)
    turned.design[:, 1], turned.design[:, 2] = u / d, u**2 - u * e / d
    expected = brute_force.interval(turned, 1, 0.05, df, high, low)
    (point,) = [one for one in result.curve if one.value == 10]
    agree(point, point.ratio, expected, 1e-3)
    assert (result.lack_of_fit.line, result.lack_of_fit.df) == ("bent", 1)


def test_a_straight_line_is_its_own_curve_and_the_step_changes_the_ratio_alone():
    """At each value the ratio and limits are those of a step, to the power of the steps; of
    another step p, verdict and curve are the same."""
    result = respond(a_log(4, trips=25), RECIPES, "pellet_pct", per=5)
    ten = respond(a_log(4, trips=25), RECIPES, "pellet_pct")
    assert result.bent is None
    assert (ten.per, ten.p_value, ten.curve) == (10, result.p_value, result.curve)
    assert ten.verdict == result.verdict
    close((ten.rate_ratio, ten.conf_low), (result.rate_ratio**2, result.conf_low**2), 1e-9)
    assert {0, 10, 20} <= {one.value for one in result.curve}
    for one in result.curve:
        steps = one.value / 5
        close(one.ratio, result.rate_ratio**steps, 1e-9)
        close(one.conf_low, result.conf_low**steps, 1e-9)
        close(one.conf_high, result.conf_high**steps, 1e-9)


def test_two_baits_are_a_comparison():
    """With two values in the log the line is the comparison of the two baits, guard and all."""
    for seed, season in ((1, {"trips": 20}), (2, {"trips": 8, "rods": 2, "rate": 0.02})):
        log = seasons.both_on_every_trip(np.random.default_rng(seed), 1.5, Season(**season))
        result = respond(log, RECIPES, "pellet_pct", per=20)
        (one,) = rodhours.compare(log, "plain").comparisons
        assert result.basis == one.basis
        for name in ("rate_ratio", "conf_low", "conf_high", "p_value"):
            close(getattr(result, name), getattr(one, name), 1e-4)
            close(getattr(result.all_trips, name), getattr(one.all_trips, name), 1e-4)
        assert result.lack_of_fit is None
        assert "two_values" in {note.code for note in result.notes}


@pytest.mark.parametrize("end", ["lowest", "highest"])
def test_fish_at_one_end_only_give_one_limit_and_no_ratio(end):
    """The line can be as steep as you like: no estimate, and a limit from the same profile."""
    log = shared_trips(a_log(3, 1.0, trips=14, rate=0.05))
    kept = "plain" if end == "lowest" else "pellet-20"
    log.loc[log["variant"] != kept, "fish"] = 0
    result = respond(log, RECIPES, "pellet_pct")
    side = 1 if end == "lowest" else -1
    pellet = log["variant"].map(PELLET)
    low, high = end_counts(log, pellet)
    slow = brute(log, [pellet / 20], True)
    df = log["session"].nunique()
    cut = brute_force.cutoff(0.05, side, df, high, low)
    # The highest of the likelihood: every stint but those with fish is left out.
    caught = log[log["variant"] == kept].reset_index(drop=True)
    mean = pd.Series(session_mean(log, pellet / 20))[(log["variant"] == kept).to_numpy()]
    bare = brute(caught, [], False, [mean.to_numpy()])
    top, at = bare.fit()
    near = np.insert(at, 1, -6.0 * side)
    limit = slow.limit(1, side, cut, top, near, reach=9.0)
    found, other = (
        (result.conf_high, result.conf_low) if side > 0 else (result.conf_low, result.conf_high)
    )
    close(found, np.exp(limit / 2), 1e-3)
    assert other is None
    assert result.rate_ratio is None
    assert result.curve == ()
    (note,) = [note for note in result.notes if note.code == "runs_off"]
    assert note.numbers["end"] == end
    p = brute_force.p_value(slow.statistic(1, 0.0, top, near), side, df, high, low)
    close(result.p_value, p, 1e-2)


def test_no_fish_at_all_is_an_answer():
    """Nothing is made up: no ratio, no limits, no curve, and the note says why."""
    result = respond(a_log(3, trips=12).assign(fish=0), RECIPES, "pellet_pct")
    assert (result.rate_ratio, result.conf_low, result.conf_high) == (None, None, None)
    assert (result.curve, result.lack_of_fit, result.verdict) == ((), None, "too little to say")
    assert "no_fish" in {note.code for note in result.notes}
    json.dumps(result.to_dict(), allow_nan=False)


def codes(result):
    return {note.code: note for note in result.notes}


def test_columns_that_move_together_are_named_and_others_too():
    """Pellet and attractor changed at once cannot be told apart; a size that differs is named."""
    log = a_log(4, trips=12)
    recipes = RECIPES.assign(
        attractor_ml_per_egg=[3, 4, 5, 6], size_mm=[16, 14, 16, 16], cork_mm=12, base_mix="seed"
    )
    notes = codes(respond(log, recipes, "pellet_pct"))
    assert notes["moves_together"].numbers["other"] == "attractor_ml_per_egg"
    assert notes["moves_together"].severity == "serious"
    assert says(notes["moves_together"]).startswith("Pellet and attractor were always changed")
    assert notes["other_differences"].numbers["columns"] == ["size_mm"]
    # The other way round the same holds.
    notes = codes(respond(log, recipes, "attractor_ml_per_egg"))
    assert notes["moves_together"].numbers["other"] == "pellet_pct"


def test_moving_together_is_a_correlation_beyond_095_by_rod_hours():
    """A correlation of 0.866 is no more than a difference; words one to one with values are."""
    log = a_log(4, trips=12)
    hours = log.groupby("variant")["hours"].sum()
    for last, together in ((5, True), (3.2, False)):
        dose = {"plain": 3.0, "variant-2": 4.0, "pellet-20": last}
        frame = pd.DataFrame(
            {"hours": hours, "a": pd.Series(PELLET), "b": pd.Series(dose)}
        ).dropna()
        r = np.cov(frame["a"], frame["b"], aweights=frame["hours"])
        r = r[0, 1] / np.sqrt(r[0, 0] * r[1, 1])
        assert (r > 0.95) == together
        recipes = RECIPES.assign(attractor_ml_per_egg=RECIPES["variant"].map(dose))
        notes = codes(respond(log, recipes, "pellet_pct"))
        assert ("moves_together" in notes) == together
        if together:
            found = notes["moves_together"].numbers["correlation"]
            assert found == pytest.approx(r, abs=1e-9)
    words = RECIPES.assign(base_mix=["a", "b", "c", "d"])
    assert "moves_together" in codes(respond(log, words, "pellet_pct"))
    words = RECIPES.assign(base_mix=["a", "b", "b", "d"])
    assert "moves_together" not in codes(respond(log, words, "pellet_pct"))


def test_variants_without_the_number_are_left_out_and_counted():
    """A recipe that does not say, and a variant without a recipe: their stints do not count."""
    log = a_log(5, values=4, trips=20)
    recipes = RECIPES.assign(pellet_pct=[0, np.nan, 20, 30])[lambda rows: rows["pellet_pct"] != 30]
    result = respond(log, recipes, "pellet_pct")
    left = log[log["variant"].isin(["variant-2", "variant-3"])]
    numbers = codes(result)["recipe_missing"].numbers
    assert numbers == {
        "column": "pellet_pct",
        "variants": ["variant-2", "variant-3"],
        "stints": len(left),
        "rod_hours": left["hours"].sum(),
        "fish": left["fish"].sum(),
    }
    kept = log[~log["variant"].isin(["variant-2", "variant-3"])]
    alone = respond(kept, recipes, "pellet_pct")
    assert (alone.rate_ratio, alone.conf_low) == (result.rate_ratio, result.conf_low)


TWICE = pd.concat([RECIPES, RECIPES.head(1)])


@pytest.mark.parametrize(
    ("recipes", "column", "options", "says"),
    [
        (RECIPES, "pelet_pct", {}, "Did you mean 'pellet_pct'"),
        (RECIPES.assign(base_mix="seed"), "base_mix", {}, "rodhours compare"),
        (RECIPES, "variant", {}, "no recipe column"),
        (RECIPES.assign(pellet_pct=10.0), "pellet_pct", {}, "fewer than two values"),
        (RECIPES.assign(size_mm=np.nan), "size_mm", {}, "No recipe says"),
        (RECIPES.assign(pellet_pct=np.inf), "pellet_pct", {}, "words"),
        (TWICE, "pellet_pct", {}, "more than one recipe"),
        (RECIPES, "pellet_pct", {"per": 0}, "above 0"),
        (RECIPES, "pellet_pct", {"per": math.nan}, "above 0"),
        (RECIPES, "pellet_pct", {"per": 5000}, "far beyond"),
        (RECIPES, "pellet_pct", {"confidence": 95}, "between 0 and 1"),
        (RECIPES, "pellet_pct", {"adjust": ["nothing"]}, "nothing"),
    ],
)
def test_what_cannot_be_answered_is_said(recipes, column, options, says):
    """UsageError with what to do: unknown columns, words, one value, empty columns, a recipe named
    twice, and a step, a confidence or a column to adjust for that makes no sense."""
    with pytest.raises(UsageError, match=says):
        respond(a_log(4, trips=6), recipes, column, **options)


@pytest.mark.parametrize(
    ("column", "values", "per"),
    [
        ("pellet_pct", (0, 10, 20), 10),
        ("attractor_ml_per_egg", (2, 4, 6), 1),
        ("size_mm", (14, 16, 18), 1),
        ("albumen_g_per_kg", (20, 40, 60), 10),
        ("boil_s", (60, 90, 120), 10),
        ("pellet_pct", (0, 2, 5), 2),
        ("cork_mm", (10, 12, 14), 2),
        ("hardness", (0, 0.1, 0.2), 0.1),
        ("hardness", (100, 130, 190), 20),
    ],
)
def test_the_usual_step_or_a_round_one_of_the_range(column, values, per):
    """Usual steps as stated; else 1, 2 or 5 times a power of ten within half the range, said."""
    recipes = pd.DataFrame({"variant": list(PELLET)[:3], column: values})
    result = respond(a_log(4, trips=8), recipes, column)
    assert result.per == pytest.approx(per)
    usual = column not in ("cork_mm", "hardness") and values != (0, 2, 5)
    assert ("step_chosen" in codes(result)) != usual


def test_baits_never_side_by_side_have_no_same_trip_answer():
    """Whole trips of one bait: the headline is from all trips and says what that is worth."""
    log = seasons.one_a_trip(np.random.default_rng(2), 1.5, Season(trips=20))
    result = respond(log, RECIPES, "pellet_pct")
    assert result.basis == "all trips"
    note = codes(result)["not_same_trips"]
    assert (note.severity, note.numbers["reason"]) == ("serious", "unlinked")
    few = pd.concat([log, a_log(1, trips=3).assign(session=lambda r: "s" + r["session"])])
    note = codes(respond(few, RECIPES, "pellet_pct"))["not_same_trips"]
    assert note.numbers["reason"] == "few_sessions"


def test_the_largest_linked_set_with_two_values_is_taken():
    """Two sets of baits never met: the one with most rod-hours on shared trips answers."""
    large = seasons.both_on_every_trip(np.random.default_rng(1), 1.3, Season(trips=20, rods=2))
    small = seasons.both_on_every_trip(np.random.default_rng(2), 1.3, Season(trips=8, rods=2))
    small = small.assign(
        session="s" + small["session"],
        variant=small["variant"].map({"plain": "variant-2", "pellet-20": "variant-3"}),
    )
    result = respond(pd.concat([large, small]), RECIPES, "pellet_pct")
    alone = respond(large, RECIPES, "pellet_pct")
    assert (result.basis, result.sessions) == ("same trips", 20)
    close((result.rate_ratio, result.conf_low), (alone.rate_ratio, alone.conf_low), 1e-9)
    assert codes(result)["variants_not_linked"].numbers["variants"] == ["variant-2", "variant-3"]


@pytest.mark.parametrize(
    ("low", "high", "fish", "bends", "said"),
    [
        (0.01, 0.5, 40, False, "rises"),
        (-0.5, -0.01, 40, True, "falls"),
        (0.01, None, 40, False, "rises"),
        (0.01, 0.5, 4, False, "too little to say"),
        (None, 0.5, 40, False, "too little to say"),
        (-1.4, 1.4, 40, False, "too little to say"),
        (-1.38, 1.38, 40, False, "unsettled"),
        (-0.3, 0.3, 40, True, "bends"),
        (-0.22, 0.22, 40, False, "level"),
        (-0.22, 0.23, 40, False, "unsettled"),
    ],
)
def test_the_verdict_follows_its_rules(low, high, fish, bends, said):
    """Log limits over the whole range: log 16 is 2.77 wide, log 1.25 is 0.223."""
    assert verdict(Slope(0.0, low, high), fish, bends=bends) == said


def same_trip_slope(log, alpha=0.05):
    """The same-trip line alone, as `respond` fits it, on a log whose baits are all linked."""
    stints = prepare(shared_trips(log))
    value = np.array([PELLET[name] for name in stints.variants])
    line = Line(Basis.of(stints, 0, same_trips=True), value[stints.variant], True)
    slope = line.slope(alpha)
    return line, slope


def test_a_true_slope_is_held_about_95_times_in_100():
    """1.3 per 10 points, 6 seasons: within three Monte-Carlo errors of 95 %."""
    held, found = 0, []
    for seed in range(6):
        line, slope = same_trip_slope(a_log(seed, trips=20))
        truth = math.log(1.3) * line.span / 10
        low, high = slope.low, slope.high
        held += (low is None or low <= truth) and (high is None or truth <= high)
        found.append(slope.log_ratio * 10 / line.span)
    assert held / 6 >= 0.95 - 3 * math.sqrt(0.95 * 0.05 / 6)
    # Four standard errors of a median.
    error = 1.25 * np.std(found) / math.sqrt(len(found))
    assert abs(np.median(found) - math.log(1.3)) < 4 * error


def by_mood(seed, per_ten=1.0):
    """The bait with most pellet, 20 points, goes in when the trip looks good, by a strong mood."""
    rng = np.random.default_rng(seed)
    return seasons.several_by_mood(rng, per_ten**2, (per_ten,), mood=1.1)


def test_by_mood_all_trips_flatter_the_pellet_and_the_same_trips_do_not():
    """No effect of pellet, fished by mood: 5 seasons; the note tells of it more often than not."""
    results = [respond(by_mood(seed), RECIPES, "pellet_pct") for seed in range(5)]
    same = [math.log(one.rate_ratio) for one in results]
    everything = [math.log(one.all_trips.rate_ratio) for one in results]
    error = 1.25 * np.std(same) / math.sqrt(5)
    assert abs(np.median(same)) < 4 * error
    assert math.exp(np.median(everything)) > 1.3
    held = sum(one.conf_low <= 1 <= one.conf_high for one in results) / 5
    assert held >= 0.95 - 3 * math.sqrt(0.95 * 0.05 / 5)
    assert sum(one.all_trips.conf_low > 1 for one in results) > 2
    assert sum("favourite_conditions" in codes(one) for one in results) > 2


def one_season(task):
    kind, seed = task
    truth = 1.0 if kind == "mood" else 1.3
    of_kind = {
        "clumps": {"session_sd": 0.7, "stint_clumping": 1.0},
        "short": {"trips": 12},
        "four values": {"values": 4},
    }
    log = by_mood(seed) if kind == "mood" else a_log(seed, **of_kind[kind])
    result = respond(log, RECIPES, "pellet_pct")
    low, high, lack = result.conf_low, result.conf_high, result.lack_of_fit
    return (
        (low is None or low <= truth) and (high is None or truth <= high),
        lack is not None and lack.p_value < 0.05,
        result.bent is not None,
    )


@pytest.mark.full
@pytest.mark.parametrize("kind", ["four values", "clumps", "short", "mood"])
def test_coverage_and_false_alarms_at_full_size(kind):
    """1,000 seasons of a straight truth: the interval holds; fit and bend cry wolf seldom.

    Nominal is 95 % and 5 %. The chi-square of the lack of fit is an approximation, so it is
    allowed 3 points more.
    """
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        rows = list(pool.map(one_season, [(kind, seed) for seed in range(1000)], chunksize=25))
    held, lack, bend = np.mean(rows, axis=0)
    print(f"\n{kind}: held {held:.3f}, lack of fit {lack:.3f}, bend {bend:.3f}")
    error = math.sqrt(0.95 * 0.05 / 1000)
    assert held >= 0.95 - 3 * error
    assert bend <= 0.05 + 3 * error
    assert lack <= 0.08
