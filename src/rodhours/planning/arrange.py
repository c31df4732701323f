"""Which variants share each trip, and on which rod, in which part and order: the seeded search.

Scope: first the contents of the trips, so that all pairs share trips equally often, and their
order, so that this holds early on too; then their turns laid out in rounds in which each variant
meets each rod equally often. It counts its steps and never looks at a clock, so a seed always
gives the same plan.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from itertools import combinations
from math import comb, gcd, log
from random import Random
from typing import Any, Protocol

import numpy as np

from rodhours.planning.balance import Counts, Grid, measures, relative_precision

Contents = list[list[int]]
"""A list for each trip: the variants of its turns, in no order, repeated where they are."""
Pairs = list[tuple[int, int]]
Undo = Callable[[], None]

STARTS, CONTENT_STARTS, CANDIDATES = 5, 2, 4
STEPS = 25_000
"""Swaps tried from each start, with up to FEW_RODS rods; fewer with more, each takes longer."""
RODS_SWAPPED, TRIPS_SWAPPED, CHAINED = 0.1, 0.2, 0.6
"""How often two rods or two stretches of trips are swapped rather than two turns, and how often
further trips of the round have theirs swapped so that each rod keeps its variants."""
CONTENT_STEPS_A_TURN, MOST_CONTENT_STEPS = 800, 60_000
"""Exchanges between trips tried from each start."""
FEW_RODS = 4
STEPS_A_TURN = 600
"""Small plans need no more steps than this for each of their turns."""
WIDTH, NOISE, MOST_BLOCKS = 60, 4.0, 300
"""Beginnings of a season kept after each trip, the chance in their ranking, and how many different
trips may be chosen from."""
WARM, COLD = 25.0, 1.0
CONTENT_WARM, CONTENT_COLD = 3.0, 0.12
TWICE_AT_ONCE = 400
"""Weight of one variant on two rods at once."""
RODS = PARTS = 20
"""Weights of turns on a rod, and in a part of the trip."""
IN_ROUND = 10
"""Weight of turns on a rod within each round of trips."""
SIDES = 3
"""Weight of pairs that are in the water at the same time."""
ALIKE = 10
"""Weight of pairs of rods that fish the same variant."""
ORDER = 2
"""Weight of the order in which variants follow one another on a rod."""
STAYS = 3
"""A variant that stays on its rod costs so many times what another one there does."""


def trip_contents(variants: int, turns: int, trips: int, random: Random) -> Contents:
    """Contents of each trip, of so many turns (rods times parts), as even as the search finds.

    With at least as many turns as variants, all are on every trip, and the turns left over are
    shared out as blocks of their own.
    """
    whole, extra = divmod(turns, variants)
    everyone = list(range(variants)) * whole
    if extra == 0:
        return [list(everyone) for _ in range(trips)]

    return [everyone + block for block in _dealt_in_order(variants, extra, trips, random)]


def _dealt_in_order(variants: int, size: int, trips: int, random: Random) -> Contents:
    """Blocks in an order in which a season cut short is even too, as far as the search finds.

    Any blocks may do; where these are not even both at the end and before, the evenest blocks are
    put in order. What is even at the end goes first.
    """
    early, dealt = _Early(trips, variants, size), []
    if comb(variants, size) <= MOST_BLOCKS:
        any_blocks = [list(block) for block in combinations(range(variants), size)]
        for weight in (variants, 0.1):
            dealt.append(_beam(any_blocks, [trips] * len(any_blocks), weight, early, random))
    even = [one for one in dealt if one[2] == 0 and _Blocks(one[3], variants).is_even()]
    if not even:
        blocks = _blocks(variants, size, trips, random)
        for weight in (variants, 0.1):
            dealt.append(_beam(blocks, [1] * trips, weight, early, random))
    return min(even or dealt, key=lambda one: one[:3])[3]


Dealt = tuple[float, float, float, Contents]
"""Cost, precision (less is better), by how much it is uneven early on, and the blocks."""


def _beam(
    blocks: Contents, times: list[int], weight: float, early: _Early, random: Random
) -> Dealt:
    """Blocks trip by trip, each so many times at the most: of all beginnings the evenest are kept.

    The weight is that of turns beside pairs, where nothing is uneven beyond what is allowed.
    """
    chance = np.random.default_rng(random.getrandbits(32))
    adds = early.counts(np.array([[one in block for one in early.names] for block in blocks]) * 1)
    weights = np.where(np.arange(adds.shape[1]) < len(early.names), weight, 1.0)
    after, left = np.zeros((1, adds.shape[1]), dtype=np.int64), np.array([times])
    over, chosen = np.zeros(1), np.zeros((1, 0), dtype=np.int64)
    for trip in range(early.trips):
        ahead = after[:, None] + adds
        total = over[:, None] + early.over(ahead, trip)
        rank = total * 1e6 + (ahead * ahead) @ weights + NOISE * chance.random(total.shape)
        rank[left == 0] = np.inf
        best = np.argsort(rank, axis=None)[: min(4 * WIDTH, int((left > 0).sum()))]
        _, first = np.unique(ahead.reshape(-1, adds.shape[1])[best], axis=0, return_index=True)
        kept, block = np.divmod(best[np.sort(first)[:WIDTH]], len(blocks))
        after, over, left = ahead[kept, block], total[kept, block], left[kept]
        left[np.arange(len(kept)), block] -= 1
        chosen = np.hstack([chosen[kept], block[:, None]])
    found = []
    for uneven, choice in zip(over, chosen, strict=True):
        plan = [list(blocks[at]) for at in choice]
        found.append((*_worth(plan, len(early.names)), float(uneven), plan))
    return min(found, key=lambda one: one[:3])


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

    steps = min(CONTENT_STEPS_A_TURN * trips * size, MOST_CONTENT_STEPS)
    heats = CONTENT_WARM, CONTENT_COLD
    for _ in range(CANDIDATES):
        if trips % a_round == 0 and plans and _Blocks(plans[-1], variants).is_even():
            break
        plans.append(_searched(by_chance, CONTENT_STARTS, steps, heats, random))
    return min(plans, key=lambda plan: _worth(plan, variants))


def _worth(plan: Contents, variants: int) -> tuple[float, float]:
    """What blocks are compared by, less is better: how even, then how exact."""
    return _Blocks(plan, variants).cost, -round(relative_precision(plan, variants) or 0.0, 9)


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

    Some starts heed the rounds; of all, what is even at the end goes first, then the rounds.
    The order of the trips changes only where a season cut short stays as even. A `reference` is
    one that is on every trip by design.
    """
    steps = min(steps, STEPS_A_TURN * len(contents) * parts * rods)
    steps = steps * FEW_RODS // max(rods, FEW_RODS)
    always = reference is not None
    names = [one for one in range(variants) if one != reference]
    early = _Early(len(contents), len(names), parts * rods - always, names)

    found: list[tuple[float, float, Grid]] = []
    for start in range(STARTS):
        heeded = start % 2 == 0

        def by_chance(heeded: bool = heeded) -> _Layout:
            return _Layout(_dealt_out(contents, parts, rods, random), variants, early, heeded)

        grid: Grid = _searched(by_chance, 1, steps, (WARM, COLD), random)
        above = sum(
            max(one.difference - one.least_difference, 0)
            for one in measures(grid, variants, reference)
        )
        reached = above, _Layout(grid, variants, early).over_rounds()
        again = reached in [one[:2] for one in found]
        found.append((*reached, grid))
        # Two starts that come to the same are hardly bettered by a third.
        if again or not any(reached):
            break
    return min(found, key=lambda one: one[:2])[-1]


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
) -> Any:
    """The best of several starts: changes are kept where they make it better, and at times where
    they do not, ever fewer as it cools."""
    best, reached = None, float("inf")
    warm, cold = heats
    for _ in range(starts):
        plan = by_chance()
        for step in range(steps + 1):
            if plan.cost < reached - 1e-6:
                best, reached = plan.copy(), plan.cost
            if reached <= plan.goal + 1e-6:
                return best
            may_rise = -log(1.0 - random.random()) * warm * (cold / warm) ** (step / (steps + 1))
            before = plan.cost
            undo = plan.change(random)
            if undo is not None and plan.cost - before > may_rise:
                undo()
    return best


class _Early:
    """How even trips are that were fished so far: turns, and pairs that share a trip, may differ
    by one more than counting allows. `size` is that of a trip, `names` those who share it out."""

    def __init__(
        self, trips: int, variants: int, size: int, names: Sequence[int] | None = None
    ) -> None:
        self.trips, self.names = trips, np.arange(variants) if names is None else np.array(names)
        self.whole, extra = divmod(size, variants)
        self.differs, self.turns = extra > 0, size
        self.pairs = np.triu_indices(variants, 1)
        after = np.arange(1, trips + 1)
        even_pairs = shortest_even(variants, extra) if extra else 1
        self.allowed = [2 - (after * extra % variants == 0), 2 - (after % even_pairs == 0)]

    def counts(self, on: Counts) -> Counts:
        """Of trips (rows) that have some variants (columns): those, and their pairs."""
        return np.hstack([on, on[:, self.pairs[0]] * on[:, self.pairs[1]]])

    def over(self, counts: Counts, trip: int | slice) -> Counts:
        """By how much counts (last axis) after some trips differ by more than they may."""
        both = np.split(counts, [len(self.names)], axis=-1)
        spread = [one.max(axis=-1) - one.min(axis=-1) for one in both]
        turns, pairs = (np.maximum(spread[at] - self.allowed[at][trip], 0) for at in (0, 1))
        return np.asarray(turns + pairs)

    def of_cells(self, cells: Sequence[int]) -> int:
        """The whole of it, of the turns of all trips."""
        turns = (np.array(cells).reshape(self.trips, -1, 1) == self.names).sum(axis=1)
        after = self.counts(turns - self.whole).cumsum(axis=0)
        return int(self.over(after, slice(None)).sum())


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

    def __init__(
        self,
        grid: Sequence[Sequence[Sequence[int]]],
        variants: int,
        early: _Early,
        heeded: bool = True,
    ) -> None:
        self.trips, self.parts, self.rods = len(grid), len(grid[0]), len(grid[0][0])
        self.variants, self.early = variants, early
        # The fewest trips in which all can be on each rod equally often; a reference that is on
        # every trip needs as many as there are rods.
        shared_out = len(early.names) * self.rods
        self.round = shared_out // gcd(shared_out, early.turns)
        self.rounds = [self.round if one in early.names else self.rods for one in range(variants)]
        self.cells = [one for trip in grid for part in trip for one in part]
        self.at_once = [0] * (self.trips * self.parts * variants)
        self.on_rod = [0] * (variants * self.rods)
        self.round_weight = IN_ROUND * heeded
        self.in_round = [0] * (self.trips * variants * self.rods)
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
        self.uneven = early.of_cells(self.cells) if early.differs else 0
        self.goal = self._least_cost()

    def _count(self, row: int, sign: int) -> None:
        """Take the turns of one part of a trip in or out, but for their order."""
        trip, part = divmod(row, self.parts)
        turns = self.cells[row * self.rods : (row + 1) * self.rods]
        for rod, one in enumerate(turns):
            self._bump(self.at_once, row * self.variants + one, sign, TWICE_AT_ONCE)
            self._bump(self.on_rod, one * self.rods + rod, sign, RODS)
            in_round = (trip // self.rounds[one] * self.variants + one) * self.rods + rod
            self._bump(self.in_round, in_round, sign, self.round_weight)
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
        """Two turns of a trip swapped, mostly with others of its round, so that rods keep their
        variants; or two rods over some rounds; or two stretches of trips."""
        move = random.random()
        if move < RODS_SWAPPED and self.rods > 1:
            pairs = self._two_rods(random)
        elif move < RODS_SWAPPED + TRIPS_SWAPPED and self.parts == 1:
            return self._two_stretches(random)
        else:
            pairs = self._two_turns(random)
        pairs = [(one, other) for one, other in pairs if self.cells[one] != self.cells[other]]
        if not pairs:
            return None
        self._swap(pairs)
        return partial(self._swap, pairs)

    def _two_rods(self, random: Random) -> Pairs:
        """Two rods over some rounds, or parts where there are swaps: their own orders stay."""
        rows = self.trips * self.parts
        first, second = random.sample(range(self.rods), 2)
        step = self.round if self.parts == 1 else 1
        start, stop = sorted(random.choices(range(0, rows, step), k=2))
        return [
            (row * self.rods + first, row * self.rods + second)
            for row in range(start, min(stop + step, rows))
        ]

    def _two_turns(self, random: Random) -> Pairs:
        """Two turns of a trip, and on from the trip where the first one's rod has that variant
        already, until its rod has lost none."""
        width = self.parts * self.rods
        first, second = random.randrange(width), random.randrange(width)
        trip = random.randrange(self.trips)
        pairs = [(trip * width + first, trip * width + second)]
        if random.random() < CHAINED / self.parts:
            start = trip - trip % self.round
            others = {
                self.cells[other * width + first]: other
                for other in range(start, min(start + self.round, self.trips))
                if other != trip
            }
            lost, gained = self.cells[pairs[0][0]], self.cells[pairs[0][1]]
            while gained != lost and gained in others:
                at = others.pop(gained) * width
                pairs.append((at + first, at + second))
                gained = self.cells[at + second]
        return pairs

    def _two_stretches(self, random: Random) -> Undo | None:
        """Two stretches of trips that follow one another the other way round: within a round, or
        whole rounds; None where a season cut short would be less even."""
        cuts = range(0, self.trips + 1, self.round)
        if random.random() < 0.5 or len(cuts) < 3:
            low = random.randrange(0, self.trips, self.round)
            cuts = range(low, min(low + self.round, self.trips) + 1)
        if len(cuts) < 3:
            return None
        first, middle, last = sorted(random.sample(cuts, 3))
        if self.early.differs:
            turned = self._turned(*(at * self.rods for at in (first, middle, last)))
            if self.early.of_cells(turned) > self.uneven:
                return None
        self._turn(first, middle, last)
        return partial(self._turn, first, first + last - middle, last)

    def _turned(self, start: int, cut: int, stop: int) -> list[int]:
        cells = self.cells
        return cells[:start] + cells[cut:stop] + cells[start:cut] + cells[stop:]

    def _turn(self, first: int, middle: int, last: int) -> None:
        start, cut, stop = (at * self.rods for at in (first, middle, last))
        self._ends((start, cut, stop), -1)
        for row in range(first, last):
            self._count(row, -1)
        self.cells = self._turned(start, cut, stop)
        for row in range(first, last):
            self._count(row, +1)
        self._ends((start, start + stop - cut, stop), +1)

    def _ends(self, ends: Sequence[int], sign: int) -> None:
        """Take the orders over some ends between trips in or out."""
        for end in ends:
            if 0 < end < len(self.cells):
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

    def over_rounds(self) -> int:
        """By how much turns on rods are less even within rounds than they may be."""
        return sum(many * many for many in self.in_round) - self._even_rounds()

    def _even_rounds(self) -> int:
        shared_out = range(0, len(self.in_round), self.rods)
        return sum(
            sum(_even(sum(self.in_round[at : at + self.rods]), self.rods)) for at in shared_out
        )

    def _least_cost(self) -> float:
        """A cost that no plan with these contents goes below; it may not be within reach."""
        turns = [0] * self.variants
        for one in self.cells:
            turns[one] += 1
        least = float(TWICE_AT_ONCE * sum(_even(self.rods, self.variants))) * (
            self.trips * self.parts
        )
        least += RODS * sum(sum(_even(many, self.rods)) for many in turns)
        least += self.round_weight * self._even_rounds()
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
    for block in contents:
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
