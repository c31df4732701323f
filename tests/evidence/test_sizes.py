"""Sizes of fish: descriptive figures, the mixed model against published and general software."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from reference import open_data
from reference.published import ERGO_STOOL
from rodhours.errors import UsageError
from rodhours.evidence.sizes import FEWEST_FISH, sizes


def a_log(
    rng: np.random.Generator,
    ratio: float = 1.0,
    sessions: int = 20,
    session_sd: float = 0.2,
    fish_sd: float = 0.3,
    fish: int = 60,
) -> pd.DataFrame:
    """Weighed fish on two baits: log-normal weights, alike within a session."""
    session = rng.integers(0, sessions, fish)
    bait = rng.integers(0, 2, fish)
    centre = math.log(8.0) + session_sd * rng.standard_normal(sessions)[session]
    log_weight = centre + bait * math.log(ratio) + fish_sd * rng.standard_normal(fish)
    return pd.DataFrame(
        {
            "session": session.astype(str),
            "variant": np.array(["plain", "pellet-20"])[bait],
            "weight": np.exp(log_weight),
        }
    )


def logs_of_limits(one):
    return math.log(one.conf_low), math.log(one.conf_high)


def test_published_random_intercept():
    """A balanced block design gives the published ratios, errors and spreads.

    Effort stands for ten times the log weight, the subject for the session.
    """
    rows = open_data.ergo_stool()
    catches = pd.DataFrame(
        {
            "session": rows["subject"],
            "variant": rows["type"],
            "weight": np.exp(rows["effort"] / 10),
        }
    )
    result = sizes(catches, "T1")
    assert [one.variant for one in result.comparisons] == ["T2", "T3", "T4"]
    # 9 sessions less 4 variants, three comparisons together.
    quantile = stats.t.ppf(1 - 0.05 / 3 / 2, 9 - 4)
    for one in result.comparisons:
        assert ERGO_STOOL.agrees(one.variant, 10 * math.log(one.weight_ratio))
        half = 10 * math.log(one.conf_high / one.conf_low) / 2
        assert ERGO_STOOL.agrees("standard error", half / quantile)
        assert math.log(one.conf_low * one.conf_high) == pytest.approx(
            2 * math.log(one.weight_ratio)
        )
    # The optimiser ends within a few units of the sixth decimal.
    assert ERGO_STOOL.agrees("subject sd", 10 * result.model.session_sd, units=20)
    assert ERGO_STOOL.agrees("residual sd", 10 * result.model.fish_sd, units=20)


def test_closed_form_of_a_balanced_design():
    """In complete blocks the ratio is that of geometric means and its error sqrt(2 MSE / n).

    MSE: the residual mean square of the two-way analysis of variance (any textbook).
    """
    rng = np.random.default_rng(8)
    grid = rng.normal(2.0, 0.2, (12, 1)) + rng.normal(0.0, 0.15, (12, 2)) + [0.0, 0.1]
    catches = pd.DataFrame(
        {
            "session": np.repeat(np.arange(12), 2).astype(str),
            "variant": ["a", "b"] * 12,
            "weight": np.exp(grid).ravel(),
        }
    )
    result = sizes(catches, "a", confidence=0.9)
    (one,) = result.comparisons
    rest = grid - grid.mean(axis=1, keepdims=True) - grid.mean(axis=0) + grid.mean()
    mse = (rest**2).sum() / 11
    gap = grid[:, 1].mean() - grid[:, 0].mean()
    half = stats.t.ppf(0.95, 12 - 2) * math.sqrt(2 * mse / 12)
    assert math.log(one.weight_ratio) == pytest.approx(gap, abs=1e-9)
    assert logs_of_limits(one) == pytest.approx((gap - half, gap + half), abs=1e-6)
    # Between-session variance: (MS of blocks - MSE) / 2.
    between = 2 * grid.mean(axis=1).var(ddof=1)
    assert result.model.session_sd == pytest.approx(math.sqrt((between - mse) / 2), abs=1e-5)
    assert result.model.fish_sd == pytest.approx(math.sqrt(mse), abs=1e-5)


@pytest.mark.parametrize(("seed", "session_sd"), [(0, 0.4), (1, 0.4), (1, 0.12), (2, 0.12)])
def test_against_formula_calls(seed, session_sd):
    """Unbalanced logs: the ratio of one formula call, the errors of generalised least squares.

    `mixedlm("np.log(weight) ~ variant", groups=session).fit()` gives ratio and variances; then
    `gls("np.log(weight) ~ variant", sigma=V).fit()` with V of these variances gives the error.
    """
    from statsmodels.formula.api import gls, mixedlm

    catches = a_log(np.random.default_rng(seed), 1.2, session_sd=session_sd)
    result = sizes(catches, "plain")
    (one,) = result.comparisons
    formula = "np.log(weight) ~ C(variant, Treatment('plain'))"
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        call = mixedlm(formula, catches, groups=catches["session"]).fit(reml=True, method="powell")
    name = call.params.index[1]
    spread = float(call.cov_re.iloc[0, 0])
    alike = np.equal.outer(catches["session"].to_numpy(), catches["session"].to_numpy())
    error = gls(formula, catches, sigma=np.eye(60) + spread / call.scale * alike).fit().bse[name]
    half = stats.t.ppf(0.975, catches["session"].nunique() - 2) * error
    assert result.model.session_sd == pytest.approx(math.sqrt(spread), abs=1e-4)
    gap = call.params[name]
    assert math.log(one.weight_ratio) == pytest.approx(gap, abs=1e-5)
    assert logs_of_limits(one) == pytest.approx((gap - half, gap + half), abs=1e-4)


def test_without_spread_of_sessions_it_is_least_squares():
    """Sessions more alike than chance: the boundary is ordinary least squares, Student's t."""
    rng = np.random.default_rng(3)
    noise = rng.normal(0, 0.3, (10, 4))
    log_weight = 2.0 + noise - noise.mean(axis=1, keepdims=True)
    baits = np.tile(["a", "b", "b", "b"], 10)
    catches = pd.DataFrame(
        {
            "session": np.repeat(np.arange(10), 4).astype(str),
            "variant": baits,
            "weight": np.exp(log_weight).ravel(),
        }
    )
    result = sizes(catches, "a")
    (one,) = result.comparisons
    a, b = log_weight.ravel()[baits == "a"], log_weight.ravel()[baits == "b"]
    pooled = stats.ttest_ind(b, a)
    error = (b.mean() - a.mean()) / pooled.statistic
    assert result.model.session_sd == 0
    assert math.log(one.weight_ratio) == pytest.approx(b.mean() - a.mean())
    assert math.log(one.conf_high / one.weight_ratio) == pytest.approx(
        stats.t.ppf(0.975, 8) * error
    )


def test_rows_count_and_order_weights():
    """Weighed, unweighed, sessions, median, quartiles (linear, Hyndman & Fan type 7), biggest."""
    catches = pd.DataFrame(
        {
            "session": ["1", "1", "2", "2", "3", "3", "3"],
            "variant": ["a", "a", "a", "a", "a", "b", "b"],
            "weight": [4.0, 1.0, 2.0, 3.0, None, 9.0, 20.0],
            "outcome": ["landed", None, "landed", "landed", "landed", "landed", "lost"],
        }
    )
    first, second = sizes(catches).rows
    assert (first.variant, first.weighed, first.unweighed, first.sessions) == ("a", 4, 1, 2)
    assert (first.lower_quartile_kg, first.median_kg, first.upper_quartile_kg) == (1.75, 2.5, 3.25)
    assert first.biggest_kg == 4.0
    # The lost fish of 20 kg is none that was landed.
    assert (second.weighed, second.biggest_kg) == (1, 9.0)


def test_same_labels_of_two_anglers_are_two_sessions():
    """A session is known by angler and session together, a missing angler being one of its own."""
    rng = np.random.default_rng(5)
    catches = a_log(rng, session_sd=0.4)
    split = catches["session"].str.split("").str[-2].astype(int) % 2 == 0
    two = catches.assign(
        angler=np.where(split, "Ida", None), session=(catches["session"].astype(int) // 2)
    )
    joined = catches.assign(session=two["session"].astype(str) + two["angler"].fillna("-"))
    assert sizes(two, "plain").to_dict() == sizes(joined, "plain").to_dict()
    without = sizes(two.drop(columns="angler"), "plain")
    assert sizes(two, "plain").model.sessions > without.model.sessions


@pytest.mark.parametrize(
    ("counts", "sessions", "reason"),
    [
        ((FEWEST_FISH - 1, 30), 20, "few_fish"),
        ((30, FEWEST_FISH - 1), 20, "few_fish"),
        ((30, 30), 4, "few_sessions"),
        ((FEWEST_FISH, 30), 20, None),
        ((30, 30), 5, None),
    ],
)
def test_too_little_gives_a_reason_and_no_number(counts, sessions, reason):
    """Under 5 weighed fish on either, or under 3 degrees of freedom: no ratio."""
    rng = np.random.default_rng(1)
    total = sum(counts)
    catches = pd.DataFrame(
        {
            "session": (np.arange(total) % sessions).astype(str),
            "variant": ["plain"] * counts[0] + ["pellet-20"] * counts[1],
            "weight": rng.lognormal(2, 0.3, total),
        }
    )
    result = sizes(catches, "plain")
    (one,) = result.comparisons
    assert one.reason == reason
    assert (one.weight_ratio is None) == (one.conf_low is None) == (reason is not None)
    assert (result.model is None) == (reason is not None)


def test_fish_all_of_one_weight_give_no_fit():
    """Without any spread there is nothing to fit, and that is the reason given."""
    catches = a_log(np.random.default_rng(1)).assign(weight=8.0)
    (one,) = sizes(catches, "plain").comparisons
    assert (one.weight_ratio, one.reason) == (None, "no_fit")


def test_what_limits_it_is_noted():
    """Unweighed fish by variant, several species, and a reference nobody gave."""
    catches = a_log(np.random.default_rng(2)).assign(species="carp")
    catches.loc[:1, "species"] = "tench"
    catches.loc[5:7, "weight"] = None
    notes = {note.code: note.numbers for note in sizes(catches).notes}
    assert set(notes) == {"fish_not_weighed", "several_species", "size_reference_chosen"}
    lacking = catches[catches["weight"].isna()]["variant"].value_counts().to_dict()
    assert notes["fish_not_weighed"]["by_variant"] == lacking
    assert (notes["fish_not_weighed"]["unweighed"], notes["fish_not_weighed"]["of"]) == (3, 60)
    assert notes["several_species"]["species"] == {"carp": 55, "tench": 2}
    most = catches[catches["weight"].notna()]["variant"].value_counts().idxmax()
    assert notes["size_reference_chosen"]["reference"] == most
    assert not sizes(a_log(np.random.default_rng(2)), "plain").notes


def test_what_cannot_be_answered_is_said():
    """No weight, an unknown reference, a missing column, a text for a weight, a weight of 0."""
    catches = a_log(np.random.default_rng(2))
    for wrong, options, says in [
        (catches.assign(weight=None), {}, "22lb 4oz"),
        (catches.drop(columns="variant"), {}, "no column 'variant'"),
        (catches.assign(weight="22lb"), {}, "numbers only"),
        (catches.assign(weight=0.0), {}, "above 0"),
        (catches, {"reference": "plian"}, "Did you mean 'plain'"),
        (catches, {"confidence": 95}, "Confidence"),
    ]:
        with pytest.raises(UsageError, match=says):
            sizes(wrong, **options)


def held(seasons: int, **law: float) -> float:
    """The share of invented logs whose 95 % interval holds the true ratio."""
    inside = 0
    for seed in range(seasons):
        rng = np.random.default_rng([11, seed])
        (one,) = sizes(a_log(rng, 1.25, **law), "plain").comparisons
        inside += one.conf_low <= 1.25 <= one.conf_high
    return inside / seasons


def test_the_interval_holds_the_truth():
    """95 % of invented logs, within three Monte-Carlo errors."""
    seasons = 12
    assert held(seasons) >= 0.95 - 3 * math.sqrt(0.95 * 0.05 / seasons)


@pytest.mark.full
@pytest.mark.parametrize(
    "law",
    [
        {},
        {"session_sd": 0.0},
        {"session_sd": 0.5},
        {"sessions": 8, "fish": 30},
        {"sessions": 40, "fish": 60, "session_sd": 0.4},
    ],
)
def test_the_interval_holds_the_truth_at_full_size(law):
    """95 % of 1,000 logs of each kind, within three Monte-Carlo errors."""
    assert held(1000, **law) >= 0.95 - 3 * math.sqrt(0.95 * 0.05 / 1000)
