"""What is fished on each trip: which variants, so that all pairs share trips equally often.

Scope: contents alone; on which rod and in which order is in `arranging`. A balanced design where
there is one for so many trips, otherwise a seeded search that starts from the nearest one.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import exp
from random import Random

from rodhours.planning.block_designs import balanced_blocks

Contents = list[list[int]]
"""A list for each trip: the variants of its turns, in no order, repeated where they are."""

STEPS = 12_000
"""Exchanges tried from each start."""
WARM, COLD = 3.0, 0.15


def trip_contents(variants: int, turns: int, trips: int, random: Random) -> Contents:
    """Contents of each trip, of so many turns (rods times parts).

    With at least as many turns as variants, all are on every trip, and the turns left over are
    shared out as a design of their own.
    """
    whole, extra = divmod(turns, variants)
    everyone = [one for one in range(variants) for _ in range(whole)]
    if extra == 0:
        return [list(everyone) for _ in range(trips)]
    blocks = _blocks(variants, extra, trips, random)
    return [everyone + block for block in blocks]


def with_reference(
    variants: int, reference: int, turns: int, trips: int, random: Random
) -> Contents:
    """Contents where the reference is on every trip once and the others share what is left."""
    others = [one for one in range(variants) if one != reference]
    blocks = trip_contents(len(others), turns - 1, trips, random)
    return [[reference, *(others[one] for one in block)] for block in blocks]


def _blocks(variants: int, size: int, trips: int, random: Random) -> Contents:
    """Blocks of different variants, `size` < `variants`, as even as they are found to be."""
    goal = _least_cost(variants, size, trips)
    best: Contents = []
    best_cost: float = float("inf")
    for start in _starts(variants, size, trips, random):
        blocks, cost = _exchanged(start, variants, goal, random)
        if cost < best_cost:
            best, best_cost = blocks, cost
        if best_cost <= goal:
            break
    random.shuffle(best)
    return best


def _starts(variants: int, size: int, trips: int, random: Random) -> list[Contents]:
    """Whole copies of a balanced design with some blocks added or left out, then by chance."""
    starts: list[Contents] = []
    design = balanced_blocks(variants, size)
    if design is not None:
        names = random.sample(range(variants), variants)
        blocks = [[names[one] for one in block] for block in design]
        copies, rest = divmod(trips, len(blocks))
        starts.append([list(one) for one in blocks * copies + random.sample(blocks, rest)])
    for _ in range(3):
        starts.append([random.sample(range(variants), size) for _ in range(trips)])
    return starts


def _least_cost(variants: int, size: int, trips: int) -> float:
    """The cost where turns and pairs are as even as counting allows."""
    turns = _even_squares(trips * size, variants)
    pairs = _even_squares(trips * size * (size - 1) // 2, variants * (variants - 1) // 2)
    return variants * turns + pairs


def _even_squares(total: int, cells: int) -> int:
    """The least sum of squares of so many whole numbers with this total."""
    each, rest = divmod(total, cells)
    return (cells - rest) * each * each + rest * (each + 1) ** 2


def _exchanged(
    start: Contents, variants: int, goal: float, random: Random
) -> tuple[Contents, float]:
    """Annealing: one variant of one trip for another, or two variants between two trips."""
    blocks = [list(block) for block in start]
    turns = [0] * variants
    shared = [[0] * variants for _ in range(variants)]
    for block in blocks:
        for one in block:
            turns[one] += 1
        for one, other in combinations(block, 2):
            shared[one][other] += 1
            shared[other][one] += 1
    cost = float(
        variants * sum(many * many for many in turns)
        + sum(n * n for row in shared for n in row) / 2
    )
    best, best_cost = [list(block) for block in blocks], cost
    for step in range(STEPS):
        if best_cost <= goal:
            break
        heat = WARM * (COLD / WARM) ** (step / STEPS)
        trip = random.randrange(len(blocks))
        at = random.randrange(len(blocks[trip]))
        new = random.randrange(variants)
        if new in blocks[trip]:
            continue
        old = blocks[trip][at]
        change = _replace(blocks[trip], at, new, variants, turns, shared)
        undo = [(trip, at, old)]
        if random.random() < 0.7 and len(blocks) > 1:
            # The other way round in another trip keeps the turns as they are.
            partner = random.randrange(len(blocks))
            block = blocks[partner]
            if partner != trip and new in block and old not in block:
                place = block.index(new)
                change += _replace(block, place, old, variants, turns, shared)
                undo.append((partner, place, new))
        if change <= 0 or random.random() < exp(-change / heat):
            cost += change
            if cost < best_cost:
                best, best_cost = [list(block) for block in blocks], cost
        else:
            for number, place, value in reversed(undo):
                _replace(blocks[number], place, value, variants, turns, shared)
    return best, best_cost


def _replace(
    block: list[int],
    at: int,
    new: int,
    weight: int,
    turns: list[int],
    shared: Sequence[list[int]],
) -> float:
    """Put another variant at a place of a block; the change in cost."""
    old = block[at]
    change = weight * 2 * (turns[new] - turns[old] + 1)
    turns[old] -= 1
    turns[new] += 1
    for i, one in enumerate(block):
        if i == at:
            continue
        change += 2 * (shared[one][new] - shared[one][old] + 1)
        for row, column in ((one, old), (old, one)):
            shared[row][column] -= 1
        for row, column in ((one, new), (new, one)):
            shared[row][column] += 1
    block[at] = new
    return float(change)
