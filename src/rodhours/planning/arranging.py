"""On which rod, in which part and in which order: the contents of the trips laid out.

Scope: a seeded search that swaps two turns of a trip, or two trips, over one stated sum of
squares. It counts its steps and never looks at a clock, so a seed always gives the same plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp
from random import Random

from rodhours.planning.contents import Contents

Grid = tuple[tuple[tuple[int, ...], ...], ...]
"""Trips, parts of a trip, rods: the variant of that turn."""

STARTS = 4
STEPS = 25_000
"""Swaps tried from each start, with up to FEW_RODS rods; fewer with more, each takes longer."""
FEW_RODS = 4
STEPS_A_TURN = 400
"""Small plans need no more steps than this for each of their turns."""
WARM, COLD = 25.0, 0.5
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

    def swap_turns(self, first: int, second: int) -> None:
        """Change two turns of one trip."""
        rows = {first // self.rods, second // self.rods}
        self._change([(first, second)], rows)

    def swap_trips(self, first: int, second: int) -> None:
        """Change two whole trips, where each is one part: only the order moves."""
        pairs = [(first * self.rods + rod, second * self.rods + rod) for rod in range(self.rods)]
        self._change(pairs, {first, second})

    def _change(self, pairs: Sequence[tuple[int, int]], rows: set[int]) -> None:
        touched = [index for pair in pairs for index in pair]
        for row in rows:
            self._count(row, -1)
        self._links(touched, -1)
        for one, other in pairs:
            self.cells[one], self.cells[other] = self.cells[other], self.cells[one]
        self._links(touched, +1)
        for row in rows:
            self._count(row, +1)

    def least_cost(self) -> float:
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

    def grid(self) -> Grid:
        """The layout as it stands."""
        width = self.parts * self.rods
        return tuple(
            tuple(
                tuple(self.cells[trip * width + part * self.rods :][: self.rods])
                for part in range(self.parts)
            )
            for trip in range(self.trips)
        )


def _dealt(total: int, cells: int) -> list[int]:
    """So many whole numbers with this total that differ by one at the most."""
    each, rest = divmod(total, cells)
    return [each] * (cells - rest) + [each + 1] * rest


def _even(total: int, cells: int) -> list[int]:
    """Their squares."""
    return [many * many for many in _dealt(total, cells)]


def arranged(
    contents: Contents,
    parts: int,
    rods: int,
    variants: int,
    random: Random,
    first: Grid | None = None,
    steps: int = STEPS,
) -> Grid:
    """The contents laid out over parts and rods, as evenly as the search finds.

    `first` is a layout to start from (a known design); it is taken as it is where nothing can be
    better, and never given up for a worse one.
    """
    best: Grid | None = None
    best_cost = float("inf")
    for start in range(STARTS):
        if start == 0 and first is not None:
            layout = _Layout(first, variants)
        else:
            layout = _Layout(_by_chance(contents, parts, rods, random), variants)
        goal = layout.least_cost()
        gently = start == 0 and first is not None
        grid, cost = _annealed(layout, goal, random, steps, gently)
        if cost < best_cost - 1e-9:
            best, best_cost = grid, cost
        if best_cost <= goal + 1e-9:
            break
    assert best is not None
    return best


def _by_chance(contents: Contents, parts: int, rods: int, random: Random) -> list[list[list[int]]]:
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


def _annealed(
    layout: _Layout, goal: float, random: Random, steps: int, gently: bool
) -> tuple[Grid, float]:
    """Swaps, taken where they make it better and at times where they do not, ever fewer."""
    best, best_cost = layout.grid(), layout.cost
    width = layout.parts * layout.rods
    warm = COLD if gently else WARM
    steps = min(steps, STEPS_A_TURN * len(layout.cells))
    steps = steps * FEW_RODS // max(layout.rods, FEW_RODS)
    for step in range(steps):
        if best_cost <= goal + 1e-9:
            break
        heat = warm * (COLD / warm) ** (step / steps)
        before = layout.cost
        trip = random.randrange(layout.trips)
        if layout.parts == 1 and layout.trips > 1 and random.random() < 0.2:
            swap, one, other = layout.swap_trips, trip, random.randrange(layout.trips)
            if one == other:
                continue
        else:
            swap = layout.swap_turns
            one, other = (trip * width + random.randrange(width) for _ in range(2))
            if layout.cells[one] == layout.cells[other]:
                continue
        swap(one, other)
        change = layout.cost - before
        if change > 0 and random.random() >= exp(-change / heat):
            swap(one, other)
        elif layout.cost < best_cost - 1e-9:
            best, best_cost = layout.grid(), layout.cost
    return best, best_cost
