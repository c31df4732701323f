"""Whole seasons changed side by side until they are as even as can be: seeded annealing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import comb
from random import Random
from typing import Any

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from rodhours.planning.balance import STAYS, Counts, laid_out
from rodhours.planning.design import ABOVE, UNEVEN, WEIGHTS, Design
from rodhours.planning.even_blocks import shortest_even
from rodhours.progress import Progress

Floats = NDArray[np.float64]
Worth = Callable[[Counts], tuple[Floats, Floats]]
"""Of seasons: what a change is judged by as it cools, and what they are compared by; less is
better."""

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


def changed_as_wholes(
    found: Sequence[Counts],
    design: Design,
    starts: int,
    random: Random,
    progress: Progress | None = None,
) -> tuple[Counts, int]:
    """The best that changes of whole seasons come to, and how uneven that is: cooled
    twice, or with few starts for a shorter time."""
    chance = np.random.default_rng(random.getrandbits(32))
    running = Running(design)

    def worth(seasons: Counts) -> tuple[Floats, Floats]:
        early = running.uneven(running.counts(seasons))
        above, squares = at_the_end(seasons, design)
        energy = UNEVEN_EARLY * early + ABOVE_BOUND * above + squares
        return energy, _compared_by(early, above, squares)

    kinds = TRIPS + RODS * (design.rods > 1) + ("turns",) * (design.parts > 1)
    start: Counts = np.stack([found[at % len(found)] for at in range(SEASONS)], axis=-1).astype(
        np.int8
    )
    best, reached = start[..., 0], np.inf
    steps, passes = running.steps * min(starts, 4) // 4, min((starts + 3) // 4, 2)
    for number in range(passes):

        def watch(step: int, done: int = number * steps) -> None:
            if progress is not None:
                progress(done + step, passes * steps)

        seasons, key = _annealed(start.copy(), worth, kinds, steps, chance, watch)
        if key.min() < reached:
            best, reached = seasons[..., key.argmin()], key.min()
        if reached < ABOVE:
            break
    return best, int(reached // UNEVEN)


class Running:
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


def unevenness(season: Counts, design: Design) -> tuple[int, float]:
    """Of one season, trips first: by how much it is above the bounds at its end, and what it is
    compared by, less is better."""
    running, one = Running(design), season[..., None]
    above, squares = at_the_end(one, design)
    early = running.uneven(running.counts(one))
    return int(above[0]), float(_compared_by(early, above, squares)[0])


def _compared_by(early: Counts, above: Counts, squares: Floats) -> Floats:
    return (early + above) * UNEVEN + above * ABOVE + squares


def at_the_end(seasons: Counts, design: Design) -> tuple[Counts, Floats]:
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
    seasons: Counts,
    worth: Worth,
    kinds: Sequence[str],
    steps: int,
    chance: Generator,
    watch: Callable[[int], None],
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
            watch(step + 1)
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
