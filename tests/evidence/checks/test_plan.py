"""Plans that were not followed: told of, and answered by the bait that was planned."""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from functools import partial

import numpy as np
import pytest

import rodhours
from evidence.checks.clean_logs import clean_logs
from rodhours.errors import UsageError
from rodhours.evidence.checks.plan import as_planned, departures, rods_unfished
from rodhours.evidence.compare import compare
from simulated_seasons import FAVOURITE, REFERENCE
from unseen_seasons import HABITS, plan_departed_from


def season(seed: int, **options):
    return plan_departed_from(np.random.default_rng([seed, 31]), **options)


def both_ways(seed: int, habit: str, ratio: float) -> list[float]:
    """Whether the truth is held as fished and as planned; both ratios; the width of each."""
    log = season(seed, habit=habit, ratio=ratio)
    found = []
    for stints in (log, as_planned(log)):
        (one,) = compare(stints, REFERENCE, FAVOURITE, checks=False).comparisons
        low, high = one.conf_low or 0.0, one.conf_high or np.inf
        found += [low <= ratio <= high, one.rate_ratio, np.log(high / low) if low else np.inf]
    return found


def test_departures_are_counted_and_answered_as_planned():
    """By hand: of six stints a trip, on each trip with a swap of the favourite to another rod,
    both rods' halves departed, on the rod left towards the reference."""
    log = season(1)
    off = log["variant"] != log["planned"]
    (note,) = [n for n in rodhours.compare(log, REFERENCE).notes if n.code == "plan_departed"]
    assert (note.numbers["planned"], note.numbers["departed"]) == (240, off.sum())
    assert note.numbers["towards"] == {REFERENCE: off.sum() / 2, FAVOURITE: off.sum() / 2}
    assert sum(note.numbers["rods"].values()) == off.sum()
    assert note.severity in ("caution", "serious")
    (one,) = rodhours.compare(log, REFERENCE).comparisons
    obeyed = log.assign(variant=log["planned"]).drop(columns="planned")
    (alone,) = rodhours.compare(obeyed, REFERENCE).comparisons
    assert one.as_planned is not None
    assert one.as_planned.rate_ratio == alone.rate_ratio != one.rate_ratio
    row = rodhours.compare(log, REFERENCE).frame.set_index("basis").loc["as planned"]
    assert (row["rate_ratio"], row["fish"]) == (alone.rate_ratio, alone.fish)


def test_a_plan_that_was_followed_says_nothing():
    """No false alarm in 200 clean logs, planned as fished; a few departures are told of alone."""
    for log in clean_logs():
        assert not departures(log.assign(planned=log["variant"]))["departed"].any()
        assert departures(log).empty
    log = season(1, often=0.0)
    log.loc[[0, 7], "variant"] = ["other", "other"]
    found = rodhours.compare(log, REFERENCE, FAVOURITE)
    (note,) = [n for n in found.notes if n.code == "plan_departed"]
    assert (note.severity, note.numbers["answers"]) == ("information", [])
    assert found.comparisons[0].as_planned is None


def test_without_a_plan_there_is_no_answer_as_planned():
    with pytest.raises(UsageError, match="planned"):
        as_planned(season(1).drop(columns="planned"))


def left_empty(seed: int, bait: str | None, often: float):
    """40 trips of three rods, of which one in `often` is not fished, of one bait or of any."""
    rng = np.random.default_rng([seed, 32])
    log = season(seed, often=0.0).iloc[::2].reset_index(drop=True)
    gone = rng.random(len(log)) < often
    gone &= bait is None or (log["planned"] == bait).to_numpy()
    kept = log[~gone].copy()
    of_trip = log[gone].groupby("session")["planned"].agg("; ".join)
    first = ~kept["session"].duplicated()
    kept["unfished"] = kept["session"].map(of_trip).where(first)
    return kept, log[gone & log["session"].isin(kept["session"]).to_numpy()]


def test_rods_not_fished_are_counted_by_bait():
    """By hand: those of trips with another rod, and those that wait, each by the bait planned."""
    log, gone = left_empty(1, REFERENCE, 0.3)
    (note,) = rods_unfished(log, {REFERENCE: 2, FAVOURITE: 1})
    assert note.numbers["unfished"] == {REFERENCE: len(gone)}
    assert note.numbers["empty"] == {REFERENCE: 2, FAVOURITE: 1}
    assert note.numbers["share"] == pytest.approx((len(gone) + 3) / (len(log) + len(gone) + 3))
    assert (note.severity, note.numbers["bait"]) == ("serious", REFERENCE)
    assert rods_unfished(log.drop(columns="unfished"), {}) == []


def test_rods_left_out_by_chance_are_no_serious_matter():
    """One rod in 50 left out whatever its bait: serious in at most 10 % of 40 seasons (of 200 none
    was);
    one in six of one bait alone is named in at least 80 % of 20 (93 %)."""
    weights = [
        note.severity
        for seed in range(40)
        for note in rods_unfished(left_empty(seed, None, 0.02)[0], {})
    ]
    assert weights.count("serious") <= 4
    named = [rods_unfished(left_empty(seed, REFERENCE, 0.17)[0], {}) for seed in range(20)]
    assert sum(bool(one) and one[0].numbers["bait"] == REFERENCE for one in named) >= 16


@pytest.mark.parametrize("habit", HABITS)
def test_as_planned_holds_the_truth(habit: str):
    """Truth 1, 5 seasons a habit: at least 4 hold it."""
    held = 0
    for seed in range(5):
        planned = as_planned(season(seed, habit=habit))
        (one,) = compare(planned, REFERENCE, FAVOURITE, checks=False).comparisons
        held += (one.conf_low or 0.0) <= 1.0 <= (one.conf_high or np.inf)
    assert held >= 4


@pytest.mark.full
@pytest.mark.parametrize("habit", HABITS)
@pytest.mark.parametrize("ratio", [1.0, 2.0])
def test_as_planned_holds_the_truth_at_full_size(habit: str, ratio: float):
    """400 seasons a habit; where the truth is 1, at least 94 % hold it as planned.

    Measured: 96.0, 96.5 and 95.0 % (as fished 50.7, 96.3, 96.3), 0.98 to 1.05 times as wide.

    Where it is 2, that of being told to fish the favourite is less (medians 1.45 to 1.76).
    """
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        found = np.array(
            list(pool.map(partial(both_ways, habit=habit, ratio=ratio), range(400), chunksize=20))
        )
    held, middle = found.mean(axis=0), np.median(found, axis=0)
    print(
        f"\n{habit}, truth {ratio}: as fished {held[0]:.3f} hold it, median {middle[1]:.2f}; as "
        f"planned {held[3]:.3f}, median {middle[4]:.2f}; width {middle[5] / middle[2]:.2f} times"
    )
    if ratio == 1.0:
        assert held[3] >= 0.94
