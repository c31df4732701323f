"""Even blocks: which variants share a trip, so that all pairs do so as equally often as can be."""

from __future__ import annotations

from itertools import permutations
from math import comb, log
from random import Random

import numpy as np
from numpy.typing import NDArray

from rodhours.planning.balance import Counts, precisions
from rodhours.planning.design import Contents

EXCHANGES_A_TURN, MOST_EXCHANGES, HOT, COOL = 800, 60_000, 3.0, 0.12
"""Exchanges tried where blocks are made even, and the chance in taking a worse one."""


def evenness(on: Counts) -> tuple[Counts, NDArray[np.float64]]:
    """What blocks are compared by, less is better: how even, then how exact.

    on : plans, trips, variants; 1 where a trip has the variant.
    """
    _, trips, variants = on.shape
    together = on.swapaxes(1, 2) @ on
    turns = np.diagonal(together, axis1=1, axis2=2)
    size = int(on[0, 0].sum())
    cost = (variants - 0.5) * (turns**2).sum(axis=1) + 0.5 * (together**2).sum(axis=(1, 2))
    return cost.astype(np.int64) - _goal(trips, size, variants), -precisions(on).round(9)


def even_blocks(variants: int, size: int, trips: int, random: Random) -> Contents:
    """Blocks of different variants; a long season is whole rounds of the shortest even one.

    Of plans that are equally even the most exact is taken: some leave variants without a link.
    """
    a_round = shortest_even(variants, size)
    plans: list[Contents] = []

    def worth(plan: Contents) -> tuple[int, float]:
        on = np.array([[[one in block for one in range(variants)] for block in plan]]) * 1
        cost, inexact = evenness(on)
        return int(cost[0]), float(inexact[0])

    if a_round < trips:
        even = even_blocks(variants, size, a_round, random)
        if worth(even)[0] <= 0:
            rounds, rest = divmod(trips, a_round)
            tail = even_blocks(variants, size, rest, random) if rest else []
            plans = [even * rounds + tail]
            if not rest:
                return plans[0]
    while len(plans) < 4:
        plans.append(_exchanged(variants, size, trips, random))
    return min(plans, key=worth)


def shortest_even(variants: int, size: int) -> int:
    """The fewest trips in which turns and pairs can be equal, as far as counting goes.

    vr = bk, lambda (v - 1) = r (k - 1), and Fisher's inequality b >= v. Counting alone: some of
    these do not exist.
    """
    trips = variants
    while trips * size % variants or trips * size // variants * (size - 1) % (variants - 1):
        trips += 1
    return trips


def _exchanged(variants: int, size: int, trips: int, random: Random) -> Contents:
    """The evenest of two starts from blocks by chance: exchanges are kept where they make it
    better, and at times where they do not, ever fewer as it cools."""
    steps = min(EXCHANGES_A_TURN * trips * size, MOST_EXCHANGES)
    best, reached = [], float("inf")
    for _ in range(2):
        plan = Blocks([random.sample(range(variants), size) for _ in range(trips)], variants)
        for step in range(steps + 1):
            if plan.cost < reached:
                best, reached = [list(block) for block in plan.blocks], plan.cost
            if reached <= plan.goal:
                return best
            warmth = HOT * (COOL / HOT) ** (step / (steps + 1))
            may_rise = -log(1.0 - random.random()) * warmth
            before, undo = plan.cost, plan.change(random)
            if plan.cost - before > may_rise:
                for change in reversed(undo):
                    plan.replace(*change)
    return best


class Blocks:
    """Contents in which no trip has a variant twice, with turns and shared trips counted.

    Cost is the sum of squares of the pairs' shared trips and, weighted by the number of variants,
    of the variants' turns; no blocks have less than the goal, which may be out of reach.
    """

    def __init__(self, blocks: Contents, variants: int) -> None:
        self.blocks, self.variants = blocks, variants
        self.turns = [0] * variants
        self.shared = [[0] * variants for _ in range(variants)]
        for block in blocks:
            for variant in block:
                self.turns[variant] += 1
            for one, other in permutations(block, 2):
                self.shared[one][other] += 1
        self.cost = variants * sum(many * many for many in self.turns)
        self.cost += sum(many * many for row in self.shared for many in row) // 2
        self.goal = _goal(len(blocks), len(blocks[0]), variants)

    def change(self, random: Random) -> list[tuple[int, int, int]]:
        """One variant of a trip for another, mostly with the other way round in another trip; and
        what takes that back."""
        trip = random.randrange(len(self.blocks))
        at = random.randrange(len(self.blocks[trip]))
        new = random.randrange(self.variants)
        if new in self.blocks[trip]:
            return []
        old = self.blocks[trip][at]
        changed = [(trip, at, old)]
        self.replace(trip, at, new)
        if random.random() < 0.7:
            partner = random.randrange(len(self.blocks))
            block = self.blocks[partner]
            if partner != trip and new in block and old not in block:
                place = block.index(new)
                changed.append((partner, place, new))
                self.replace(partner, place, old)
        return changed

    def replace(self, trip: int, at: int, new: int) -> None:
        """Put another variant at a place of a trip."""
        block = self.blocks[trip]
        old = block[at]
        self.cost += self.variants * 2 * (self.turns[new] - self.turns[old] + 1)
        self.turns[old] -= 1
        self.turns[new] += 1
        for place, other in enumerate(block):
            if place == at:
                continue
            row = self.shared[other]
            self.cost += 2 * (row[new] - row[old] + 1)
            row[old] -= 1
            row[new] += 1
            self.shared[old][other] -= 1
            self.shared[new][other] += 1
        block[at] = new


def _goal(trips: int, size: int, variants: int) -> int:
    """The cost that no blocks are below."""
    turns = _least_squares(trips * size, variants)
    return variants * turns + _least_squares(trips * comb(size, 2), comb(variants, 2))


def _least_squares(total: int, cells: int) -> int:
    """The least sum of squares of so many whole numbers with this total."""
    each, rest = divmod(total, cells)
    return (cells - rest) * each * each + rest * (each + 1) ** 2
