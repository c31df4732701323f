"""Balanced incomplete blocks against published parameters, and trips that reach them."""

from __future__ import annotations

from collections import Counter
from itertools import combinations, permutations
from random import Random

import pytest

from reference.published import BALANCED_BLOCKS, FANO_EFFICIENCY, FANO_PLANE
from rodhours.planning.balance import relative_precision
from rodhours.planning.block_designs import balanced_blocks, feasible
from rodhours.planning.contents import trip_contents, with_reference


def pairs_of(blocks):
    """How many blocks each pair shares."""
    return Counter(pair for block in blocks for pair in combinations(sorted(block), 2))


@pytest.mark.parametrize("published", BALANCED_BLOCKS, ids=str)
def test_published_designs_are_found(published):
    """Parameters of Fisher & Yates and of Cochran & Cox, each pair and each variant counted."""
    variants, size, together, blocks, each = published
    found = balanced_blocks(variants, size)
    assert len(found) == blocks
    assert {len(set(block)) for block in found} == {size}
    assert set(Counter(one for block in found for one in block).values()) == {each}
    pairs = pairs_of(found)
    assert len(pairs) == variants * (variants - 1) / 2
    assert set(pairs.values()) == {together}


@pytest.mark.parametrize("published", BALANCED_BLOCKS, ids=str)
@pytest.mark.parametrize("times", [1, 2])
def test_trips_reach_them(published, times):
    """Wherever trips are a multiple of a design's blocks, the pairs are as even as in it."""
    variants, size, together, blocks, each = published
    contents = trip_contents(variants, size, times * blocks, Random(7))
    assert len(contents) == times * blocks
    assert set(Counter(one for block in contents for one in block).values()) == {times * each}
    pairs = pairs_of(contents)
    assert len(pairs) == variants * (variants - 1) / 2
    assert set(pairs.values()) == {times * together}


def test_seven_threes_are_the_fano_plane():
    """Up to labels there is one design of 7 blocks of 3 out of 7, and this is it."""
    ours = {frozenset(block) for block in balanced_blocks(7, 3)}
    plane = [tuple(map(int, line)) for line in FANO_PLANE]
    assert any(
        all(frozenset(names[one] for one in line) in ours for line in plane)
        for names in permutations(range(7))
    )


def test_its_efficiency():
    """The Fano plane's efficiency factor, 7/9: published, and lambda v / (r k)."""
    grid = tuple((block,) for block in balanced_blocks(7, 3))
    found = relative_precision(grid, 7)
    assert FANO_EFFICIENCY.agrees("efficiency", found)
    assert found == pytest.approx(7 / 9)


def test_counting_conditions():
    """b of the smallest feasible designs; 15 variants in threes need 35 blocks (Kirkman 1850)."""
    assert feasible(7, 3)[0] == (1, 7, 3)
    assert feasible(15, 3)[0] == (1, 35, 7)
    # Fisher's inequality: (16, 6, 1) would have 8 blocks for 16 variants.
    assert (1, 8, 3) not in feasible(16, 6)


@pytest.mark.parametrize(("variants", "turns"), [(4, 3), (7, 3), (5, 2), (6, 4)])
def test_reference_on_every_trip(variants, turns):
    """The reference is on each trip once; the others share the rest, their pairs within one."""
    trips = 20
    contents = with_reference(variants, 2, turns, trips, Random(3))
    assert all(block.count(2) == 1 and len(set(block)) == turns for block in contents)
    turns_of = Counter(one for block in contents for one in block if one != 2)
    assert len(turns_of) == variants - 1
    assert max(turns_of.values()) - min(turns_of.values()) <= 1


@pytest.mark.parametrize(("others", "blocks"), [(3, 3), (6, 15)])
def test_gain_for_the_reference_is_the_closed_form(others, blocks):
    """Variance k (l0 + l1) / (l0 (l0 + p l1)) of a treatment against the control, p treatments.

    Bechhofer & Tamhane 1981, Technometrics 23:45-57 (from memory), with l0 pairs of a treatment
    and the control and l1 of two treatments; 2 k / (l v) where all v = p + 1 are alike.
    """
    k, v = 3, others + 1
    grid = tuple(((0, *(1 + one for one in pair)),) for pair in combinations(range(others), 2))
    assert len(grid) == blocks
    l0, l1 = others - 1, 1
    ours = k * (l0 + l1) / (l0 * (l0 + others * l1))
    alike = 2 * k / (blocks * k * (k - 1) / (v * (v - 1)) * v)
    assert relative_precision(grid, v, 0) == pytest.approx(alike / ours)


def test_more_turns_than_variants():
    """With a rod more than variants all are on every trip, and the double turn goes round."""
    contents = trip_contents(3, 4, 9, Random(1))
    assert all(sorted(Counter(block).values()) == [1, 1, 2] for block in contents)
    doubled = Counter(
        one for block in contents for one, many in Counter(block).items() if many == 2
    )
    assert set(doubled.values()) == {3}
