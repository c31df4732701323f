"""Which variants share each trip, and on which rod, in which part and order: the seeded search.

Scope: first the contents of the trips, so that all pairs share trips equally often, then their
turns laid out; each over one stated sum of squares. It counts its steps and never looks at a
clock, so a seed always gives the same plan.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from itertools import combinations
from math import log
from random import Random
from typing import Any, Protocol

import numpy as np

from rodhours.planning.balance import Counts, Grid, relative_precision

Contents = list[list[int]]
"""A list for each trip: the variants of its turns, in no order, repeated where they are."""
Pairs = list[tuple[int, int]]
Undo = Callable[[], None]

STARTS, CONTENT_STARTS, CANDIDATES = 10, 2, 4
STEPS = 25_000
"""Swaps tried from each start, with up to FEW_RODS rods; fewer with more, each takes longer."""
RODS_SWAPPED, TRIPS_SWAPPED, PAIRED = 0.15, 0.2, 0.5
"""How often two rods or two stretches of trips are swapped rather than two turns, and how often
two trips both have their turns swapped."""
CONTENT_STEPS_A_TURN, MOST_CONTENT_STEPS = 800, 60_000
"""Exchanges between trips tried from each start."""
FEW_RODS = 4
STEPS_A_TURN = 600
"""Small plans need no more steps than this for each of their turns."""
ORDERS = 3_000
"""Orders of the trips tried where nothing else depends on it."""
WARM, COLD = 25.0, 1.0
CONTENT_WARM, CONTENT_COLD = 3.0, 0.12
TWICE_AT_ONCE = 400
"""Weight of one variant on two rods at once."""
RODS = PARTS = 20
"""Weights of turns on a rod, and in a part of the trip."""
SIDES = 3
"""Weight of pairs that are in the water at the same time."""
ALIKE = 10
"""Weight of pairs of rods that fish the same variant."""
ORDER = 2
"""Weight of the order in which variants follow one another on a rod."""
STAYS = 3
"""A variant that stays on its rod costs so many times what another one there does."""
CUT_SHORT = 6
"""Weight of each count by which a season that ends early would be less even than it may be."""


def trip_contents(variants: int, turns: int, trips: int, random: Random) -> Contents:
    """Contents of each trip, of so many turns (rods times parts), as even as the search finds.

    With at least as many turns as variants, all are on every trip, and the turns left over are
    shared out as blocks of their own.
    """
    whole, extra = divmod(turns, variants)
    everyone = list(range(variants)) * whole
    if extra == 0:
        return [list(everyone) for _ in range(trips)]

    blocks = _blocks(variants, extra, trips, random)
    return [everyone + block for block in random.sample(blocks, trips)]


def _blocks(variants: int, size: int, trips: int, random: Random) -> Contents:
    """Blocks of different variants; a long season is whole rounds of the shortest even one.

    Of plans that are equally even the most exact is taken: some leave variants without a link.
    """
    a_round = shortest_even(variants, size)
    plans: list[Contents] = []
    if a_round < trips:
        even = _blocks(variants, size, a_round, random)
        if _Blocks(even, variants).is_even():
            rounds, rest = divmod(trips, a_round)
            plans.append(even * rounds + (_blocks(variants, size, rest, random) if rest else []))

    def by_chance() -> _Blocks:
        return _Blocks([random.sample(range(variants), size) for _ in range(trips)], variants)

    def worth(plan: Contents) -> tuple[float, float]:
        return _Blocks(plan, variants).cost, -(relative_precision(plan, variants) or 0.0)

    steps = min(CONTENT_STEPS_A_TURN * trips * size, MOST_CONTENT_STEPS)
    heats = CONTENT_WARM, CONTENT_COLD
    for _ in range(CANDIDATES):
        if trips % a_round == 0 and plans and _Blocks(plans[-1], variants).is_even():
            break
        plans.append(_searched(by_chance, CONTENT_STARTS, steps, heats, random))
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


def with_reference(
    variants: int, reference: int, turns: int, trips: int, random: Random
) -> Contents:
    """Contents where the reference is on every trip once and the others share what is left."""
    others = [variant for variant in range(variants) if variant != reference]
    blocks = trip_contents(len(others), turns - 1, trips, random)
    return [[reference, *(others[at] for at in block)] for block in blocks]


def arranged(
    contents: Contents,
    parts: int,
    rods: int,
    variants: int,
    random: Random,
    steps: int = STEPS,
    reference: int | None = None,
) -> Grid:
    """The contents laid out over trips, parts and rods, as evenly as the search finds.

    As even as can be at the end first, then wherever the season may end before. A `reference` is
    one that is on every trip by design.
    """
    steps = min(steps, STEPS_A_TURN * len(contents) * parts * rods)
    steps = steps * FEW_RODS // max(rods, FEW_RODS)
    early = _EarlyOn(len(contents), parts, rods, variants, reference)

    def by_chance() -> _Layout:
        return _Layout(_dealt_out(contents, parts, rods, random), variants)

    beside = early.cost if parts == 1 else _nothing
    grid: Grid = _searched(by_chance, STARTS, steps, (WARM, COLD), random, beside)
    return grid if parts == 1 else _ordered(_Layout(grid, variants), early, random)


def _ordered(layout: _Layout, early: _EarlyOn, random: Random) -> Grid:
    """The trips in an order that is even early on: with swaps nothing else depends on it."""
    short = early.cost(layout)
    for _ in range(ORDERS if layout.trips > 1 else 0):
        if not short:
            break
        undo = layout.turn(random)
        now = early.cost(layout)
        if now > short:
            undo()
        else:
            short = now
    return layout.copy()


def _nothing(_: Any) -> float:
    return 0.0


class _Plan(Protocol):
    """Something that is changed at random: its cost, and the least that cost can be."""

    cost: float
    goal: float

    def change(self, random: Random) -> Undo | None:
        """A small change, and what takes it back; None where nothing was changed."""

    def copy(self) -> Any:
        """It as it stands."""


def _searched(
    by_chance: Callable[[], _Plan],
    starts: int,
    steps: int,
    heats: tuple[float, float],
    random: Random,
    beside: Callable[[Any], float] = _nothing,
) -> Any:
    """The best of several starts: changes are kept where they make it better, and at times where
    they do not, ever fewer as it cools. Of plans of the same cost, that of least cost `beside`;
    every other start heeds that on its way too, where the cost alone would let a change pass."""
    best, reached = None, (float("inf"), 0.0)
    warm, cold = heats
    for start in range(starts):
        plan, heeded = by_chance(), start % 2 == 0
        extra = beside(plan)
        if best is None:
            best, reached = plan.copy(), (plan.cost, extra)
        for step in range(steps):
            if reached[0] <= plan.goal + 1e-6 and not reached[1]:
                return best
            may_rise = -log(1.0 - random.random()) * warm * (cold / warm) ** (step / steps)
            before = plan.cost
            undo = plan.change(random)
            if undo is None:
                continue
            rise = plan.cost - before
            now = beside(plan) if heeded and rise <= may_rise else extra
            if rise + now - extra > may_rise:
                undo()
                continue
            extra, cost = now, round(plan.cost, 6)
            if cost > reached[0]:
                continue
            found = cost, extra if heeded else beside(plan)
            if found < reached:
                best, reached = plan.copy(), found
    return best


class _EarlyOn:
    """How even a plan is after each trip: counts may differ by one more than counting allows."""

    def __init__(
        self, trips: int, parts: int, rods: int, variants: int, reference: int | None
    ) -> None:
        self.shape, self.names, self.reference = (
            (trips, parts, rods),
            np.arange(variants),
            reference,
        )
        self.others = np.array([one for one in range(variants) if one != reference])
        many, turns = len(self.others), parts * rods - (reference is not None)
        self.pairs = self.others[list(combinations(range(many), 2))].T
        after, self.differs = np.arange(1, trips + 1), turns % many > 0
        # In the order of `_counts`: what is shared out after each trip, and over how many.
        shared_out = [(after * turns, many * rods)] if rods > 1 else []
        if rods > 1 and reference is not None:
            shared_out.append((after, rods))
        if self.differs:
            shared_out += [(after * turns, many), (after, shortest_even(many, turns % many))]
        self.allowed = [2 - (total % cells == 0) for total, cells in shared_out]

    def cost(self, layout: _Layout) -> float:
        """Of all counts after all trips, how far they differ by more than they may."""
        over = 0
        for counts, allowed in zip(self._counts(layout.cells), self.allowed, strict=True):
            after = counts.cumsum(axis=0)
            over += np.maximum(after.max(axis=1) - after.min(axis=1) - allowed, 0).sum()
        return CUT_SHORT * float(over)

    def _counts(self, cells: Sequence[int]) -> list[Counts]:
        """Of each trip: turns on each rod, the reference's, turns, and pairs that share it."""
        trips, _, rods = self.shape
        by_rod = (np.array(cells).reshape(self.shape)[..., None] == self.names).sum(axis=1)
        counts = [by_rod[..., self.others].reshape(trips, -1)] if rods > 1 else []
        if rods > 1 and self.reference is not None:
            counts.append(by_rod[..., self.reference])
        if self.differs:
            turns = by_rod.sum(axis=1)
            one, other = (turns[:, self.pairs] > 0).swapaxes(0, 1)
            counts += [turns[:, self.others], one & other]
        return counts


class _Blocks:
    """Contents in which no trip has a variant twice, with turns and shared trips counted.

    Cost is the sum of squares of the pairs' shared trips and, weighted by the number of variants,
    of the variants' turns.
    """

    def __init__(self, blocks: Contents, variants: int) -> None:
        self.blocks, self.variants = blocks, variants
        self.turns = [0] * variants
        self.shared = [[0] * variants for _ in range(variants)]
        for block in blocks:
            for variant in block:
                self.turns[variant] += 1
            for one, other in combinations(block, 2):
                self.shared[one][other] += 1
                self.shared[other][one] += 1
        self.cost = float(variants * sum(many * many for many in self.turns))
        self.cost += sum(many * many for row in self.shared for many in row) / 2
        trips, size = len(blocks), len(blocks[0])
        self.goal: float = variants * sum(_even(trips * size, variants))
        self.goal += sum(_even(trips * size * (size - 1) // 2, variants * (variants - 1) // 2))

    def change(self, random: Random) -> Undo | None:
        """One variant of a trip for another, mostly with the other way round in another trip."""
        trip = random.randrange(len(self.blocks))
        at = random.randrange(len(self.blocks[trip]))
        new = random.randrange(self.variants)
        if new in self.blocks[trip]:
            return None
        old = self.blocks[trip][at]
        changed = [(trip, at, old)]
        self._replace(trip, at, new)
        if random.random() < 0.7:
            partner = random.randrange(len(self.blocks))
            block = self.blocks[partner]
            if partner != trip and new in block and old not in block:
                place = block.index(new)
                changed.append((partner, place, new))
                self._replace(partner, place, old)

        def undo() -> None:
            for change in reversed(changed):
                self._replace(*change)

        return undo

    def _replace(self, trip: int, at: int, new: int) -> None:
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

    def is_even(self) -> bool:
        """Whether counting allows nothing better."""
        return self.cost <= self.goal

    def copy(self) -> Contents:
        """The contents as they stand."""
        return [list(block) for block in self.blocks]


class _Layout:
    """A grid with the counts of its balance; cost is the weighted sum of their squares.

    The totals of all counts are fixed (but for stays), so that the least sum of squares is the
    most even plan.
    """

    def __init__(self, grid: Sequence[Sequence[Sequence[int]]], variants: int) -> None:
        self.trips, self.parts, self.rods = len(grid), len(grid[0]), len(grid[0][0])
        self.variants = variants
        self.cells = [one for trip in grid for part in trip for one in part]
        self.at_once = [0] * (self.trips * self.parts * variants)
        self.on_rod = [0] * (variants * self.rods)
        self.in_part = [0] * (variants * self.parts)
        self.beside = [0] * (variants * variants)
        self.alike = [0] * (self.rods * self.rods)
        self.after = [0] * (variants * variants)
        links = self.rods * (
            self.trips * (self.parts - 1) if self.parts > 1 else max(self.trips - 1, 0)
        )
        self.even_order = links / (variants * max(variants - 1, 1))
        self.cost = 0.0
        for row in range(self.trips * self.parts):
            self._count(row, +1)
        for index in range(len(self.cells)):
            follower = self._follower(index)
            if follower is not None:
                self._link(index, follower, +1)
        self.goal = self._least_cost()

    def _count(self, row: int, sign: int) -> None:
        """Take the turns of one part of a trip in or out, but for their order."""
        part = row % self.parts
        turns = self.cells[row * self.rods : (row + 1) * self.rods]
        for rod, one in enumerate(turns):
            self._bump(self.at_once, row * self.variants + one, sign, TWICE_AT_ONCE)
            self._bump(self.on_rod, one * self.rods + rod, sign, RODS)
            if self.parts > 1:
                self._bump(self.in_part, one * self.parts + part, sign, PARTS)
        if self.parts > 1 or self.rods > self.variants:
            self._pairs(turns, sign)

    def _pairs(self, row: Sequence[int], sign: int) -> None:
        for rod, one in enumerate(row):
            for other_rod in range(rod + 1, self.rods):
                other = row[other_rod]
                if one == other:
                    self._bump(self.alike, rod * self.rods + other_rod, sign, ALIKE)
                else:
                    low, high = (one, other) if one < other else (other, one)
                    self._bump(self.beside, low * self.variants + high, sign, SIDES)

    def _bump(self, counts: list[int], at: int, sign: int, weight: float) -> None:
        many = counts[at]
        counts[at] = many + sign
        self.cost += weight * (2 * many * sign + 1)

    def _follower(self, index: int) -> int | None:
        """The turn that comes next on the same rod: within the trip where there are swaps."""
        following = index + self.rods
        if self.parts > 1:
            part = index // self.rods % self.parts
            return following if part < self.parts - 1 else None
        return following if following < len(self.cells) else None

    def _link(self, index: int, follower: int, sign: int) -> None:
        before, after = self.cells[index], self.cells[follower]
        at = before * self.variants + after
        many = self.after[at]
        self.after[at] = many + sign
        if before == after:
            self.cost += ORDER * STAYS * (2 * many * sign + 1 + 2 * sign * self.even_order)
        else:
            self.cost += ORDER * (2 * many * sign + 1)

    def _links(self, indices: Sequence[int], sign: int) -> None:
        """Take the orders around some turns in or out, each once."""
        starts = set()
        for index in indices:
            before = index - self.rods
            if before >= 0 and self._follower(before) == index:
                starts.add(before)
            if self._follower(index) is not None:
                starts.add(index)
        for start in starts:
            self._link(start, start + self.rods, sign)

    def change(self, random: Random) -> Undo | None:
        """Two turns of a trip swapped, mostly with the other way round in another trip; or two
        rods over some parts in a row; or two stretches of trips where each is one part."""
        move = random.random()
        if move < RODS_SWAPPED and self.rods > 1:
            pairs = self._two_rods(random)
        elif move < RODS_SWAPPED + TRIPS_SWAPPED and self.parts == 1 < self.trips:
            return self.turn(random)
        else:
            pairs = self._two_turns(random)
        pairs = [(one, other) for one, other in pairs if self.cells[one] != self.cells[other]]
        if not pairs:
            return None
        self._swap(pairs)
        return partial(self._swap, pairs)

    def _two_rods(self, random: Random) -> Pairs:
        """Two rods from one part to another: their own orders stay, but for the ends."""
        rows = self.trips * self.parts
        first, second = random.sample(range(self.rods), 2)
        start, stop = sorted((random.randrange(rows), random.randrange(rows)))
        return [
            (row * self.rods + first, row * self.rods + second) for row in range(start, stop + 1)
        ]

    def _two_turns(self, random: Random) -> Pairs:
        """Two turns of a trip, and a trip with the same two the other way round."""
        width = self.parts * self.rods
        first, second = random.randrange(width), random.randrange(width)
        start = random.randrange(self.trips)
        pairs = [(start * width + first, start * width + second)]
        if random.random() < PAIRED:
            reversed_turns = self.cells[pairs[0][1]], self.cells[pairs[0][0]]
            for trip in (*range(start + 1, self.trips), *range(start)):
                one, other = trip * width + first, trip * width + second
                if (self.cells[one], self.cells[other]) == reversed_turns:
                    return [*pairs, (one, other)]
        return pairs

    def turn(self, random: Random) -> Undo:
        """Two stretches of trips that follow one another the other way round."""
        first, middle, last = sorted(random.sample(range(self.trips + 1), 3))
        self._turn(first, middle, last)
        return partial(self._turn, first, first + last - middle, last)

    def _turn(self, first: int, middle: int, last: int) -> None:
        start, cut, stop = (at * self.parts * self.rods for at in (first, middle, last))
        self._ends((start, cut, stop), -1)
        self.cells[start:stop] = self.cells[cut:stop] + self.cells[start:cut]
        self._ends((start, start + stop - cut, stop), +1)

    def _ends(self, ends: Sequence[int], sign: int) -> None:
        """Take the orders over some ends between trips in or out, where there are no swaps."""
        for end in ends:
            if self.parts == 1 and 0 < end < len(self.cells):
                for at in range(end - self.rods, end):
                    self._link(at, at + self.rods, sign)

    def _swap(self, pairs: Sequence[tuple[int, int]]) -> None:
        touched = [index for pair in pairs for index in pair]
        rows = {index // self.rods for index in touched}
        for row in rows:
            self._count(row, -1)
        self._links(touched, -1)
        for one, other in pairs:
            self.cells[one], self.cells[other] = self.cells[other], self.cells[one]
        self._links(touched, +1)
        for row in rows:
            self._count(row, +1)

    def _least_cost(self) -> float:
        """A cost that no plan with these contents goes below; it may not be within reach."""
        turns = [0] * self.variants
        for one in self.cells:
            turns[one] += 1
        least = float(TWICE_AT_ONCE * sum(_even(self.rods, self.variants))) * (
            self.trips * self.parts
        )
        least += RODS * sum(sum(_even(many, self.rods)) for many in turns)
        if self.parts > 1:
            least += PARTS * sum(sum(_even(many, self.parts)) for many in turns)
        pairs = self.variants * (self.variants - 1)
        if self.parts > 1 or self.rods > self.variants:
            of_rods = self.rods * (self.rods - 1) // 2
            doubled = sum(many * (many - 1) // 2 for many in _dealt(self.rods, self.variants))
            times = self.trips * self.parts
            least += ALIKE * sum(_even(times * doubled, max(of_rods, 1)))
            least += SIDES * sum(_even(times * (of_rods - doubled), max(pairs // 2, 1)))
        return least + ORDER * sum(_even(sum(self.after), max(pairs, 1)))

    def copy(self) -> Grid:
        """The layout as it stands."""
        width = self.parts * self.rods
        return tuple(
            tuple(
                tuple(self.cells[trip * width + part * self.rods :][: self.rods])
                for part in range(self.parts)
            )
            for trip in range(self.trips)
        )


def _dealt_out(contents: Contents, parts: int, rods: int, random: Random) -> list[list[list[int]]]:
    """Each trip's turns at random, the repeated ones spread over its parts."""
    grid = []
    for block in random.sample(contents, len(contents)):
        # Sorted after a shuffle, dealt out part by part: a variant's turns fall in different parts.
        order = random.sample(block, len(block))
        names = random.sample(sorted(set(block)), len(set(block)))
        order.sort(key=names.index)
        trip = [order[part::parts] for part in range(parts)]
        grid.append([random.sample(row, rods) for row in random.sample(trip, parts)])
    return grid


def _dealt(total: int, cells: int) -> list[int]:
    """So many whole numbers with this total that differ by one at the most."""
    each, rest = divmod(total, cells)
    return [each] * (cells - rest) + [each + 1] * rest


def _even(total: int, cells: int) -> list[int]:
    """Their squares."""
    return [many * many for many in _dealt(total, cells)]
