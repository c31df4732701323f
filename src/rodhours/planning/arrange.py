"""Which variants share each trip, and on which rod, in which part and order: the seeded search.

Scope: a season is dealt trip by trip, and of all its beginnings those are kept that are evenest so
far and differ in more than the names of variants; so a season cut short is balanced too. Nothing
looks at a clock: a seed always gives the same plan.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, permutations
from math import comb, log, perm
from random import Random
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.random import Generator
from numpy.typing import NDArray

from rodhours.planning.balance import STAYS, Counts, Grid, laid_out, relative_precision

Contents = list[list[int]]
"""Blocks, one for each trip: the variants that have a turn more than others, in no order."""
Marks = NDArray[np.uint64]
Floats = NDArray[np.float64]
Worth = Callable[[Counts], tuple[Floats, Floats]]
"""Of seasons: what a change is judged by as it cools, and what they are compared by; less is
better."""

STARTS = 8
KEPT = ((15, 8), (40, 20), (5, 24), (15, 24))
"""Beginnings kept after each trip, start by start: of how many kinds, by the trips shared, and how
many of each kind. In the second of these contents are dealt alone, of as many kinds as ALONE."""
ALONE, AHEAD = 500, 6
"""For each that is kept so many contents are looked at: some of them come to the same."""
NOISE, UNEVEN, ABOVE = 4.0, 1e7, 1e5
"""Chance in the ranking of beginnings, and the weights of what is uneven beyond what is allowed,
and of what is above its bound at the end where that is the same."""
MOST_BLOCKS, MOST_ROWS = 300, 720
"""How many different trips, and ways to lay out a part of one, may be chosen from."""
WEIGHTS = {"rods": 20, "parts": 20, "alike": 10, "side_by_side": 3, "order": 2, STAYS: 4}
"""Of turns on a rod and in a part, of rods that fish the same variant, of pairs side by side and
of the order of variants on a rod; all are weights of squares."""
SHARED, STAY = 4, 3
"""Of turns and trips shared; a variant that stays on its rod costs so many times what another one
there does."""
SEASONS, CHANGES_A_TURN, MOST_WORK = 128, 40, 12_000_000
"""Seasons changed side by side at the end, changes of each for each of its turns, and the most
counts looked at for it."""
ROUND = 50
"""After so many changes the worst quarter of the seasons gives way to the best."""
WARM, COLD = 20.0, 4.0
"""Chance in taking worse ones."""
UNEVEN_EARLY, ABOVE_BOUND = 30.0, 30.0
"""What a change costs for each count that it makes less even than is allowed."""
TRIPS = ("swapped", "turned", "later")
RODS = ("rods", "rods", "both", "both", "stretch")
"""Kinds of changes: of trips in order, and of rods."""
EXCHANGES_A_TURN, MOST_EXCHANGES, HOT, COOL = 800, 60_000, 3.0, 0.12
"""Exchanges tried where blocks are made even, and the chance in taking a worse one."""


@dataclass(frozen=True)
class Design:
    """What is asked for: counts, and the reference where it is on every trip by design."""

    variants: int
    rods: int
    trips: int
    parts: int = 1
    reference: int | None = None

    @property
    def names(self) -> list[int]:
        """The variants that share out what the reference leaves."""
        return [one for one in range(self.variants) if one != self.reference]

    @property
    def order(self) -> list[int]:
        """These, then the reference: variants as `laid_out` numbers them."""
        return self.names + ([] if self.reference is None else [self.reference])

    @property
    def shared_out(self) -> int:
        """The turns of a trip that they share."""
        return self.rods * self.parts - (self.reference is not None)

    @property
    def size(self) -> int:
        """Of these turns, those left over once each has had as many as the others."""
        return self.shared_out % len(self.names)

    @property
    def always(self) -> Counts:
        """The turns of each variant that every trip has."""
        turns = np.full(self.variants, self.shared_out // len(self.names))
        if self.reference is not None:
            turns[self.reference] = 1
        return turns


def arranged(design: Design, random: Random, starts: int = STARTS) -> Grid:
    """A season as even as the search finds, at its end and wherever it is cut short.

    Any blocks may share out the turns that are left once each variant has had as many as the
    others; where that comes out uneven, blocks made even by exchanges are put in order. Of what
    is found the best seasons are changed as wholes.
    """
    names, size, trips = design.names, design.size, design.trips
    found: list[_Found] = []
    if comb(len(names), size) <= MOST_BLOCKS:
        every = list(combinations(range(len(names)), size))
        found += _searched(design, every, [trips] * len(every), starts, random)
    if size and not (found and min(found).is_even):
        blocks = [tuple(sorted(one)) for one in even_blocks(len(names), size, trips, random)]
        different = sorted(set(blocks))
        times = [blocks.count(block) for block in different]
        found += _searched(design, different, times, (starts + 1) // 2, random)
    best = min(found)
    exact = min(one.inexact for one in found if one[:2] == best[:2])
    if not best.is_even or best.inexact > exact:
        alike = sorted(one for one in found if (*one[:2], one.inexact) == (*best[:2], exact))
        season, uneven = _changed_as_wholes([one.season for one in alike], design, starts, random)
        if uneven <= best.uneven:
            best = best._replace(season=season)
    labels = np.array(design.order)
    return tuple(tuple(tuple(part) for part in trip) for trip in labels[best.season].tolist())


def _searched(
    design: Design,
    blocks: Sequence[tuple[int, ...]],
    times: Sequence[int],
    starts: int,
    random: Random,
) -> list[_Found]:
    """The best of all starts, from blocks that are used so many times at the most: dealt and laid
    out together, or dealt first."""
    found: list[_Found] = []
    for start in range(starts):
        at = start % len(KEPT)
        beginnings = _Beginnings(design, blocks, times, KEPT[at], start < len(KEPT), random)
        if at == 1 and design.size:
            beginnings.deal_contents()
        for _ in range(design.trips):
            beginnings.add_trip()
        found += beginnings.best()
        # How exact it is takes a start of each kind.
        enough = start + 1 >= (len(KEPT) if design.size else 1)
        if enough and min(found).is_even:
            break
    return found


def _worth(plan: Contents, variants: int) -> tuple[float, float]:
    """What blocks are compared by, less is better: how even, then how exact."""
    blocks = _Blocks(plan, variants)
    return blocks.cost - blocks.goal, -round(relative_precision(plan, variants) or 0.0, 9)


def _over(counts: Counts, total: Counts | int) -> Counts:
    """By how much counts (last axis) of these totals differ by more than is allowed: by one more
    than counting does."""
    if counts.shape[-1] == 0:
        return np.zeros(counts.shape[:-1], dtype=np.int64)
    allowed = 1 + (np.asarray(total) % counts.shape[-1] > 0)
    return np.asarray(np.maximum(counts.max(axis=-1) - counts.min(axis=-1) - allowed, 0))


def _different(marks: Marks) -> Counts:
    """The first of each mark, in the order they are in."""
    return np.sort(np.unique(marks, return_index=True)[1])


def _of_each_kind(marks: Marks, kinds: int, same: int) -> Counts:
    """So many of each kind at the most, and of so many kinds, in the order they are in."""
    nth = pd.Series(marks).groupby(marks).cumcount().to_numpy()
    if not nth.any() or (nth == 0).sum() > 1:
        return np.flatnonzero(nth < same)[: kinds * same]
    return np.arange(len(marks))[: kinds * same]


def _marks(labels: Counts | NDArray[np.float64], own: Counts, among: Counts) -> Marks:
    """A mark of each plan (first axis), the same where variants of the same label can change
    places: of what each variant has (third axis of `own`) and what it shares with each other one.

    Colour refinement of a graph: Weisfeiler and Leman 1968.
    """
    colours = np.broadcast_to(labels.astype(np.uint64), own.shape[:2])
    for at in range(own.shape[2]):
        colours = _mixed(colours + own[..., at].astype(np.uint64))
    edges = np.zeros(among.shape[:3], dtype=np.uint64)
    for at in range(among.shape[3]):
        edges = _mixed(edges + among[..., at].astype(np.uint64))
    for _ in range(3):
        colours = _mixed(colours + _mixed(edges + colours[:, None, :]).sum(axis=2))
    return np.asarray(_mixed(colours).sum(axis=1))


def _mixed(values: Marks) -> Marks:
    """Numbers so stirred that sums of them tell: the finaliser of Steele, Lea and Flood 2014."""
    values = (values + np.uint64(0x9E3779B97F4A7C15)) * np.uint64(0xBF58476D1CE4E5B9)
    values ^= values >> np.uint64(27)
    values = values * np.uint64(0x94D049BB133111EB)
    return values ^ (values >> np.uint64(31))


class _Found(NamedTuple):
    """A season, and what it is compared by, less is better: how uneven its blocks are and how
    inexact by and large; what is above the bounds at the end and uneven before, then the former by
    itself; how inexact."""

    cost: float
    inexact_by_and_large: float
    uneven: int
    above: int
    inexact: float
    squares: float
    number: int
    season: Counts

    @property
    def is_even(self) -> bool:
        """Whether counting allows nothing better."""
        return self.uneven == 0


class _Beginnings:
    """Beginnings of a season, a row each of every count: what was dealt, and how uneven it is."""

    def __init__(
        self,
        design: Design,
        blocks: Sequence[tuple[int, ...]],
        times: Sequence[int],
        kept: tuple[int, int],
        by_label: bool,
        random: Random,
    ) -> None:
        self.design, self.chance = design, np.random.default_rng(random.getrandbits(32))
        self.names, self.kept = np.array(design.names), kept
        many, rods, sharing = design.variants, design.rods, len(self.names)
        self.labels = np.arange(many) * by_label
        if design.reference is not None:
            self.labels[design.reference] = many
        # Which variants each block has, and which pairs of them.
        self.on = np.array([[one in block for one in range(sharing)] for block in blocks]) * 1
        self.couples = np.triu_indices(sharing, 1)
        one, other = self.couples
        self.adds = np.hstack([self.on, self.on[:, one] * self.on[:, other]])
        links = design.trips * (design.parts - 1) if design.parts > 1 else design.trips - 1
        self.even_order = links * rods / (many * max(many - 1, 1))
        self.pairs = np.triu_indices(rods, 1)
        # With one part and a rod for each, what is side by side follows from the contents.
        self.by_pairs = design.parts > 1 or rods > many
        self.times, self.dealt = np.array(times), np.zeros(0, dtype=np.int64)
        self._begin()

    def _begin(self) -> None:
        """Before the first trip."""
        design, many, rods = self.design, self.design.variants, self.design.rods
        self.trip = self.row = 0
        shapes = {
            "shared": (self.adds.shape[1],), "kind": (), "left": (many,), "on_rod": (many, rods),
            "in_part": (many, design.parts), "beside": (many, many), "alike": (rods, rods),
            "after": (many, many), "cells": (design.trips * design.parts, rods),
            "block": (design.trips,),
        }  # fmt: skip
        self.counts: dict[str, NDArray[Any]] = {
            what: np.zeros((1, *shape), dtype=np.int64) for what, shape in shapes.items()
        }
        self.counts |= {"over": np.zeros(1), "cost": np.zeros(1), "blocks": self.times[None]}

    def deal_contents(self) -> None:
        """Contents of all trips before any is laid out: even at the end, exact, even before."""
        for _ in range(self.design.trips):
            self.trip += 1
            self._add_block(ALONE, 1)

        def worth(at: int) -> tuple[float, float, float]:
            plan = [np.flatnonzero(self.on[block]).tolist() for block in self.counts["block"][at]]
            return *_worth(plan, len(self.names)), self.counts["over"][at]

        dealt = self.counts["block"][min(range(len(self.counts["block"])), key=worth)]
        self._begin()
        self.dealt = dealt

    def add_trip(self) -> None:
        """One trip more: its contents, then part by part where they go."""
        design = self.design
        self.trip += 1
        self._add_block(*self.kept)
        for part in range(design.parts):
            after = self.row > 0 and (part > 0 or design.parts == 1)
            rows = self._rows(design.parts - part - 1)
            cost = self.counts["cost"][:, None] + self._rise(rows, part, after)
            fits = rows[..., 0] >= 0
            start, at = self._first(
                self.counts["over"][:, None], cost, fits, 2 * self.kept[0] * self.kept[1]
            )
            self._take(start)
            self.counts["cost"] = cost[start, at]
            self._extend(rows[start, at], part, after)
            if part == design.parts - 1 and design.rods > 1:
                self.counts["over"] += self._uneven()
            rank = self.counts["over"] * UNEVEN + self.counts["cost"]
            order = np.argsort(rank + NOISE * self.chance.random(rank.shape))
            order = order[_different(self._marks_of_layouts()[order])]
            self._take(order[_of_each_kind(self.counts["kind"][order], *self.kept)])

    def _first(
        self, over: NDArray[Any], cost: NDArray[Any], fits: NDArray[np.bool_], many: int
    ) -> tuple[Counts, Counts]:
        """Rows and columns of so many that are evenest, of those that fit."""
        rank = over * UNEVEN + cost + NOISE * self.chance.random(cost.shape)
        rank[~fits] = np.inf
        many = min(many, int(fits.sum()))
        best = np.argpartition(rank, many - 1, axis=None)[:many]
        best = best[np.argsort(rank.ravel()[best])]
        rows, columns = np.divmod(best, rank.shape[1])
        return rows, columns

    def _add_block(self, kinds: int, same: int) -> None:
        """The contents of the next trip: for each kind of what was shared so far, a few."""
        design, many = self.design, len(self.names)
        shared = self.counts["shared"]
        ahead = shared[:, None] + self.adds
        over = self.counts["over"][:, None] + _over(ahead[..., :many], self.trip * design.size)
        if design.size > 1:
            whole = int(self.trip % shortest_even(many, design.size) > 0)
            over = over + _over(ahead[..., many:], whole)
        cost = self.counts["cost"][:, None] + SHARED * (
            2.0 * shared @ self.adds.T + self.adds.sum(axis=1)
        )
        fits = self.counts["blocks"] > 0
        if len(self.dealt):
            fits[:, np.arange(len(self.on)) != self.dealt[self.trip - 1]] = False
        start, block = self._first(over, cost, fits, AHEAD * kinds * same)
        self._take(start)
        self.counts["over"], self.counts["cost"] = over[start, block], cost[start, block]
        self.counts["shared"] = ahead[start, block]
        self.counts["blocks"][np.arange(len(start)), block] -= 1
        self.counts["block"][:, self.trip - 1] = block
        self.counts["left"] = np.tile(design.always, (len(start), 1))
        self.counts["left"][:, self.names] += self.on[block]
        among = np.zeros((len(start), many, many, 1), dtype=np.int64)
        one, other = self.couples
        among[:, one, other, 0] = among[:, other, one, 0] = self.counts["shared"][:, many:]
        own = self.counts["shared"][:, :many, None]
        self.counts["kind"] = _marks(np.zeros(many), own, among)
        self._take(_of_each_kind(self.counts["kind"], kinds, same))

    def _rows(self, parts_left: int) -> Counts:
        """Ways to lay out the next part for each beginning; -1 where it leaves too many turns of a
        variant, or too few, for the parts that follow."""
        design, left = self.design, self.counts["left"]
        mostly = np.argsort(-left - self.chance.random(left.shape), axis=1)
        there = design.variants
        if design.rods <= design.variants:
            there = int((left > 0).sum(axis=1).max())
        rows = mostly[:, _patterns(design.rods, there)]
        if self.by_pairs:
            on = (rows[..., None] == np.arange(design.variants)).sum(axis=2)
            each, more = divmod(design.rods, design.variants)
            after = left[:, None] - on
            fits = (after >= each * parts_left) & (after <= (each + (more > 0)) * parts_left)
            rows[~fits.all(axis=-1)] = -1
        return rows

    def _rise(self, rows: Counts, part: int, after: bool) -> NDArray[np.float64]:
        """By how much each way adds to the weighted sum of squares."""
        design, counts = self.design, self.counts
        each, rods = np.arange(len(rows))[:, None, None], np.arange(design.rods)
        rise = (WEIGHTS["rods"] * (2.0 * counts["on_rod"][each, rows, rods] + 1)).sum(axis=2)
        if self.by_pairs:
            rise += (WEIGHTS["parts"] * (2 * counts["in_part"][each, rows, part] + 1)).sum(axis=2)
            first, second = (rows[..., of_pair] for of_pair in self.pairs)
            alike = WEIGHTS["alike"] * (2 * counts["alike"][each, *self.pairs] + 1)
            beside = WEIGHTS["side_by_side"] * (2 * counts["beside"][each, first, second] + 1)
            rise += np.where(first == second, alike, beside).sum(axis=2)
        if after:
            before = counts["cells"][:, self.row - 1][:, None]
            links = 2 * counts["after"][each, before, rows] + 1
            stays = STAY * (links + 2 * self.even_order)
            rise += WEIGHTS["order"] * np.where(before == rows, stays, links).sum(axis=2)
        return np.asarray(rise)

    def _extend(self, rows: Counts, part: int, after: bool) -> None:
        """Lay out one of the ways for each beginning."""
        counts, each = self.counts, np.arange(len(rows))[:, None]
        np.add.at(counts["left"], (each, rows), -1)
        np.add.at(counts["on_rod"], (each, rows, np.arange(self.design.rods)), 1)
        np.add.at(counts["in_part"], (each, rows, np.full_like(rows, part)), 1)
        first, second = (rows[:, of_pair] for of_pair in self.pairs)
        np.add.at(counts["alike"], (each, *self.pairs), (first == second) * 1)
        np.add.at(counts["beside"], (each, first, second), 1)
        np.add.at(counts["beside"], (each, second, first), 1)
        if after:
            np.add.at(counts["after"], (each, counts["cells"][:, self.row - 1], rows), 1)
        counts["cells"][:, self.row] = rows
        self.row += 1

    def _uneven(self) -> Counts:
        """By how much turns on rods are less even than they may be after this trip."""
        design, on_rod = self.design, self.counts["on_rod"]
        shared = on_rod[:, self.names].reshape(len(on_rod), -1)
        over = _over(shared, self.trip * design.shared_out)
        if design.reference is not None:
            over = over + _over(on_rod[:, design.reference], self.trip)
        return over

    def _marks_of_layouts(self) -> Marks:
        """The same mark for beginnings that do not differ in what may come after them."""
        counts = self.counts
        last = counts["cells"][:, self.row - 1, None] == np.arange(self.design.variants)[:, None]
        own = [counts["left"][..., None], counts["on_rod"], counts["in_part"], last]
        after = counts["after"]
        together = np.zeros_like(after)
        one, other = (self.names[of_couple] for of_couple in self.couples)
        together[:, one, other] = together[:, other, one] = counts["shared"][:, len(self.names) :]
        among = np.stack([after, after.swapaxes(1, 2), counts["beside"], together], axis=-1)
        rods = counts["alike"].reshape(len(after), -1)
        marks = _marks(self.labels, np.concatenate(own, axis=2), among)
        return np.asarray(
            marks + _mixed((rods * 64 + np.arange(rods.shape[1])).astype(np.uint64)).sum(axis=1)
        )

    def _take(self, kept: Counts) -> None:
        self.counts = {what: of_all[kept] for what, of_all in self.counts.items()}

    def _worth(self, cells: Counts) -> tuple[float, float]:
        """How uneven and how inexact the blocks of a season are."""
        if self.design.size == 0:
            return 0.0, 0.0
        each = self.design.shared_out // len(self.names)
        turns = (cells.reshape(self.design.trips, -1, 1) == self.names).sum(axis=1) - each
        return _worth([np.flatnonzero(trip).tolist() for trip in turns], len(self.names))

    def best(self) -> list[_Found]:
        """The evenest of the seasons kept."""
        design, cells = self.design, self.counts["cells"][: SEASONS // 4]
        shape = len(cells), design.trips, design.parts, design.rods
        seasons = np.moveaxis(np.argsort(design.order)[cells].reshape(shape), 0, -1)
        running = _Running(design)
        over = running.uneven(running.counts(seasons))
        above, squares = _at_the_end(seasons, design)
        found = []
        for at in range(len(cells)):
            cost, inexact = self._worth(cells[at])
            number = int(self.chance.integers(2**62))
            found.append(
                _Found(
                    cost,
                    round(inexact, 2),
                    int(over[at] + above[at]),
                    int(above[at]),
                    round(inexact, 3),
                    float(squares[at]),
                    number,
                    seasons[..., at],
                )
            )
        return found


def _changed_as_wholes(
    found: Sequence[Counts], design: Design, starts: int, random: Random
) -> tuple[Counts, int]:
    """The best that changes of whole seasons come to, and how uneven that is: cooled
    twice, or with few starts for a shorter time."""
    chance = np.random.default_rng(random.getrandbits(32))
    running = _Running(design)

    def worth(seasons: Counts) -> tuple[Floats, Floats]:
        early = running.uneven(running.counts(seasons))
        above, squares = _at_the_end(seasons, design)
        energy = UNEVEN_EARLY * early + ABOVE_BOUND * above + squares
        return energy, (early + above) * UNEVEN + above * ABOVE + squares

    kinds = TRIPS + RODS * (design.rods > 1) + ("turns",) * (design.parts > 1)
    start: Counts = np.stack([found[at % len(found)] for at in range(SEASONS)], axis=-1).astype(
        np.int8
    )
    best, reached = start[..., 0], np.inf
    for _ in range((starts + 3) // 4):
        steps = running.steps * min(starts, 4) // 4
        seasons, key = _annealed(start.copy(), worth, kinds, steps, chance)
        if key.min() < reached:
            best, reached = seasons[..., key.argmin()], key.min()
        if reached < ABOVE:
            break
    return best, int(reached // UNEVEN)


class _Running:
    """What seasons share out, trip after trip: turns, trips shared by pairs, turns on rods."""

    def __init__(self, design: Design) -> None:
        self.design, many, rods = design, len(design.names), design.rods
        self.couples = np.triu_indices(many, 1)
        trip = np.arange(1, design.trips + 1)
        total = trip * design.shared_out
        shares = []
        if design.size:
            shares.append((many, total % many))
        if design.size > 1:
            shares.append((comb(many, 2), trip % shortest_even(many, design.size)))
        if rods > 1:
            shares.append((many * rods, total % (many * rods)))
            if design.reference is not None:
                shares.append((rods, trip % rods))
        most = int(total[-1] // many) + design.trips
        self.kind = np.int8 if most < 128 else np.int16
        # By one more than counting does: 1 where a total divides, 2 where it does not.
        self.shares = [(size, (1 + (rest > 0)).astype(self.kind)[:, None]) for size, rest in shares]
        looked_at = design.trips * max(sum(size for size, _ in shares), 1)
        turns = design.trips * rods * design.parts
        self.steps = min(CHANGES_A_TURN * turns, MOST_WORK // looked_at)

    def counts(self, seasons: Counts) -> Counts:
        """The running counts: trips, what is shared out, seasons."""
        design, many = self.design, len(self.design.names)
        variants = np.arange(design.variants, dtype=np.int8)[:, None, None, None]
        on = (seasons[:, None] == variants).view(np.int8)
        on_rod = np.add.reduce(on, axis=2, dtype=self.kind)
        found = [np.zeros((design.trips, 0, seasons.shape[-1]), dtype=self.kind)]
        if design.size:
            found.append(np.add.reduce(on_rod[:, :many], axis=2, dtype=self.kind))
        if design.size > 1:
            first, second = self.couples
            more = found[-1] > design.shared_out // many
            found.append(more[:, first] & more[:, second])
        if design.rods > 1:
            found.append(on_rod.reshape(design.trips, -1, seasons.shape[-1]))
        counts: Counts = np.concatenate(found, axis=1).astype(self.kind)
        for trip in range(1, design.trips):
            counts[trip] += counts[trip - 1]
        return counts

    def uneven(self, counts: Counts) -> Counts:
        """The sum, over all trips, of what counts differ by beyond what is allowed."""
        over, at = np.zeros(counts.shape[-1], dtype=np.int64), 0
        for size, allowed in self.shares:
            share = counts[:, at : at + size]
            gap = share.max(axis=1) - share.min(axis=1) - allowed
            over += np.maximum(gap, 0).sum(axis=0)
            at += size
        return over


def _at_the_end(seasons: Counts, design: Design) -> tuple[Counts, Floats]:
    """By how much the measures of whole seasons are above their bounds; weighted squares."""
    above = np.zeros(seasons.shape[-1], dtype=np.int64)
    squares = np.zeros(seasons.shape[-1])
    for what, _, counts in laid_out(seasons, len(design.names), design.reference is not None):
        if what == STAYS:
            above += counts[1]
            squares += WEIGHTS[STAYS] * counts[1]
            continue
        share = counts.astype(np.float32)
        total = share.sum(axis=0)
        gap = share.max(axis=0) - share.min(axis=0) - (total % len(share) > 0)
        above += np.maximum(gap, 0).astype(np.int64)
        share -= total / len(share)
        squares += WEIGHTS[what] * (share * share).sum(axis=0)
    return above, squares


def _annealed(
    seasons: Counts, worth: Worth, kinds: Sequence[str], steps: int, chance: Generator
) -> tuple[Counts, Floats]:
    """The best that each season came to, and its key. Changes that make it better are kept, and at
    times others, ever fewer as it cools (Kirkpatrick, Gelatt and Vecchi 1983, Science
    220:671-680)."""
    variants = int(seasons.max()) + 1
    energy, key = worth(seasons)
    best, reached = seasons.copy(), key
    for step in range(steps):
        if reached.min() < ABOVE:
            break
        kind = kinds[int(chance.integers(len(kinds)))]
        tried = _changed(seasons, kind, variants, chance)
        new, key = worth(tried)
        np.copyto(best, tried, where=key < reached)
        reached = np.minimum(reached, key)
        heat = WARM * (COLD / WARM) ** (step / steps)
        kept = new - energy <= heat * chance.exponential(size=SEASONS)
        np.copyto(seasons, tried, where=kept)
        energy = np.where(kept, new, energy)
        if step % ROUND == ROUND - 1:
            order = energy.argsort()
            good, bad = order[: SEASONS // 4], order[-SEASONS // 4 :]
            seasons[..., bad], energy[bad] = seasons[..., good], energy[good]
    return best, reached


def _changed(seasons: Counts, kind: str, variants: int, chance: Generator) -> Counts:
    """Each season with one change of a kind: two trips swapped, trips turned round or one of them
    put later, two turns exchanged, of a trip or of two, or rods exchanged."""
    trips, parts, rods, many = seasons.shape
    one, other = np.sort(chance.integers(trips, size=(2, many)), axis=0)
    if kind in RODS:
        return _other_rods(seasons, kind, one, other, chance)
    if kind in TRIPS:
        trip = np.arange(trips)[:, None]
        inside = (trip >= one) & (trip <= other)
        if kind == "swapped":
            order = np.where(trip == one, other, np.where(trip == other, one, trip))
        elif kind == "turned":
            order = np.where(inside, one + other - trip, trip)
        else:
            order = np.where(inside, np.where(trip == other, one, trip + 1), trip)
        return np.take_along_axis(seasons, order[:, None, None], axis=0)
    if kind == "turns":
        other = one
    at, new = np.arange(many), seasons.copy()
    part, to = chance.integers(parts, size=(2, many))
    rod, on = chance.integers(rods, size=(2, many))
    new[one, part, rod, at] = seasons[other, to, on, at]
    new[other, to, on, at] = seasons[one, part, rod, at]
    names = np.arange(variants)[:, None]
    for trip, where in ((one, part), (other, to)):
        # No variant may be on two rods while another is on none.
        there = (new[trip, where, :, at][:, None] == names).sum(axis=2)
        np.copyto(new, seasons, where=np.ptp(there, axis=1) > 1)
    return new


def _other_rods(
    seasons: Counts, kind: str, one: Counts, other: Counts, chance: Generator
) -> Counts:
    """What two rods fish exchanged: in a part of a trip, there and where they have it the other
    way round, or on all trips from one to another."""
    trips, parts, rods, many = seasons.shape
    at, new = np.arange(many), seasons.copy()
    rod: Any = chance.integers(rods, size=many)
    on: Any = (rod + chance.integers(1, rods, size=many)) % rods
    if kind == "stretch":
        trip = np.arange(trips)[:, None, None]
        inside = (trip >= one) & (trip <= other)
        first, second = seasons[:, :, rod, at], seasons[:, :, on, at]
        new[:, :, rod, at] = np.where(inside, second, first)
        new[:, :, on, at] = np.where(inside, first, second)
        return new
    part = chance.integers(parts, size=many)
    here, there = (np.asarray(seasons[one, part, of, at]) for of in (rod, on))
    new[one, part, rod, at], new[one, part, on, at] = there, here
    if kind == "both":
        back = (seasons[:, :, rod, at] == there) & (seasons[:, :, on, at] == here)
        back = back.reshape(-1, many)
        weighed = back * chance.random(back.shape, dtype=np.float32)
        place = weighed.argmax(axis=0)
        found = np.flatnonzero(back[place, at] & (here != there))
        of, to = place[found] // parts, place[found] % parts
        new[of, to, rod[found], found] = here[found]
        new[of, to, on[found], found] = there[found]
    return new


@cache
def _patterns(rods: int, there: int) -> Counts:
    """Rows of places in a list of the variants there are, those with most turns left first."""
    if rods > there:
        each, more = divmod(rods, there)
        ways = set(permutations([*range(there)] * each + [*range(more)]))
        return np.array(sorted(ways))
    while there > rods and perm(there, rods) > MOST_ROWS:
        there -= 1
    return np.array(list(permutations(range(there), rods)))


def even_blocks(variants: int, size: int, trips: int, random: Random) -> Contents:
    """Blocks of different variants; a long season is whole rounds of the shortest even one.

    Of plans that are equally even the most exact is taken: some leave variants without a link.
    """
    a_round = shortest_even(variants, size)
    plans: list[Contents] = []
    if a_round < trips:
        even = even_blocks(variants, size, a_round, random)
        if _worth(even, variants)[0] <= 0:
            rounds, rest = divmod(trips, a_round)
            tail = even_blocks(variants, size, rest, random) if rest else []
            plans = [even * rounds + tail]
            if not rest:
                return plans[0]
    while len(plans) < 4:
        plans.append(_exchanged(variants, size, trips, random))
    return min(plans, key=lambda plan: _worth(plan, variants))


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
        plan = _Blocks([random.sample(range(variants), size) for _ in range(trips)], variants)
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


class _Blocks:
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
        trips, size = len(blocks), len(blocks[0])
        self.goal = variants * _least_squares(trips * size, variants)
        self.goal += _least_squares(trips * comb(size, 2), comb(variants, 2))

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


def _least_squares(total: int, cells: int) -> int:
    """The least sum of squares of so many whole numbers with this total."""
    each, rest = divmod(total, cells)
    return (cells - rest) * each * each + rest * (each + 1) ** 2
