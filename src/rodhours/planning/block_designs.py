"""Balanced incomplete blocks: each variant equally often, each pair together equally often.

Scope: the smallest such design that a few groups of turns (all variants moved on by one, one
held fast, several circles moved at once) can generate, all combinations, and complements.
"""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from itertools import combinations
from math import comb

Block = tuple[int, ...]

MOST_BLOCKS = 120
"""No season has more trips than this: larger designs are of no use."""
MOST_SUBSETS = 6_000
MOST_STEPS = 4_000
"""Where the search for a design with one set of circles gives up."""


def feasible(variants: int, size: int) -> list[tuple[int, int, int]]:
    """(pairs together, blocks, blocks of each variant) that counting allows, fewest blocks first.

    vr = bk, lambda (v - 1) = r (k - 1), and Fisher's inequality b >= v. Counting alone: some of
    these do not exist.
    """
    found: list[tuple[int, int, int]] = []
    together = 1
    while True:
        blocks, rest = divmod(together * variants * (variants - 1), size * (size - 1))
        if blocks > MOST_BLOCKS:
            return found
        each, odd = divmod(together * (variants - 1), size - 1)
        if not rest and not odd and blocks >= variants:
            found.append((together, blocks, each))
        together += 1


@lru_cache(maxsize=256)
def balanced_blocks(variants: int, size: int) -> tuple[Block, ...] | None:
    """The smallest balanced design found: blocks of `size` out of `variants`; None where none is.

    `size` is at least 1 and less than `variants`; blocks of one are each variant once.
    """
    if size == 1:
        return tuple((one,) for one in range(variants))
    if size == variants - 1:
        return tuple(combinations(range(variants), size))
    if 2 * size > variants:
        inner = balanced_blocks(variants, variants - size)
        everything = set(range(variants))
        return inner and tuple(tuple(sorted(everything - set(block))) for block in inner)
    if comb(variants, size) > MOST_SUBSETS:
        return None
    for together, blocks, _ in feasible(variants, size):
        if blocks == comb(variants, size):
            return tuple(combinations(range(variants), size))
        for circles in _circles(variants):
            found = _generated(variants, size, together, circles)
            if found is not None:
                return found
    return None


def _circles(variants: int) -> list[tuple[int, ...]]:
    """Ways to lay the variants out in circles that are turned together; 1 is held fast."""
    ways = [(variants,), (variants - 1, 1)]
    for many in (2, 3):
        for fixed in (0, 1):
            each, rest = divmod(variants - fixed, many)
            if rest == 0 and each > 1:
                ways.append((each,) * many + (1,) * fixed)
    return ways


def _generated(
    variants: int, size: int, together: int, circles: tuple[int, ...]
) -> tuple[Block, ...] | None:
    """A design made of whole orbits, each pair `together` times, or None.

    Pairs and blocks fall into orbits under the turn; a choice of block orbits is a design where
    every pair orbit is covered equally (Kramer and Mesner 1976, Discrete Mathematics 15, 263-296;
    with one circle these are Bose's difference families).
    """
    turned = _turn(circles)
    pair_of = {
        pair: number
        for number, orbit in enumerate(_orbits(combinations(range(variants), 2), turned))
        for pair in orbit
    }
    pairs_in = Counter(pair_of.values())
    orbits = _orbits(combinations(range(variants), size), turned)
    covers = []
    for orbit in orbits:
        inside = Counter(pair_of[pair] for pair in combinations(orbit[0], 2))
        covers.append({pair: many * len(orbit) // pairs_in[pair] for pair, many in inside.items()})
    by_pair: list[list[int]] = [[] for _ in pairs_in]
    for number, cover in enumerate(covers):
        if max(cover.values()) <= together:
            for pair in cover:
                by_pair[pair].append(number)
    left = [together] * len(pairs_in)
    steps = 0
    chosen: list[int] = []

    def search() -> bool:
        nonlocal steps
        steps += 1
        if steps > MOST_STEPS:
            return False
        open_pairs = [pair for pair, still in enumerate(left) if still]
        if not open_pairs:
            return True
        first = min(open_pairs, key=lambda pair: len(by_pair[pair]))
        for number in by_pair[first]:
            cover = covers[number]
            if all(left[pair] >= many for pair, many in cover.items()):
                for pair, many in cover.items():
                    left[pair] -= many
                chosen.append(number)
                if search():
                    return True
                chosen.pop()
                for pair, many in cover.items():
                    left[pair] += many
        return False

    if not search():
        return None
    return tuple(block for number in chosen for block in orbits[number])


def _turn(circles: tuple[int, ...]) -> list[int]:
    """Where each variant goes when every circle is turned on by one."""
    moved: list[int] = []
    for length in circles:
        start = len(moved)
        moved.extend(start + (i + 1) % length for i in range(length))
    return moved


def _orbits(subsets: combinations[tuple[int, ...]], turned: list[int]) -> list[list[Block]]:
    """The subsets sorted into those that turn into one another."""
    seen: set[Block] = set()
    found = []
    for subset in subsets:
        if subset in seen:
            continue
        orbit = []
        block: Block = subset
        while block not in seen:
            seen.add(block)
            orbit.append(block)
            block = tuple(sorted(turned[one] for one in block))
        found.append(orbit)
    return found
