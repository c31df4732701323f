"""Planned seasons are judged as every comparison is, and the trips found have the power asked for.

Scope: the simulation and the search. "Within Monte-Carlo error" is three standard errors, those of
the search and of the seasons with other seeds together.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from rodhours.evidence.compare import compare
from rodhours.evidence.verdicts import AHEAD, BEHIND
from rodhours.simulate.formulas import APART, TOGETHER, Assumptions
from rodhours.simulate.hours import plan_hours
from rodhours.simulate.planned import Condition, Judge, planned_season
from rodhours.simulate.run import Meter, judged
from rodhours.simulate.search import Search, power_line
from rodhours.words.planning_hours import how_found, how_shared

USUAL = Assumptions(rate=0.03, session_sd=1.0, clumping=0.0, rod_hours=72.0)


def as_frame(stints) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "session": stints.session.astype(str),
            "variant": [("plain", "mix", "third", "fourth")[one] for one in stints.variant],
            "hours": stints.hours,
            "fish": stints.fish.astype(int),
        }
    )


def counted(judge, conditions, seasons):
    """How many of so many seasons of each condition settle it."""
    asked = dict.fromkeys(conditions, seasons)
    settled = judged(judge.is_settled, asked, judge.seasons_a_piece, 1, Meter(None))
    return {condition: sum(outcomes) for condition, outcomes in settled.items()}


@pytest.mark.parametrize(
    ("condition", "clumping", "variants"),
    [
        (Condition(TOGETHER, 14, 2.5), 0.0, 2),
        (Condition(TOGETHER, 12, 0.3), 0.5, 3),
        (Condition(APART, 24, 2.5), 0.0, 2),
        (Condition(TOGETHER, 6, 4.0), 0.0, 2),
    ],
)
def test_judged_as_every_comparison_is(condition, clumping, variants):
    """A season is settled where the verdict of `compare` on its stints is ahead (behind, for a
    bait that is worse), by the answer that is the headline there."""
    given = Assumptions(0.03, 0.8, clumping, 60.0, variants)
    judge = Judge(given, 0.05, seed=4)
    wanted = AHEAD if condition.ratio > 1 else BEHIND
    seen = set()
    for number in range(7):
        frame = as_frame(planned_season(condition, given, 4, number))
        (answer,) = compare(frame, "plain", "mix", checks=False).comparisons
        assert answer.basis == ("same trips" if condition.design == TOGETHER else "all trips")
        settled = judge.is_settled(condition, number)
        assert settled == (answer.verdict == wanted)
        seen.add(settled)
    assert seen == {True, False}


@pytest.mark.parametrize("design", [TOGETHER, APART])
def test_a_planned_season(design):
    """Hours are shared equally, fish come at the rate, the variant's at the ratio, and trips and
    cells vary as much as they are said to (moments of a log-normal and a gamma law)."""
    given = Assumptions(0.05, 0.6, 0.5, 48.0, variants=3)
    condition = Condition(design, 30, 2.0)
    seasons = [planned_season(condition, given, 9, one) for one in range(300)]
    one = seasons[0]
    hours = np.bincount(one.variant, one.hours)
    assert hours == pytest.approx(np.full(3, 30 * 48.0 / 3))
    assert np.bincount(one.session, one.hours) == pytest.approx(np.full(30, 48.0))
    fish = np.array([season.fish for season in seasons])
    expected = 0.05 * one.hours * np.where(one.variant == 1, 2.0, 1.0)
    # Variance of a count with mean m: m + m² (e^(s²) (1 + a) − 1).
    variance = expected + expected**2 * (math.exp(0.36) * 1.5 - 1.0)
    for variant in range(3):
        rows = one.variant == variant
        sample, mean = fish[:, rows], expected[rows][0]
        error = math.sqrt(variance[rows][0] / sample.size)
        assert sample.mean() == pytest.approx(mean, abs=4 * error)
        assert sample.var() == pytest.approx(variance[rows][0], rel=0.25)


def test_a_season_with_more_variants_than_rods():
    """The reference on every trip, each other one and each two others on equally many of 12; the
    headings and the words say so, and with a rod for each all are on every trip."""
    given = Assumptions(0.05, 0.6, 0.5, 48.0, 5, 3)
    one = planned_season(Condition(TOGETHER, 12, 2.0), given, 9, 1)
    on = np.zeros((12, 5))
    on[one.session, one.variant] = 1.0
    shared = on.T @ on
    assert shared[0].tolist() == [12, 6, 6, 6, 6]
    assert {shared[i, j] for i, j in combinations(range(1, 5), 2)} == {2.0}
    assert set(one.hours) == {16.0}
    plan = plan_hours(ratio=2.0, rods=3, trip_hours=24, family=4, quick=True)
    assert (plan.together.design, plan.on_a_trip) == ("3 of 5 variants on every trip", 3)
    assert "others take turns" in how_shared(plan)
    assert "The 4 comparisons are held to 95 % together" in how_shared(plan)
    two = plan_hours(ratio=2.0, rods=3, trip_hours=24, family=2, quick=True)
    assert "The 2 comparisons are held to 95 % together" in how_shared(two)
    assert "comparison" not in how_shared(replace(two, family=1))
    assert plan_hours(ratio=2.0, rods=5, family=4, quick=True).together.design == TOGETHER


def test_ctrl_c_leaves_what_is_known_so_far(monkeypatch):
    """As if the seasons done had been all that were asked for; too few are none."""
    monkeypatch.setattr(Judge, "is_settled", lambda _, condition, number: number % 5 > 0)
    monkeypatch.setattr(Judge, "seasons_a_piece", lambda *_: 1)

    def stop_after(part):
        def watch(done: int, to_do: int) -> None:
            if done >= part * to_do:
                raise KeyboardInterrupt

        return watch

    def asked(seasons, progress=None):
        return plan_hours(ratio=3.0, trips=40, seasons=seasons, progress=progress)

    early = asked(300, stop_after(0.2))
    assert not early.complete
    assert 55 <= early.seasons <= 60
    assert "Stopped early" in how_found(early)
    whole = asked(early.seasons)
    assert whole.complete
    assert early.together.season_power == whole.together.season_power
    with pytest.raises(KeyboardInterrupt):
        asked(300, stop_after(0.02))


def test_a_season_depends_on_its_number_alone():
    """The same season whichever was made before, and a different one for another seed."""
    condition = Condition(TOGETHER, 20, 2.0)
    again, other = (planned_season(condition, USUAL, seed, 7) for seed in (3, 4))
    first = planned_season(condition, USUAL, 3, 7)
    assert (first.fish == again.fish).all()
    assert (first.fish != other.fish).any()


def test_the_line_is_a_probit_regression():
    """Without the formula's slope to go by, the line is the maximum-likelihood probit line of
    statsmodels' GLM, to what weighting by observed shares changes in large samples; the errors
    too."""
    x = np.array([5.0, 6.0, 7.5])
    settled, seasons = np.array([5200, 6900, 8700]), np.array([10_000] * 3)
    line = power_line(x, settled, seasons, slope=1.0, doubt=1e6)
    outcome = np.column_stack((settled, seasons - settled))
    family = sm.families.Binomial(link=sm.families.links.Probit())
    fitted = sm.GLM(outcome, sm.add_constant(x - line.centre), family=family).fit()
    assert line.level == pytest.approx(fitted.params[0], abs=2e-3)
    assert line.slope == pytest.approx(fitted.params[1], abs=2e-3)
    assert line.level_error == pytest.approx(fitted.bse[0], rel=0.02)
    assert line.slope_error == pytest.approx(fitted.bse[1], rel=0.02)
    assert line.power(line.reaches(0.8)) == pytest.approx(0.8)


def test_the_line_rises():
    """Shares that fall by chance do not turn the curve round: more trips never mean less power."""
    line = power_line([5.0, 5.1, 5.2], [85, 80, 78], [100] * 3, slope=0.4)
    places = np.linspace(3.0, 9.0, 20)
    assert all(a < b for a, b in pairwise(line.power(one) for one in places))


def test_a_search_that_began_too_low_looks_higher():
    """Where all places looked at fall short of the power, places around the answer follow; where
    the answer lies between them, none."""
    search = Search(TOGETHER, USUAL, 0.8, 0.05, ratio=3.0)
    first = search.first()
    short = dict.fromkeys(first, 30)
    found = search.found(short, first, 100)
    more = search.next(found, first)
    assert max(one.trips for one in more) > max(one.trips for one in first)
    between = dict(zip(first, (60, 80, 95), strict=True))
    assert search.next(search.found(between, first, 100), first) == []


def test_no_ratio_below_1_where_few_fish_are_due():
    """Few trips cannot show even a bait that catches nothing: the search ends without an answer
    beyond one hundredth."""
    given = Assumptions(0.01, 1.0, 0.0, 24.0)
    search = Search(TOGETHER, given, 0.8, 0.05, trips=5, below=True)
    looked = search.first()
    found = search.found(dict.fromkeys(looked, 0), looked, 100)
    assert found.x > math.log(100.0)


def check_power(design, ratio, given, seasons, other_seasons, power=0.8):
    """The trips of a search, and the power of seasons with another seed at that many trips."""
    alpha = 0.05 / (given.variants - 1)
    search = Search(design, given, power, alpha, ratio=ratio)
    judge, fresh = (Judge(given, alpha, seed) for seed in (11, 12))
    looked = search.first()
    counts = counted(judge, looked, seasons)
    for _ in range(2):
        found = search.found(counts, looked, seasons)
        more = search.next(found, looked)
        if not more:
            break
        counts |= counted(judge, more, seasons)
        looked += more
    found = search.found(counts, looked, seasons)
    trips = max(given.fewest_trips, math.ceil(found.x**2))
    reached = counted(fresh, [Condition(design, trips, ratio)], other_seasons)
    (share,) = (count / other_seasons for count in reached.values())
    said = found.line.power(math.sqrt(trips))
    # The fewest trips: with one trip fewer the power asked for is not reached.
    assert trips == given.fewest_trips or found.line.power(math.sqrt(trips - 1)) < power
    assert said >= power - 1e-9
    error = math.hypot(
        found.line.power_error(math.sqrt(trips)), math.sqrt(power * (1 - power) / other_seasons)
    )
    return trips, said, share, error


def test_the_trips_found_have_the_power_asked_for():
    """With other seeds, seasons of the trips found settle 80 in 100, within Monte-Carlo error."""
    trips, said, share, error = check_power(TOGETHER, 4.0, USUAL, 30, 60)
    assert USUAL.fewest_trips <= trips < 20
    assert share == pytest.approx(said, abs=3 * error)


DESIGNS_AT_FULL_SIZE = [
    # design, ratio, s, a, variants
    (TOGETHER, 1.5, 1.0, 0.0, 2),
    (TOGETHER, 2.0, 1.0, 0.0, 2),
    (TOGETHER, 3.0, 0.7, 0.0, 2),
    (TOGETHER, 2.0, 0.7, 1.0, 2),
    (TOGETHER, 2.5, 1.5, 0.0, 2),
    (TOGETHER, 0.5, 1.0, 0.0, 2),
    (TOGETHER, 1.5, 0.0, 0.0, 2),
    (TOGETHER, 2.0, 1.0, 0.0, 4),
    (APART, 2.0, 1.0, 0.0, 2),
    (APART, 3.0, 1.0, 0.0, 2),
    (APART, 2.0, 0.5, 0.5, 2),
    (APART, 3.0, 1.5, 0.0, 2),
    (APART, 0.4, 0.7, 0.0, 2),
    (APART, 3.0, 0.7, 0.0, 3),
]


@pytest.mark.full
@pytest.mark.parametrize(("design", "ratio", "s", "a", "variants"), DESIGNS_AT_FULL_SIZE)
def test_the_trips_found_have_the_power_asked_for_in_many_designs(design, ratio, s, a, variants):
    """The same in fourteen designs, 400 seasons a place and 1,000 with other seeds."""
    given = Assumptions(0.03, s, a, 72.0, variants)
    trips, said, share, error = check_power(design, ratio, given, 400, 1_000)
    print(
        f"{design}, ratio {ratio:g}, s {s:g}, a {a:g}, {variants} variants: {trips} trips, "
        f"said {said:.3f}, with other seeds {share:.3f}, error {error:.3f}"
    )
    assert share == pytest.approx(said, abs=3 * error)
    if trips >= 25:
        # With few trips, one more is several points of power more.
        assert said == pytest.approx(0.8, abs=0.02)
        assert share == pytest.approx(0.8, abs=3 * error)
