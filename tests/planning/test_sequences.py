"""Latin squares and the sequences of Williams, against published ones."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest

from reference.open_data import williams_sequences
from reference.published import LATIN_SQUARES
from rodhours.planning.rotation import plan_rotation
from rodhours.planning.sequences import williams_parts, williams_squares, williams_trips

WILLIAMS = williams_sequences()


def followed(rows):
    """How often each variant came after each other one down the columns."""
    return Counter(
        pair
        for before, after in itertools.pairwise(rows)
        for pair in zip(before, after, strict=True)
    )


def is_latin(square):
    """Each row and each column holds each variant once."""
    everything = set(square[0])
    return all(set(line) == everything for line in [*square, *zip(*square, strict=True)])


@pytest.mark.parametrize("size", sorted(WILLIAMS))
def test_the_rods_follow_the_published_sequences(size):
    """Read down the rods, the squares are the sequences of Williams 1949, all of them."""
    ours = {
        tuple(one + 1 for one in rod)
        for square in williams_squares(size)
        for rod in zip(*square, strict=True)
    }
    assert ours == set(WILLIAMS[size])


@pytest.mark.parametrize("size", range(2, 10))
def test_every_order_comes_equally_often(size):
    """Every ordered pair once in the one square of an even number, twice in the two of an odd."""
    squares = williams_squares(size)
    assert all(is_latin(square) for square in squares)
    pairs = sum((followed(square) for square in squares), Counter())
    assert len(pairs) == size * (size - 1)
    assert set(pairs.values()) == {len(squares)}
    assert len(squares) == (1 if size % 2 == 0 else 2)


@pytest.mark.parametrize(("size", "trips"), [(3, 6), (3, 20), (4, 8), (4, 24), (5, 20), (6, 18)])
def test_squares_put_together_stay_even(size, trips):
    """However many squares follow one another, no bait stays and the orders differ by one."""
    rows = williams_trips(size, trips)
    pairs = followed(rows)
    assert len(rows) == trips
    assert all(before != after for before, after in pairs)
    assert len(pairs) == size * (size - 1)
    assert max(pairs.values()) - min(pairs.values()) <= 1


def test_a_whole_square_in_each_trip():
    """Four rods swapped three times: each trip has each ordered pair once (Williams 1949, n=4)."""
    for trip in williams_parts(4, 5, 4):
        assert is_latin(trip)
        assert set(followed(trip).values()) == {1}


def test_every_latin_square_of_three_can_come_up():
    """Over many seeds 3 baits on 3 rods give all 12 Latin squares of order 3 and no other."""
    found = set()
    for seed in range(150):
        plan = plan_rotation(("a", "b", "c"), 3, 3, seed=seed, steps=1)
        square = tuple(trip[0] for trip in plan.turns)
        assert is_latin(square)
        found.add(square)
    assert len(found) == LATIN_SQUARES["3"]


def test_random_is_not_the_clock():
    """The same seed gives the same plan, another one another."""
    same = [plan_rotation(("a", "b", "c", "d"), 3, 8, seed=5, steps=500) for _ in range(2)]
    assert same[0] == same[1]
    others = {
        plan_rotation(("a", "b", "c", "d"), 3, 8, seed=seed, steps=500).turns for seed in range(5)
    }
    assert len(others) == 5
