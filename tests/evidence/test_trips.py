"""Shared sessions, links between variants, and the same-trip columns.

Expected values are counted by hand on small tables, by pandas, or by numpy's matrix rank.
"""

from __future__ import annotations

import itertools

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from rodhours.evidence.stints import prepare
from rodhours.evidence.trips import (
    independent_columns,
    most_shared,
    same_trip_rows,
    session_table,
    share_columns,
)
from simulated_seasons import Season

# hours of a, b, c, d by session: a-b and b-c meet, a-c never, d is always alone.
TABLE = {
    "s1": {"a": 10.0, "b": 20.0},
    "s2": {"a": 5.0},
    "s3": {"b": 30.0, "c": 30.0},
    "s4": {"c": 7.0, "b": 3.0},
    "s5": {"d": 100.0},
    "s6": {"d": 90.0},
}


def stints(table=TABLE, fish=1):
    return prepare(
        pd.DataFrame(
            [
                {"session": session, "variant": variant, "hours": hours, "fish": fish}
                for session, row in table.items()
                for variant, hours in row.items()
            ]
        )
    )


def test_shared_sessions_count_the_direct_evidence():
    """Section 2: sessions that had both the variant and the reference."""
    table = session_table(stints())
    assert table.shared_with(0).tolist() == [2, 1, 0, 0]
    assert table.shared_with(1).tolist() == [1, 3, 2, 0]


def test_links_go_through_other_variants():
    """Section 2: linked through shared sessions, directly or through others."""
    table = session_table(stints())
    assert table.linked_to(0).tolist() == [True, True, True, False]
    assert table.linked_to(3).tolist() == [False, False, False, True]


def test_a_long_chain_is_one_group():
    """a-b, b-c, ... , y-z: all of them are linked to the first."""
    names = [chr(ord("a") + i) for i in range(26)]
    chain = {
        f"s{i:02}": {one: 1.0, other: 1.0}
        for i, (one, other) in enumerate(itertools.pairwise(names))
    }
    assert session_table(stints(chain)).linked_to(0).all()


def test_same_trips_are_sessions_with_two_linked_variants():
    """Section 2: only those sessions, and in them only stints of linked variants."""
    both = {**TABLE, "s7": {"a": 4.0, "d": 4.0}, "s8": {"b": 1.0, "e": 2.0, "f": 1.0}}
    all_stints = stints(both)
    table = session_table(all_stints)
    everything = same_trip_rows(all_stints, table, table.linked_to(0))
    assert len(np.unique(all_stints.session[everything])) == 5
    only = np.array([True, True, False, False, False, False])
    rows = same_trip_rows(all_stints, table, only)
    assert all_stints.hours[rows].tolist() == [10.0, 20.0]


def test_share_columns_are_centred_shares_of_rod_hours():
    """Section 2: the variant's share of the session's rod-hours, centred over the stints."""
    log = seasons.several_variants(np.random.default_rng(2), (1.0, 2.0), Season(trips=12))
    log["hours"] = np.random.default_rng(3).uniform(5, 40, len(log))
    prepared = prepare(log)
    ours = share_columns(prepared, np.array([0, 2]))
    frame = pd.DataFrame(
        {"session": prepared.session, "variant": prepared.variant, "hours": prepared.hours}
    )
    total = frame.groupby("session")["hours"].transform("sum")
    for j, variant in enumerate((0, 2)):
        own = frame["hours"].where(frame["variant"] == variant, 0.0)
        share = own.groupby(frame["session"]).transform("sum") / total
        np.testing.assert_allclose(ours[:, j], share - share.mean(), atol=1e-14)


def test_columns_without_variation_or_in_line_with_others_are_dropped():
    """Section 2: drop columns without variation or that are linear combinations of others.

    numpy's matrix rank says how many are independent.
    """
    rng = np.random.default_rng(6)
    base = np.column_stack((np.ones(40), rng.integers(0, 2, 40)))
    new, other = rng.normal(size=(2, 40))
    extra = np.column_stack(
        (np.zeros(40), new, np.full(40, 0.3), 2 * new - 3 * base[:, 1] + 1, other, new + other)
    )
    kept = independent_columns(base, extra)
    assert kept.tolist() == [False, True, False, False, True, False]
    assert np.linalg.matrix_rank(np.column_stack((base, extra))) == 2 + kept.sum()


def test_reference_is_the_variant_with_most_shared_rod_hours():
    """Point 7: its own rod-hours in sessions with another variant; not the most fished one."""
    code, hours = most_shared(stints())
    assert (code, hours) == (1, 53.0)
    code, hours = most_shared(stints(), without=1)
    assert (code, hours) == (2, 37.0)


@pytest.mark.parametrize("fish", [0, 5])
def test_catches_play_no_part_in_the_choice(fish):
    """Point 7: never the best-looking."""
    assert most_shared(stints(fish=fish))[0] == 1


def test_without_shared_sessions_the_most_fished_is_taken():
    """No session had two: most rod-hours, and no shared hours to tell of."""
    alone = {"s1": {"a": 5.0}, "s2": {"b": 9.0}, "s3": {"a": 3.0}}
    assert most_shared(stints(alone)) == (1, 0.0)


def test_shares_that_never_vary_are_dropped():
    """Both on every trip for the same hours: the share is a constant, give or take rounding."""
    log = seasons.both_on_every_trip(np.random.default_rng(2), 1.0, Season(trips=12, rods=2))
    log["hours"] = log["session"].map(
        dict(zip(log["session"].unique(), np.random.default_rng(4).uniform(3, 50, 12), strict=True))
    )
    prepared = prepare(log)
    base = np.column_stack((np.ones(len(prepared)), prepared.variant == 0))
    assert not independent_columns(base, share_columns(prepared, np.array([0]))).any()
