"""A rehearsal keeps the log's schedule, holds the truth as often as it says, and counts right.

The example season's log is the schedule. Shares to reach: 95 % is what the interval is made for;
those of counting fish by fish were measured with a program written apart from this one (the
favourite fished by mood: 3 to 36 %). "Within Monte-Carlo error" is three standard errors.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import rodhours
from rodhours.errors import UsageError
from rodhours.simulate.rehearse import (
    SETTLED_RATIOS,
    count_outcomes,
    outcome_of,
    plan_of,
    rehearse,
    schedule_of,
)
from rodhours.simulate.season import ARMS, MOOD, OWN

EXAMPLE = Path(__file__).parents[2] / "example_data" / "stints.csv"
NAN = float("nan")


@pytest.fixture(scope="module")
def example() -> pd.DataFrame:
    return pd.read_csv(EXAMPLE)


@pytest.fixture(scope="module")
def small() -> pd.DataFrame:
    """Ten trips, two rods, two baits; quick to analyse."""
    rng = np.random.default_rng(3)
    trip, rod = np.divmod(np.arange(20), 2)
    return pd.DataFrame(
        {
            "session": [f"trip {one}" for one in trip],
            "rod": (rod + 1).astype(str),
            "variant": np.where((trip + rod) % 2, "mix", "plain"),
            "hours": np.where(rod, 20.0, 24.5),
            "fish": rng.poisson(3.0, 20),
        }
    )


def arm_results(log, arm, seasons, seed=1, ratio=1.5):
    """An arm of the example season, on one core: starting processes takes longer."""
    plan = plan_of(log, "plain", "pellet-20", seed)
    outcomes = [outcome_of(plan, (arm, ratio), number) for number in range(seasons)]
    return count_outcomes(arm, ratio, seasons, outcomes)


def error(share: float, seasons: int) -> float:
    return float(np.sqrt(share * (1 - share) / seasons))


def test_the_interval_holds_the_truth_on_the_example_season(example):
    """Within Monte-Carlo error of 95 %, with an interval that says something."""
    own = arm_results(example, OWN, 12)
    assert own.seasons == 12
    assert own.coverage == pytest.approx(0.95, abs=3 * error(0.95, 12))
    assert own.poisson_coverage < own.coverage
    assert own.median_width is not None
    assert 1 < own.median_width < 16


def test_the_favourite_by_mood(example):
    """Same-trip answers hold the truth where counting fish by fish holds it in 3 to 36 %."""
    mood = arm_results(example, MOOD, 6)
    assert mood.coverage >= 0.95 - 3 * error(0.95, 6)
    assert mood.poisson_coverage <= 0.36 + 3 * error(0.36, 6)


@pytest.mark.full
def test_all_arms_at_full_size(example):
    """1,000 seasons of the model's own kind, 500 of each arm.

    No arm falls below 95 % by more than Monte-Carlo error, and a better bait is settled the
    more often the better it is.
    """
    result = rehearse(example, "plain", "pellet-20", seasons=1000, seed=2, jobs=2)
    assert result.complete
    assert result.own.coverage == pytest.approx(0.95, abs=3 * error(0.95, 1000))
    for one in result.arms:
        assert one.seasons == 500
        assert one.coverage >= 0.95 - 3 * error(0.95, 500), one
    shares = [result.settled[ratio] for ratio in SETTLED_RATIOS]
    assert shares == sorted(shares)


@pytest.mark.parametrize("arm", [OWN, *ARMS])
def test_the_schedule_is_kept(example, arm):
    """Rows, sessions, rods, hours and variants are the log's; by mood only the variants move."""
    log = example.sample(frac=1, random_state=1)
    plan = plan_of(log, "plain", "pellet-20", 1)
    made = plan.season_frame(arm, 1.5, 4)
    columns = ["session", "rod", "hours"] + (["variant"] if arm != MOOD else [])
    pd.testing.assert_frame_equal(
        made[columns], log[columns].reset_index(drop=True), check_dtype=False
    )
    assert sorted(made["variant"]) == sorted(log["variant"])
    assert (made["fish"] >= 0).all()
    assert not (made["fish"].to_numpy() == log["fish"].to_numpy()).all()


def test_sessions_are_by_angler_and_stints_by_rod():
    """Two anglers' trips of one name are two; rows of one rod and bait are one stint."""
    log = pd.DataFrame(
        {
            "session": ["a", "a", "a", "a", "a"],
            "angler": ["Ann", "Ann", "Ben", "Ben", "Ben"],
            "rod": ["1", "1", "1", None, None],
            "variant": ["x", "x", "x", "y", "y"],
            "hours": [5.0, 6.0, 7.0, 8.0, 9.0],
        }
    )
    schedule = schedule_of(log, ("x", "y"))
    assert schedule.session.tolist() == [0, 0, 1, 1, 1]
    assert schedule.stint[0] == schedule.stint[1]
    assert len(set(schedule.stint)) == 4
    assert not schedule.cells_are_stints
    assert schedule_of(log[:3], ("x", "y")).cells_are_stints


def test_the_truth_is_that_of_the_comparison(example):
    """s, a and the reference's rate are the all-trips fit's; other variants catch as it does."""
    plan = plan_of(example, "plain", "pellet-20", 1)
    (fit,) = [
        one
        for one in rodhours.compare(example, "plain", "pellet-20").models
        if one.basis == "all trips"
    ]
    assert plan.truth.session_sd == pytest.approx(fit.session_sd, rel=1e-6)
    assert plan.truth.clumping == pytest.approx(fit.clumping, abs=1e-9)
    of_plain = example[example["variant"] == "plain"]
    # The plain ratio of totals is another estimate of the same rate.
    assert plan.truth.rate == pytest.approx(
        of_plain["fish"].sum() / of_plain["hours"].sum(), rel=0.5
    )
    assert (plan.truth.ratios == 1).all()


def test_counts_by_hand():
    """A missing limit holds the truth on its side and is counted apart; 0 is no lower limit."""
    outcomes = np.array(
        [
            # low, high, and those of fish by fish; ahead; same trips
            [1.2, 2.4, 1.6, 2.0, 1, 1],  # holds 1.5; fish by fish too high; width 2
            [1.6, 4.8, 1.4, 1.6, 1, 1],  # above 1.5; width 3
            [0.3, 1.2, 0.3, 1.4, 0, 1],  # below 1.5; width 4
            [0.0, 9.0, 0.0, 1.0, 0, 0],  # no lower limit
            [NAN, NAN, NAN, NAN, 0, 0],  # no answer at all
            [1.6, NAN, 1.6, NAN, 1, 1],  # no upper limit, and the lower one above the truth
        ]
    )
    found = count_outcomes(OWN, 1.5, 6, outcomes)
    assert (found.held, found.poisson_held) == (3, 2)
    assert (found.ahead, found.no_limit, found.same_trips) == (3, 3, 4)
    assert found.median_width is None
    assert found.coverage == 0.5
    assert count_outcomes(OWN, 1.5, 3, outcomes[:3]).median_width == 3.0
    none = count_outcomes(OWN, 1.5, 6, np.empty((0, 6)))
    assert (none.coverage, none.median_width) == (None, None)


def test_an_outcome_is_what_compare_says(small):
    """The limits counted are those of `compare` on the season, headline and fish by fish."""
    plan = plan_of(small, "plain", "mix", 5)
    row = outcome_of(plan, (OWN, 2.0), 7)
    said = rodhours.compare(plan.season_frame(OWN, 2.0, 7), "plain", "mix").comparisons[0]
    limits = [said.conf_low, said.conf_high, said.poisson.conf_low, said.poisson.conf_high]
    expected = [NAN if one is None else one for one in limits]
    np.testing.assert_array_equal(row[:4], expected)
    assert row[4] == (said.verdict == "ahead")


def test_same_bytes_on_one_core_and_on_two(small):
    """The same seed gives the same answer, however many processes share the work."""

    def machine(jobs: int) -> str:
        result = rehearse(small, "plain", "mix", seasons=1, seed=9, jobs=jobs)
        return json.dumps(result.to_dict())

    assert machine(2) == machine(1)


def test_the_variants_true_ratio_moves_its_catch(small):
    """Twice the ratio, twice the fish of the variant; the trips and the reference stay."""
    plan = plan_of(small, "plain", "mix", 5)
    sums = {}
    for ratio in (1.0, 2.0):
        frames = pd.concat(plan.season_frame(OWN, ratio, i) for i in range(300))
        sums[ratio] = frames.groupby("variant")["fish"].sum()
    assert sums[2.0]["mix"] / sums[1.0]["mix"] == pytest.approx(2.0, rel=0.1)
    assert sums[2.0]["plain"] == pytest.approx(sums[1.0]["plain"], rel=0.05)


def test_the_defaults(example):
    """Without names: the reference `compare` takes, and the other bait most fished beside it."""
    plan = plan_of(example, None, None, 1)
    reference = plan.names[plan.reference]
    assert reference == rodhours.compare(example).reference
    together = example[example.groupby("session")["variant"].transform("nunique") > 1]
    others = together[together["variant"] != reference]
    assert plan.names[plan.variant] == others.groupby("variant")["hours"].sum().idxmax()


def test_the_machine_form(small):
    """The keys of schema 1, for the whole and for each arm, in plain JSON; the seasons done go up
    to those there are to do: two for each of four ratios, one more and four arms."""
    seen: list[tuple[int, int]] = []
    watch = {"progress": lambda *now: seen.append(now)}
    result = rehearse(small, "plain", "mix", ratio=2.5, seasons=2, seed=3, **watch)
    done, to_do = zip(*seen, strict=True)
    assert list(done) == sorted(set(done))
    assert (set(to_do), done[-1]) == ({2 * 9}, 2 * 9)
    machine = json.loads(json.dumps(result.to_dict(), allow_nan=False))
    assert machine.keys() >= {
        "schema", "seasons", "ratio", "coverage", "poisson_coverage", "settled", "median_width",
        "arms", "seed", "reference", "variant", "basis",
    }  # fmt: skip
    assert machine["schema"] == 1
    assert list(machine["settled"]) == ["1.25", "1.5", "2", "3"]
    assert (machine["seasons"], machine["ratio"], machine["seed"]) == (2, 2.5, 3)
    assert (machine["reference"], machine["variant"]) == ("plain", "mix")
    assert machine["basis"] == "same trips"
    assert len(machine["arms"]) == 4
    for arm in machine["arms"]:
        assert arm.keys() >= {
            "arm", "assumption_broken", "seasons", "coverage", "poisson_coverage", "median_width",
        }  # fmt: skip
        assert arm["assumption_broken"]


def test_interrupted_it_gives_what_is_done(small):
    """The shares of a partial result are those of its seasons alone; of twelve done, whichever they
    are, no arm of twenty can be whole."""

    def stop(done: int, to_do: int) -> None:
        if done >= 12:
            raise KeyboardInterrupt

    result = rehearse(small, "plain", "mix", seasons=20, seed=4, progress=stop)
    assert not result.complete
    assert 0 < result.own.seasons < 20
    plan = plan_of(small, "plain", "mix", 4)
    again = [outcome_of(plan, (OWN, 1.5), number) for number in range(result.own.seasons)]
    assert result.own == count_outcomes(OWN, 1.5, 20, again)


def test_interrupted_before_anything_is_done(small, monkeypatch):
    """With nothing to show, Ctrl-C stays Ctrl-C."""

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("rodhours.simulate.rehearse.outcome_of", stop)
    with pytest.raises(KeyboardInterrupt):
        rehearse(small, "plain", "mix", seasons=2)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"variant": "plain", "reference": "plain"}, "reference itself"),
        ({"variant": "mxi"}, "Did you mean 'mix'"),
        ({"ratio": 0.0}, "true ratio"),
        ({"ratio": NAN}, "true ratio"),
        ({"seasons": 0}, "seasons"),
        ({"seed": -1}, "seed"),
        ({"jobs": 0}, "jobs"),
    ],
)
def test_what_cannot_be_asked(small, options, says):
    """A usage error says what is wrong with it."""
    with pytest.raises(UsageError, match=says):
        rehearse(small, **{"seasons": 2, **options})


def test_logs_that_cannot_be_rehearsed(small):
    """One bait alone has no comparison, no fish no rate."""
    with pytest.raises(UsageError, match="one bait only"):
        rehearse(small[small["variant"] == "plain"], seasons=2)
    with pytest.raises(UsageError, match="no fish"):
        rehearse(small.assign(fish=0), seasons=2)


def test_a_reference_without_a_fish(small):
    """The log's own rate stands in."""
    log = small.assign(fish=np.where(small["variant"] == "plain", 0, small["fish"]))
    plan = plan_of(log, "plain", "mix", 1)
    assert plan.truth.rate == pytest.approx(log["fish"].sum() / log["hours"].sum())
