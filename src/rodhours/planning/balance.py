"""How even a rotation is, beside what counting allows at best.

Scope: counts of a finished plan. A difference of 0 needs a total that divides; where it does not,
1 is the least. Such a bound can be out of reach, so it is never called the best plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.integer[Any]]
Grid = tuple[tuple[tuple[int, ...], ...], ...]
"""Trips, parts of a trip, rods: the variant of that turn."""
ALL, OTHERS, REFERENCE = "all", "others", "reference"
STAYS = "stays"
MEASURED = ("turns", "rods", "parts", "trips_shared", "side_by_side", "alike", "order", STAYS)


@dataclass(frozen=True)
class Measure:
    """How evenly one thing was shared out: the fewest and the most that any had.

    `what` is its code: turns, rods, parts, trips_shared, side_by_side, alike, order, stays. `who`
    is all, others (than the reference) or reference. `least_difference` is what no plan with these
    totals can go below, by counting; nobody may know whether it can be reached.
    """

    what: str
    who: str
    fewest: int
    most: int
    least_difference: int

    KEYS: ClassVar[tuple[str, ...]] = (
        "measure=what", "of=who", "fewest", "most", "difference", "least_difference", "reached",
    )  # fmt: skip

    @property
    def difference(self) -> int:
        """Between the most and the fewest."""
        return self.most - self.fewest

    @property
    def reached(self) -> bool:
        """Whether no plan with these totals can be more even."""
        return self.difference <= self.least_difference


def measures(grid: Grid, variants: int, reference: int | None = None) -> tuple[Measure, ...]:
    """Every measure of a plan; with a reference on every trip it is counted by itself."""
    cells = np.array(grid)
    last = [] if reference is None else [reference]
    others = [one for one in range(variants) if one != reference]
    who = OTHERS if last else ALL
    turns = (cells.reshape(len(cells), -1, 1) == others + last).sum(axis=1)
    present = (turns > 0).astype(np.int64)
    together = present.T @ present
    couples = np.triu_indices(len(others), 1)
    shared = [
        ("turns", who, turns.sum(axis=0)[: len(others)]),
        ("trips_shared", who, together[couples]),
        ("trips_shared", REFERENCE, together[len(others) :, : len(others)].ravel()),
    ]
    numbers = np.argsort(others + last)[cells][..., None]
    for what, of, counts in laid_out(numbers, len(others), bool(last)):
        shared.append((what, of, counts[:, 0]))
    found = []
    for what, of, counts in sorted(shared, key=lambda one: MEASURED.index(one[0])):
        if not counts.size:
            continue
        least = 0 if what == STAYS else int(counts.sum() % counts.size != 0)
        if what == "trips_shared" and of != REFERENCE:
            least = max(least, _least_of_pairs(present[:, : len(others)]))
        found.append(Measure(what, of, int(counts.min()), int(counts.max()), least))
    return tuple(found)


def laid_out(cells: Counts, others: int, reference: bool) -> list[tuple[str, str, Counts]]:
    """Where the turns of many plans are, and among whom it is shared out (see `Measure`).

    cells : trips, parts of a trip, rods, plans; variants are numbers, and a reference is the last.
    The counts : one row for each that has a share, plans; of stays 0 and the number of them.
    """
    _, parts, rods, plans = cells.shape
    variants, who = others + reference, OTHERS if reference else ALL
    names = np.arange(variants, dtype=np.int8)[:, None, None, None]
    on = (cells[:, None] == names).view(np.int8)
    found = []
    for what, summed, many in (("rods", (0, 2), rods), ("parts", (0, 3), parts)):
        if many > 1:
            each = np.add.reduce(on, axis=summed, dtype=np.int16)
            found.append((what, who, each[:others].reshape(-1, plans)))
            found.append((what, REFERENCE, each[others:].reshape(-1, plans)))
    if parts > 1 and rods > 1:
        there = np.bitwise_or.reduce(on, axis=3)
        first, second = np.triu_indices(variants, 1)
        beside = np.add.reduce(there[:, first] & there[:, second], axis=(0, 2), dtype=np.int16)
        found.append(("side_by_side", who, beside[second < others]))
        found.append(("side_by_side", REFERENCE, beside[second >= others]))
    if rods > max(variants, 2):
        first, second = np.triu_indices(rods, 1)
        alike = cells[:, :, first] == cells[:, :, second]
        found.append(("alike", ALL, np.add.reduce(alike, axis=(0, 1), dtype=np.int16)))
    # From part to part of a trip where there are swaps, from trip to trip where there are none.
    before, after = (cells[:, :-1], cells[:, 1:]) if parts > 1 else (cells[:-1], cells[1:])
    if before.size:
        pair = np.multiply(before, variants * plans, dtype=np.int64)
        pair += np.multiply(after, plans, dtype=np.int64)
        pair += np.arange(plans)
        follows = np.bincount(pair.ravel(), minlength=variants**2 * plans).reshape(-1, plans)
        one, other = np.divmod(np.arange(variants**2), variants)
        apart = (one < others) & (other < others)
        found.append(("order", who, follows[(one != other) & apart]))
        found.append(("order", REFERENCE, follows[(one != other) & ~apart]))
        stays = follows[one == other].sum(axis=0)
        found.append((STAYS, ALL, np.stack([0 * stays, stays])))
    return [one for one in found if len(one[2])]


def relative_precision(
    grid: Grid | Sequence[Sequence[int]], variants: int, reference: int | None = None
) -> float | None:
    """How exact comparisons within trips are, from the information matrix of a block design.

    C = diag(turns) - N'N / k, N the turns of each variant on each trip, k the turns of a trip;
    the mean variance of all differences of two variants, over that where each trip held all of
    them for the same turns: the efficiency factor, lambda v / (r k) for balanced blocks (John and
    Williams 1995, Cyclic and Computer Generated Designs, chapter 2). With a reference: the mean
    variance of differences from it where all turns are equal and all pairs share as many trips,
    over that of this plan.

    None where some variants are not linked by shared trips.
    """
    cells = np.array(grid)
    on = (cells.reshape(len(cells), -1, 1) == np.arange(variants)).sum(axis=1)
    found = float(precisions(on[None], reference)[0])
    return found or None


def precisions(on: Counts, reference: int | None = None) -> NDArray[np.float64]:
    """`relative_precision` of many plans, 0 where some variants are not linked.

    on : plans, trips, variants; the turns of each variant on each trip.
    """
    on = on.astype(float)
    _, trips, variants = on.shape
    k = on[0, 0].sum()
    turns = on.sum(axis=1)
    information = turns[:, None] * np.eye(variants) - on.swapaxes(1, 2) @ on / k
    values, vectors = np.linalg.eigh(information)
    linked = values[:, 1] > 1e-8
    # The first direction, all alike, has no information: differences do not need it.
    scaled = vectors[:, :, 1:] / np.sqrt(np.where(linked[:, None], values[:, 1:], 1.0))[:, None]
    inverse = scaled @ scaled.swapaxes(1, 2)
    own = np.diagonal(inverse, axis1=1, axis2=2)
    variances = own[:, :, None] + own[:, None] - 2 * inverse
    if reference is None:
        first, second = np.triu_indices(variants, 1)
        gain = 2 / turns.mean(axis=1) / variances[:, first, second].mean(axis=1)
    else:
        mean = np.delete(variances[:, reference], reference, axis=1).mean(axis=1)
        pairs = trips * k * (k - 1) / (variants * (variants - 1))
        gain = 2 * k / (pairs * variants) / mean
    return np.where(linked, gain, 0.0)


def _least_of_pairs(present: Counts) -> int:
    """What is known of trips shared, given the turns, where each trip holds k of v variants.

    All pairs equal: then all turns are equal, and there are at least as many trips as variants
    (Fisher's inequality). Pairs m or m + 1: a variant of r trips has r (k - 1) - m (v - 1) pairs
    of m + 1, and these have to be the degrees of a graph (Erdős and Gallai 1960, Matematikai Lapok
    11, 264-274). Otherwise the difference is 2 at the least.
    """
    sizes = present.sum(axis=1)
    size, variants = int(sizes[0]), present.shape[1]
    if (sizes != size).any() or not 1 < size < variants:
        return 0
    turns = present.sum(axis=0)
    low = int(turns.sum()) * (size - 1) // (variants * (variants - 1))
    degrees = turns * (size - 1) - low * (variants - 1)
    if not degrees.any() and len(present) >= variants:
        return 0
    return 1 if _is_graphical(degrees) else 2


def _is_graphical(degrees: Counts) -> bool:
    """Whether some graph has these degrees."""
    ordered = sorted((int(one) for one in degrees), reverse=True)
    many = len(ordered)
    if ordered[-1] < 0 or ordered[0] >= many or sum(ordered) % 2:
        return False
    return all(
        sum(ordered[:first])
        <= first * (first - 1) + sum(min(one, first) for one in ordered[first:])
        for first in range(1, many + 1)
    )
