"""Which variants share each trip, and on which rod, in which part and order: the seeded search.

Scope: a season is dealt trip by trip, and of all its beginnings those are kept that are evenest so
far and differ in more than the names of variants; so a season cut short is balanced too. Nothing
looks at a clock: a seed always gives the same plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import combinations, permutations
from math import comb, perm
from random import Random
from typing import Any, NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from rodhours.planning.balance import Counts, Grid, relative_precision
from rodhours.planning.design import UNEVEN, WEIGHTS, Design
from rodhours.planning.even_blocks import even_blocks, evenness, shortest_even
from rodhours.planning.whole_seasons import (
    SEASONS,
    Running,
    at_the_end,
    changed_as_wholes,
    unevenness,
)
from rodhours.progress import Progress

Marks = NDArray[np.uint64]

STARTS, MORE_STARTS, SHORT_SEASON, FEW_WAYS = 8, 40, 60, 1_000_000
"""Starts of the search, and in all where those end above its bounds; the most turns of a season
for which more are made (it takes some ten seconds), and so few ways to fill them that the first
search has met them all."""
KEPT = ((15, 8), (40, 20), (5, 24), (15, 24))
"""Beginnings kept after each trip, start by start: of how many kinds, by the trips shared, and how
many of each kind. In the second of these contents are dealt alone, of as many kinds as ALONE."""
ALONE, AHEAD = 500, 6
"""For each that is kept so many contents are looked at: some of them come to the same."""
NOISE = 4.0
"""Chance in the ranking of beginnings."""
MOST_BLOCKS, MOST_ROWS = 300, 720
"""How many different trips, and ways to lay out a part of one, may be chosen from."""
SHARED, STAY = 4, 3
"""Of turns and trips shared; a variant that stays on its rod costs so many times what another one
there does."""


def arranged(
    design: Design, random: Random, starts: int = STARTS, progress: Progress | None = None
) -> Grid:
    """A season as even as the search finds, at its end and wherever it is cut short.

    Where counting may allow a short one to be more even it is looked for from many more starts:
    better and as exact, it is taken.
    """
    labels, many = np.array(design.order), design.variants
    found = _tried(design, random, range(starts))
    season = _ended(found, design, random, starts, progress)
    above, uneven = unevenness(season, design)
    turns = design.trips * design.rods * design.parts
    short = turns <= SHORT_SEASON and many**turns > FEW_WAYS
    if above and starts == STARTS and short:
        found += _tried(design, random, range(starts, MORE_STARTS))
        other = _ended(found, design, random, starts, progress)
        exact = [relative_precision(labels[one].tolist(), many) or 0.0 for one in (season, other)]
        if unevenness(other, design)[1] < uneven and exact[1] >= exact[0] - 1e-9:
            season = other
    return tuple(tuple(tuple(part) for part in trip) for trip in labels[season].tolist())


def _tried(design: Design, random: Random, starts: range) -> list[_Found]:
    """What some starts of the search come to.

    Any blocks may share out the turns that are left once each variant has had as many as the
    others; where that comes out uneven, blocks made even by exchanges are put in order.
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
        found += _searched(design, different, times, starts[: (len(starts) + 1) // 2], random)
    return found


def _ended(
    found: Sequence[_Found],
    design: Design,
    random: Random,
    starts: int,
    progress: Progress | None,
) -> Counts:
    """The best season found, (trips, parts, rods), changed as a whole where that makes it even."""
    best = min(found)
    exact = min(one.inexact for one in found if one[:2] == best[:2])
    if not best.is_even or best.inexact > exact:
        alike = sorted(one for one in found if (*one[:2], one.inexact) == (*best[:2], exact))
        seasons = [one.season for one in alike]
        season, uneven = changed_as_wholes(seasons, design, starts, random, progress)
        if uneven <= best.uneven:
            best = best._replace(season=season)
    return best.season


def _searched(
    design: Design,
    blocks: Sequence[tuple[int, ...]],
    times: Sequence[int],
    starts: range,
    random: Random,
) -> list[_Found]:
    """The best of all starts, from blocks that are used so many times at the most: dealt and laid
    out together, or dealt first."""
    found: list[_Found] = []
    for start in starts:
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

        cost, inexact = evenness(self.on[self.counts["block"]])
        best = np.lexsort((self.counts["over"], inexact, cost))[0]
        dealt = self.counts["block"][best]
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

    def _worth(self, cells: Counts) -> tuple[Counts, NDArray[np.float64]]:
        """How uneven and how inexact the blocks of seasons are."""
        if self.design.size == 0:
            return np.zeros(len(cells), dtype=np.int64), np.zeros(len(cells))
        each = self.design.shared_out // len(self.names)
        trips = cells.reshape(len(cells), self.design.trips, -1, 1)
        return evenness((trips == self.names).sum(axis=2) - each)

    def best(self) -> list[_Found]:
        """The evenest of the seasons kept."""
        design, cells = self.design, self.counts["cells"][: SEASONS // 4]
        shape = len(cells), design.trips, design.parts, design.rods
        seasons = np.moveaxis(np.argsort(design.order)[cells].reshape(shape), 0, -1)
        running = Running(design)
        over = running.uneven(running.counts(seasons))
        above, squares = at_the_end(seasons, design)
        cost, inexact = self._worth(cells)
        return [
            _Found(
                float(cost[at]),
                round(float(inexact[at]), 2),
                int(over[at] + above[at]),
                int(above[at]),
                round(float(inexact[at]), 3),
                float(squares[at]),
                int(self.chance.integers(2**62)),
                seasons[..., at],
            )
            for at in range(len(cells))
        ]


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
