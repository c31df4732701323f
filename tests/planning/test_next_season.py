"""What to fish next: the choices follow the stated rules, gains the ratios, hours the formulas."""

from __future__ import annotations

import shlex
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from rodhours.errors import UsageError
from rodhours.evidence.compare import compare
from rodhours.evidence.result import Note
from rodhours.evidence.verdicts import verdict
from rodhours.planning.next_season import (
    BY_COST,
    CHOICES,
    CONFIRM,
    FISH_IT,
    MORE_HOURS,
    NO_GAIN,
    OPEN,
    STOP,
    next_season,
)
from rodhours.report.planning_text import next_season_text
from rodhours.simulate.formulas import TOGETHER, Assumptions, trips_by_formula
from rodhours.words.planning_next import settles


@pytest.fixture(scope="module")
def log() -> pd.DataFrame:
    """Twelve trips alike, two baits side by side; rods take turns."""
    trip, bait = np.divmod(np.arange(24), 2)
    return pd.DataFrame(
        {
            "session": [f"trip {one}" for one in trip],
            "date": pd.Timestamp("2025-05-01") + pd.to_timedelta(7 * trip, unit="D"),
            "variant": np.where(bait, "mix", "plain"),
            "rod": ((trip + bait) % 2 + 1).astype(str),
            "hours": 25.0,
            "fish": np.where(bait, 2, 1) + (trip % 3 == 0),
        }
    )


@pytest.fixture(scope="module")
def result(log):
    return compare(log, "plain", checks=False)


def with_limits(result, low, high, basis="same trips", notes=()):
    """The comparison with other limits, and the verdict that belongs to them."""
    (one,) = result.comparisons
    middle = None if low is None or high is None else (low * high) ** 0.5
    said = verdict(low, high, one.fish, one.reference_fish, result.margin)
    changed = replace(
        one, basis=basis, conf_low=low, conf_high=high, rate_ratio=middle, verdict=said
    )
    return replace(result, comparisons=(changed,), notes=tuple(notes))


@pytest.mark.parametrize(
    ("low", "high", "choice"),
    [
        (1.3, 3.0, FISH_IT),
        (1.02, 1.2, FISH_IT),
        (0.3, 0.9, STOP),
        (0.85, 1.2, BY_COST),
        (0.5, 2.0, MORE_HOURS),
        (0.05, 4.0, MORE_HOURS),
        (0.5, None, MORE_HOURS),
        (None, 4.0, MORE_HOURS),
        (0.4, 1.1, NO_GAIN),
        (0.4, 1.25, NO_GAIN),
        (0.4, 1.26, MORE_HOURS),
    ],
)
def test_the_rules(log, result, low, high, choice):
    """Ahead: fish it; behind: stop; level: by cost; else more hours while the upper limit allows a
    gain above the margin (or is missing), and none once it does not. Only what asks for hours has
    hours to go."""
    (one,) = next_season(log, result=with_limits(result, low, high)).variants
    assert one.choice == choice
    assert (one.trips_to_go is not None) == (choice == MORE_HOURS)
    assert one.small == (high == 1.2 and choice == FISH_IT)


def test_what_is_confirmed_first(log, result):
    """Ahead or behind over all trips only, by one trip, or on rods of its own: nobody acts on it
    yet."""
    for low, high in ((1.3, 3.0), (0.3, 0.9)):
        (one,) = next_season(log, result=with_limits(result, low, high, "all trips")).variants
        assert (one.choice, one.because) == (CONFIRM, "not same trips")
        turns = Note("red_letter_trip", "mix", "serious", {"verdict_changes": True})
        (one,) = next_season(log, result=with_limits(result, low, high, notes=[turns])).variants
        assert (one.choice, one.because) == (CONFIRM, "one trip")
        stays = Note("red_letter_trip", "mix", "caution", {"verdict_changes": False})
        (one,) = next_season(log, result=with_limits(result, low, high, notes=[stays])).variants
        assert one.choice in (FISH_IT, STOP)
        own_rods = log.assign(rod=np.where(log["variant"] == "mix", "1", "2"))
        plan = next_season(own_rods, result=with_limits(result, low, high))
        assert (plan.variants[0].choice, plan.variants[0].because) == (CONFIRM, "other rods")
        (missing,) = plan.trips_that_help
        assert (missing.by, missing.variant_only, missing.reference_only) == ("rod", ("1",), ("2",))


@pytest.mark.parametrize(("low", "high", "choice"), [(0.85, 1.2, BY_COST), (0.4, 1.1, NO_GAIN)])
def test_nothing_is_given_up_on_what_cannot_tell_bait_from_day(log, result, low, high, choice):
    """Level, or a gain ruled out: no ground to stop where it rests on all trips or on rods of its
    own, any more than a bait ahead is one to go on."""
    (one,) = next_season(log, result=with_limits(result, low, high)).variants
    assert one.choice == choice
    over_all = next_season(log, result=with_limits(result, low, high, "all trips"))
    own_rods = log.assign(rod=np.where(log["variant"] == "mix", "1", "2"))
    on_own = next_season(own_rods, result=with_limits(result, low, high))
    for plan, because in ((over_all, "not same trips"), (on_own, "other rods")):
        (one,) = plan.variants
        assert (one.choice, one.because) == (CONFIRM, because)
        assert one.trips_to_go is not None
        assert plan.sharing == ("plain", "mix")
        assert "stay with plain" not in plan.to_dict()["next_step"]


def test_a_bait_of_warm_water():
    """A bait that was on in warm water only: trips with both in cold and in warm are named."""
    trip = np.arange(40)
    warm = trip % 2 == 0
    log = pd.DataFrame(
        {
            "session": trip.astype(str),
            "date": pd.Timestamp("2025-05-01") + pd.to_timedelta(trip, unit="D"),
            "variant": np.where(warm, "mix", "plain"),
            "water_temp_c": np.where(warm, 18.0, 9.0) + trip % 3 * 0.5,
            "hours": 24.0,
            "fish": trip % 3,
        }
    )
    found = {one.by: one for one in next_season(log, "plain").trips_that_help}
    assert found["water_temp_c"].mean > found["water_temp_c"].reference_mean
    text = next_season_text(next_season(log, "plain"))
    assert "mix in cold water and in warm" in " ".join(text.split())


def test_gains_are_those_of_the_ratio_at_the_references_rate(log, result):
    """Rate × (ratio − 1), limits alike. Trips all alike have no session effect, so that the rate
    is fish over rod-hours: 16 in 300."""
    plan = next_season(log, result=with_limits(result, 0.5, 2.5))
    assert plan.per_100 == pytest.approx(100 * 16 / 300, rel=1e-4)
    (one,) = plan.variants
    assert one.gain_low == pytest.approx(-0.5 * plan.per_100)
    assert one.gain_high == pytest.approx(1.5 * plan.per_100)
    assert one.gain_per_100 == pytest.approx((1.25**0.5 - 1.0) * plan.per_100)
    (open_above,) = next_season(log, result=with_limits(result, None, None)).variants
    assert (open_above.gain_per_100, open_above.gain_high) == (None, None)
    # No lower limit of a ratio: all of the reference's rate may be lost.
    assert open_above.gain_low == pytest.approx(-plan.per_100)


def test_hours_to_go_without_a_limit_are_all_the_hours(log, result):
    """Where the log says nothing yet, the hours to go are those of the formula; what it says is
    not fished for again, and the margin of doubt shared by more baits takes longer."""
    plan = next_season(log, result=with_limits(result, 0.5, None), ratio=2.0)
    grounds = plan.grounds
    given = Assumptions(
        grounds.per_100 / 100, grounds.session_sd, grounds.clumping, grounds.rod_hours, 2
    )
    needed = trips_by_formula(TOGETHER, 2.0, given)
    (one,) = plan.variants
    assert one.trips_to_go == one.trips_to_go_alone == needed
    assert one.rod_hours_to_go == needed * 50.0
    (further,) = next_season(log, result=with_limits(result, 0.5, 2.0), ratio=2.0).variants
    assert further.trips_to_go < needed
    elsewhere = with_limits(result, 0.9, 2.0, "all trips")
    (one,) = next_season(log, result=elsewhere, ratio=2.0).variants
    assert one.trips_to_go == needed


def test_what_the_rods_can_do(log):
    """Four baits, and two rods a trip: the one settled first goes on beside the reference, the
    others wait; one rod is swapped half-way; each with the command, and the same first screen."""
    more = pd.concat(
        log.assign(variant=log["variant"].where(log["variant"] == "plain", f"mix {number}"))
        for number in range(3)
    ).drop_duplicates()
    plan = next_season(more.assign(rod=more["variant"].factorize()[0] % 2), "plain")
    assert plan.grounds.rods == 2
    open_ones = [one for one in plan.variants if one.choice in OPEN]
    assert len(open_ones) == 3
    (name,) = plan.sharing[1:]
    assert plan.first.variant == name
    assert all(one.trips_to_go is None for one in open_ones if one.variant != name)
    assert plan.waiting == [one.variant for one in open_ones if one.variant != name]
    command = plan.to_dict()["rotation_command"]
    trips = min(plan.first.trips_to_go, plan.grounds.season_trips)
    assert shlex.split(command)[3:] == [
        "--variants", f"plain,{name}", "--rods", "2", "--trips", str(trips), "--reference", "plain",
    ]  # fmt: skip
    assert command in plan.to_dict()["next_step"]
    assert f"plain and {name}" in settles(plan)
    alone = next_season(log.assign(rod="1"), "plain")
    assert (alone.grounds.rods, len(alone.sharing)) == (1, 2)
    assert "--trip-hours 50h --swap-every 25h" in alone.to_dict()["rotation_command"]
    assert "swapped half-way" in alone.to_dict()["next_step"]
    assert "for all three together" in next_season_text(plan)
    assert "--family 3" in next_season_text(plan)


def test_what_a_bait_costs(log, result):
    """Where it goes by cost, the prices of both stand there."""
    level = next_season(log, result=with_limits(result, 0.85, 1.2))
    assert "costs you least;" in level.to_dict()["next_step"]
    priced = replace(level, cost_a_bait={"plain": 0.1234, "mix": 0.2})
    assert "(a bait, by your prices: plain 0.123, mix 0.200)" in priced.to_dict()["next_step"]


def test_months_and_waters_that_never_met():
    """A bait of spring on one water, the reference of summer on another: the trips that would help
    are named by month and water, with both; what is the same in summer and spring is not."""
    trip = np.arange(48)
    spring = trip < 24
    log = pd.DataFrame(
        {
            "session": trip.astype(str),
            "date": pd.Timestamp("2025-03-01") + pd.to_timedelta(3 * trip, unit="D"),
            "venue": np.where(spring, "Reed Pool", "Long Mere"),
            "variant": np.where(spring, "mix", "plain"),
            "hours": 24.0,
            "fish": trip % 3,
        }
    )
    found = {one.by: one for one in next_season(log, "plain").trips_that_help}
    assert found["venue"].variant_only == ("Reed Pool",)
    assert found["venue"].reference_only == ("Long Mere",)
    assert "2025-03" in found["month"].variant_only
    assert "2025-07" in found["month"].reference_only
    assert not found["month"].for_all_trips
    text = next_season_text(next_season(log, "plain"))
    assert "mix on Reed Pool or Long Mere" in text
    assert "March" in text


def test_the_machine_form_and_the_words(log, result):
    """Schema 1, every variant with its sentence, a next step; a rule and a limit for the reader;
    never "significant"."""
    for low, high in ((1.3, 3.0), (0.3, 0.9), (0.85, 1.2), (0.5, 2.0), (0.4, 1.1), (None, None)):
        plan = next_season(log, result=with_limits(result, low, high))
        machine = plan.to_dict()
        assert machine["schema"] == 1
        (one,) = machine["variants"]
        assert one["choice"] in CHOICES
        assert one["says"].startswith("mix: ")
        assert machine["next_step"].startswith("Next: ")
        text = next_season_text(plan)
        for said in (machine["next_step"], "The rules.", one["choice"]):
            assert said in text
        assert "None" not in text
        assert "significant" not in text


def test_one_bait_alone(log):
    """Nothing to choose between, said in words, with a next step."""
    plan = next_season(log[log["variant"] == "plain"], "plain")
    assert plan.variants == ()
    assert "second bait" in next_season_text(plan)


def test_no_fish_on_the_reference(log):
    """No rate, so no gain in fish; the choice goes by the ratio, and nothing reads None."""
    plan = next_season(
        log.assign(fish=np.where(log["variant"] == "plain", 0, log["fish"])), "plain"
    )
    assert plan.per_100 is None
    (one,) = plan.variants
    assert one.gain_per_100 is None
    assert "None" not in next_season_text(plan)


@pytest.mark.parametrize("options", [{"ratio": 1.0}, {"ratio": -2.0}, {"power": 0.2}])
def test_what_cannot_be_asked(log, options):
    """A ratio of interest above 1, a power that is a chance."""
    with pytest.raises(UsageError):
        next_season(log, "plain", **options)
