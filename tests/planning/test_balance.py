"""The balance of rotations: counted anew, and bounds that never claim too much."""

from __future__ import annotations

from collections import Counter
from itertools import combinations, combinations_with_replacement, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.errors import UsageError
from rodhours.planning.balance import measures
from rodhours.planning.rotation import plan_rotation

LABELS = tuple("abcdefghijklmnop")


def of(plan, what, who="all"):
    (found,) = [one for one in plan.balance if (one.what, one.who) == (what, who)]
    return found


def spread(counts, cells):
    """Fewest and most over all cells, those that never came up too."""
    values = [counts.get(cell, 0) for cell in cells]
    return min(values), max(values)


plans = st.builds(
    lambda variants, rods, trips, parts, seed: plan_rotation(
        LABELS[:variants], rods, trips, parts=parts, seed=seed, starts=1
    ),
    st.integers(2, 6),
    st.integers(1, 4),
    st.integers(1, 9),
    st.integers(1, 2),
    st.integers(0, 10**6),
)


@settings(max_examples=15)
@given(plans)
def test_every_plan_keeps_the_rules(plan):
    """Every rod has a bait in every part; turns differ by one at the most; no bait is on two rods
    at once while another is on none; and the balance printed is what one counts by hand."""
    names = plan.variants
    cells = [(t, p, r) for t in range(plan.trips) for p in range(plan.parts)
             for r in range(plan.rods)]  # fmt: skip
    turn = {(t, p, r): plan.turns[t][p][r] for t, p, r in cells}
    each = Counter(turn.values())
    low, high = spread(each, names)
    assert (of(plan, "turns").fewest, of(plan, "turns").most) == (low, high)
    assert high - low <= 1
    for trip in plan.turns:
        for part in trip:
            at_once = Counter(part)
            assert max(at_once.values()) - min(at_once.get(one, 0) for one in names) <= 1
    if plan.rods > 1:
        on_rod = Counter((one, r) for (_, _, r), one in turn.items())
        found = of(plan, "rods")
        assert (found.fewest, found.most) == spread(on_rod, product(names, range(plan.rods)))
    if plan.rods > max(len(names), 2):
        alike = Counter(
            (one, other)
            for trip in plan.turns
            for part in trip
            for one, other in combinations(range(plan.rods), 2)
            if part[one] == part[other]
        )
        found = of(plan, "alike")
        assert (found.fewest, found.most) == spread(alike, combinations(range(plan.rods), 2))
    shared = Counter(
        pair
        for trip in plan.turns
        for pair in combinations(sorted({one for part in trip for one in part}), 2)
    )
    found = of(plan, "trips_shared")
    assert (found.fewest, found.most) == spread(shared, combinations(sorted(names), 2))
    after = Counter()
    for (t, p, r), one in turn.items():
        following = (t, p + 1, r) if plan.parts > 1 else (t + 1, p, r)
        if following in turn:
            after[one, turn[following]] += 1
    if after:
        found = of(plan, "order")
        assert (found.fewest, found.most) == spread(
            after, [(a, b) for a, b in product(names, names) if a != b]
        )
        assert of(plan, "stays").most == sum(after[one, one] for one in names)
    for one in plan.balance:
        assert one.difference >= one.least_difference or one.what == "stays"


@pytest.mark.parametrize(
    ("variants", "size", "trips"), [(4, 2, 3), (4, 2, 4), (4, 3, 3), (5, 3, 4)]
)
def test_no_bound_on_shared_trips_claims_too_much(variants, size, trips):
    """Of all possible contents of a few trips, none is more even than its bound says, and where
    a plan is said to be at its bound none with the same turns is more even."""
    blocks = list(combinations(range(variants), size))
    if len(blocks) ** trips > 10_000:
        blocks = blocks[:8]
    best, claims = {}, []
    for chosen in combinations_with_replacement(blocks, trips):
        turns = tuple(sorted(Counter(one for block in chosen for one in block).values()))
        (found,) = [
            one for one in measures(tuple((block,) for block in chosen), variants)
            if one.what == "trips_shared"
        ]  # fmt: skip
        assert found.difference >= found.least_difference
        best[turns] = min(best.get(turns, 99), found.difference)
        if found.reached:
            claims.append((turns, found.difference))
    assert claims
    assert all(difference == best[turns] for turns, difference in claims)


@pytest.mark.parametrize(
    ("variants", "rods", "trips"),
    [(4, 3, 8), (7, 3, 7), (5, 2, 10), pytest.param(13, 3, 26, marks=pytest.mark.full)],
)
def test_blocks_on_rods_are_youden_squares(variants, rods, trips):
    """With balanced blocks each variant also meets each rod equally often, where that divides."""
    plan = plan_rotation(LABELS[:variants], rods, trips, starts=2)
    assert of(plan, "rods").difference == of(plan, "rods").least_difference == 0
    assert of(plan, "trips_shared").difference == 0


def test_swaps_move_every_bait():
    """Three baits on three rods with a swap: each bait on every trip in both parts, never staying,
    and each order equally often over six trips."""
    plan = plan_rotation(LABELS[:3], 3, 6, parts=2)
    assert of(plan, "stays").most == 0
    assert of(plan, "order").difference == 0
    assert all(set(part) == set("abc") for trip in plan.turns for part in trip)


def test_fewer_baits_than_rods():
    """Two baits on three rods: the extra turn goes to each equally, on every rod equally often."""
    plan = plan_rotation(LABELS[:2], 3, 6)
    assert of(plan, "turns").difference == 0
    assert of(plan, "rods").difference == 0
    alone = Counter(
        rod
        for trip in plan.turns
        for rod, one in enumerate(trip[0])
        if trip[0].count(one) == 1
    )  # fmt: skip
    assert alone == {0: 2, 1: 2, 2: 2}


def test_what_turning_baits_round_would_cost():
    """Two baits that just change places on three rods keep two rods alike for ever: the balance
    counts that, so that nobody can say such a plan is as good in all that is printed."""
    turning = tuple(((trip % 2, 1 - trip % 2, 1 - trip % 2),) for trip in range(12))
    alike = {one.what: one for one in measures(turning, 2)}["alike"]
    assert (alike.fewest, alike.most, alike.least_difference) == (0, 12, 0)
    plan = plan_rotation(LABELS[:2], 3, 12, starts=1)
    assert of(plan, "alike").difference < 12


def test_one_rod_shares_no_trip():
    """One rod without swaps can show nothing from the same trips, and no precision is claimed."""
    plan = plan_rotation(LABELS[:3], 1, 9)
    assert plan.precision is None
    assert of(plan, "trips_shared").most == 0


@pytest.mark.parametrize(
    "asked",
    [
        {"variants": ["a"]},
        {"variants": ["a", "a"]},
        {"rods": 0},
        {"rods": 7},
        {"trips": 0},
        {"trips": 121},
        {"parts": 0},
        {"reference": "x"},
    ],
)
def test_what_makes_no_plan_is_refused(asked):
    """A plain sentence for what cannot be planned."""
    given_ = {"variants": ["a", "b"], "rods": 2, "trips": 4, **asked}
    with pytest.raises(UsageError):
        plan_rotation(given_.pop("variants"), given_.pop("rods"), given_.pop("trips"), **given_)
