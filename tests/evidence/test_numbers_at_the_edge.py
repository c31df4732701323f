"""Random logs of hardly any fish: every answer comes, and no answer contradicts itself.

No expected value is needed: what must hold holds whatever the fish did.
"""

from __future__ import annotations

import os
import warnings
from functools import partial
from itertools import combinations

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from nasty_logs import nasty_log, recipes_of
from rodhours.errors import RodhoursError, UsageError
from rodhours.evidence.check import check
from rodhours.evidence.compare import compare
from rodhours.evidence.response.respond import respond
from rodhours.evidence.running import running_looks
from rodhours.evidence.session_model.data import lay_out
from rodhours.evidence.session_model.fit import fit
from rodhours.evidence.session_model.runaway import settled
from rodhours.evidence.sizes import sizes
from rodhours.evidence.summary import summarise
from rodhours.planning.next_season import next_season

SEEDS = range(8)
MANY = range(1000, 1000 + int(os.environ.get("NASTY_LOGS", "3000")))


def estimates(result):
    for one in result.comparisons:
        yield (one.variant, "headline"), one
        yield (one.variant, "all trips"), one.all_trips


def assert_agrees_with_itself(part, alpha):
    """p is below alpha exactly where 1 is outside the limits; else all numbers or none."""
    low, high, p = part.conf_low, part.conf_high, part.p_value
    if part.rate_ratio is None:
        # A reference without fish has a lower limit alone.
        assert high is None
        assert (low is None) == (p is None)
    else:
        assert None not in (low, high, p)
        assert low <= part.rate_ratio <= high
    outside = (low is not None and low > 1) or (high is not None and high < 1)
    nearest = min((abs(np.log(end)) for end in (low, high) if end), default=1.0)
    if nearest > 1e-4:
        assert outside == (p is not None and p < alpha)


def assert_turned_over(part, swapped):
    """The swapped answer is the answer upside down: p to 1e-6, limits to 1e-5 relative."""
    assert (part.p_value is None) == (swapped.p_value is None)
    if part.p_value is None:
        return
    assert swapped.p_value == pytest.approx(part.p_value, rel=1e-6, abs=1e-12)
    turned = [None if not end else 1 / end for end in (swapped.conf_high, swapped.conf_low)]
    for end, other in zip((part.conf_low, part.conf_high), turned, strict=True):
        assert (not end) == (other is None)
        if end and other:
            assert other == pytest.approx(end, rel=1e-5)


def compared(log, basis="auto"):
    """Each variant of the log as the reference."""
    return {name: compare(log, name, basis=basis, checks=False) for name in set(log["variant"])}


def assert_honest(log):
    results = compared(log)
    for result in results.values():
        for _, part in estimates(result):
            assert_agrees_with_itself(part, 0.05)
    for one, other in combinations(results, 2):
        (there,) = (c for c in results[one].comparisons if c.variant == other)
        (back,) = (c for c in results[other].comparisons if c.variant == one)
        if there.basis == back.basis:
            assert_turned_over(there, back)
        assert_turned_over(there.all_trips, back.all_trips)


def answer_everything(log):
    """Every answer that a log can be asked for; a refusal in words is an answer."""
    catches = log.loc[log.index.repeat(log["fish"])].assign(weight=6.0, outcome="landed")
    for ask in (
        lambda: summarise(log),
        lambda: summarise(log, "month"),
        lambda: check(log),
        lambda: compare(log, adjust=["water_temp_c"]),
        lambda: respond(log, recipes_of(log), "pellet_pct"),
        lambda: running_looks(log, most=4),
        lambda: sizes(catches),
        lambda: next_season(log),
    ):
        try:
            ask()
        except RodhoursError:
            continue


ONE_MORE_OF_A_KIND = [pytest.param(seed, marks=pytest.mark.full) for seed in (2617, 3986)]


@pytest.mark.parametrize(
    "seed", [*SEEDS[:2], 1046, 1093, 1138, 1155, 2269, 2752, *ONE_MORE_OF_A_KIND]
)
def test_answers_of_logs_of_few_fish_do_not_contradict_themselves(seed):
    """p and limits agree; swapping reference and bait turns ratio and limits upside down. In log
    1093 the reference's name decided which share of several that go along was left out, in 1155
    which blanks a share empties; in 1046 p was taken from a profile a few digits short, in
    1138 the sums over sessions 80 times apart were, in 2752 a profile stuck without clumps, and in
    2269, 2617 and 3986 it had two hills, of which each side saw its own."""
    assert_honest(nasty_log(seed))


def turned(log, seed):
    """The log in another order, in minutes, and with other labels in another alphabet's order."""
    order = np.random.default_rng(seed).permutation(len(log))
    yield log.iloc[order].reset_index(drop=True), str
    yield log.assign(hours=60.0 * log["hours"]), str
    labels = dict(
        zip(sorted(set(log["variant"])), ("delta", "gamma", "beta", "alpha"), strict=False)
    )
    yield log.assign(variant=log["variant"].map(labels)), labels.get


def assert_unmoved(log, seed, adjust):
    """Row order, the unit of hours and the names of the baits decide nothing."""
    reference = log["variant"].iloc[0]
    usual = compare(log, reference, adjust=adjust, checks=False)
    for other, label in turned(log, seed):
        moved = compare(other, label(reference), adjust=adjust, checks=False)
        theirs = dict(estimates(moved))
        for (variant, basis), one in estimates(usual):
            two = theirs[label(variant), basis]
            for number in ("rate_ratio", "conf_low", "conf_high", "p_value"):
                mine, its = getattr(one, number), getattr(two, number)
                assert (mine is None) == (its is None), (variant, basis, number, mine, its)
                if mine is not None:
                    assert its == pytest.approx(mine, rel=1e-4, abs=1e-9)


@pytest.mark.parametrize(
    ("seed", "adjust"), [(0, ("venue",)), (19, ("month",)), (1048, ("month",))]
)
def test_row_order_unit_of_hours_and_labels_decide_nothing(seed, adjust):
    """In log 19 a bait without fish lost its limit when its hours were told in hours."""
    assert_unmoved(nasty_log(seed), seed, adjust)


def test_the_order_of_rows_decides_nothing_to_the_last_digit():
    """In log 1048 a ratio came and went with it."""
    log = nasty_log(1048)
    usual, *others = (
        compare(one, "plain", adjust=["month"], checks=False).comparisons
        for one in (log, log[::-1], log.sample(frac=1.0, random_state=1))
    )
    assert all(one == usual for one in others)


def test_a_bait_that_cannot_be_told_from_months_has_no_ratio():
    """May and June saw one bait alone, April the others: whichever month counts would decide."""
    log = pd.DataFrame(
        {
            "session": [f"T{one}" for one in range(18) for _ in range(2)],
            "date": pd.to_datetime([f"2025-0{4 + one // 6}-10" for one in range(18) for _ in "ab"]),
            "variant": [*["plain", "crumb"] * 6, *["pellet-20"] * 24],
            "hours": 12.0,
            "fish": np.tile([0, 1, 1, 2, 0, 1], 6),
        }
    )
    asked = compare(log, "plain", adjust=["month"], checks=False)
    ratios = {one.variant: one.all_trips.rate_ratio for one in asked.comparisons}
    assert ratios["pellet-20"] is None
    assert ratios["crumb"] is not None
    told = [note for note in asked.notes if note.code == "goes_along"]
    assert [(note.variant, note.numbers["columns"]) for note in told] == [("pellet-20", ["month"])]


def test_levels_without_a_fish_on_either_bait_have_no_ratio_and_no_fault():
    """Log 48: on no level did the reference catch, so there is nothing to lie on opposite sides."""
    assert compare(nasty_log(48), "plain").comparisons


def test_a_look_without_both_fixed_limits_has_no_ratio():
    """A running limit may be further off; a ratio beside an open fixed limit is a guess."""
    looks = [
        look
        for seed in SEEDS[:4]
        for one in running_looks(nasty_log(seed), most=4).comparisons
        for look in one.looks
    ]
    assert any(look.rate_ratio for look in looks)
    for look in looks:
        numbers = look.rate_ratio, look.fixed_low, look.fixed_high
        assert len({number is None for number in (*numbers, look.cutoff)}) == 1
        assert (look.missing is None) == (look.rate_ratio is not None)


@pytest.mark.parametrize("seed", SEEDS[:2])
def test_every_answer_of_a_log_of_few_fish_comes_without_a_warning(seed):
    """No exception but a refusal in words, and no warning of a library."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        answer_everything(nasty_log(seed))


def test_a_share_that_runs_off_takes_no_other_answer_away():
    """A column that is above 0 on blanks alone empties them: the rest is the fit without them."""
    rng = np.random.default_rng(3)
    session = np.repeat(np.arange(20), 2)
    fish = rng.poisson(0.8, 40).astype(float)
    blank = np.bincount(session, fish)[session] == 0
    separated = np.where(blank, rng.uniform(0.001, 0.5, 40), 0.0)
    bait = np.tile([0.0, 1.0], 20)
    hours = np.full(40, 12.0)
    cells = np.tile([0, 1], 20)

    def fitted(rows, *columns):
        design = np.column_stack((np.ones(40), *columns))[rows]
        return fit(lay_out(session[rows], cells[rows], hours[rows], fish[rows], design))

    whole = fitted(np.ones(40, dtype=bool), bait, separated)
    rest = fitted(~blank, bait)
    assert blank.any()
    assert whole.converged
    assert list(whole.determined) == [True, True, False]
    assert whole.best.b[:2] == pytest.approx(rest.best.b, abs=1e-6)
    assert whole.best.value == pytest.approx(rest.best.value, abs=1e-8)


def test_two_columns_that_run_off_together_leave_the_rest_exact():
    """An emptied stint frees a direction of two columns; the others are the GLM's without it."""
    hours = np.array([20.0, 24, 30, 18, 22, 26, 24, 44])
    fish = np.array([1.0, 3, 0, 2, 4, 1, 1, 0])
    bait = np.array([0.0, 1, 0, 1, 1, 0, 0, 0])
    alone = np.where(np.arange(8) == 7, 0.7, -0.1)
    cells = np.arange(8)
    design = np.column_stack((np.ones(8), bait, alone))
    whole = fit(lay_out(cells, cells, hours, fish, design))
    kept = design[:7, :2]
    family = sm.families.Poisson()
    plain = sm.GLM(fish[:7], kept, family=family, exposure=hours[:7]).fit(tol=1e-14)
    assert whole.best.s == whole.best.t == 0.0
    assert len(whole.data.pinned) == 1
    assert list(whole.determined) == [False, True, False]
    assert whole.best.b[1] == pytest.approx(plain.params[1], abs=1e-9)


def test_two_thousand_variants_are_refused_in_one_line():
    """A label for every stint is a slip, and is told at once."""
    log = nasty_log(0)
    log = log.loc[np.resize(log.index, 2000)].reset_index(drop=True)
    log["variant"] = [f"bait {one}" for one in range(len(log))]
    with pytest.raises(UsageError, match="at most 30 variants, and these rows have 2000") as told:
        compare(log)
    assert "\n" not in str(told.value)


@pytest.mark.full
def test_three_thousand_nasty_logs():
    """The same at full size; every fault is counted before the test fails."""
    faults = []
    for seed in MANY:
        log = nasty_log(seed)
        unmoved = partial(assert_unmoved, seed=seed, adjust=("month",))
        for tried in (assert_honest, answer_everything, unmoved):
            try:
                tried(log)
            except Exception as error:
                faults.append((seed, str(tried)[:20], type(error).__name__, str(error)[:60]))
    assert not faults, f"{len(faults)} faults: {faults[:20]}"


def test_what_runs_off_is_told_where_columns_are_nothing_on_every_stint_with_fish():
    """Fish on (1, 0, 2, 2, 0) and (1, 0, 1, 2, 0) leave three directions free: the second column,
    the last, and (2, 0, 0, -1, 0). Along that one the blanks (1, 0, 0, 1, 0) and (1, 0, 0, 3, 0)
    go opposite ways, so both stay; each of the others falls by itself and is emptied. By hand."""
    fish_on = [[1.0, 0, 2, 2, 0], [1, 0, 1, 2, 0]]
    design = np.array(
        [*fish_on, [1, 0, 0, 1, 0], [1, 0, 0, 3, 0], [1, 1, 2, 2, 0], [1, 0, 2, 2, 1]]
    )
    each, fish = np.arange(6), np.array([2.0, 1, 0, 0, 0, 0])
    left = settled(lay_out(each, each, np.full(6, 12.0), fish, design))
    assert list(left.hours) == [12.0, 12.0, 12.0, 12.0, 0.0, 0.0]
