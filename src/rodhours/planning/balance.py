"""How even a rotation is, beside what counting allows at best.

Scope: counts of a finished plan. A difference of 0 needs a total that divides; where it does not,
1 is the least. Such a bound can be out of reach, so it is never called the best plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.int64]
Grid = tuple[tuple[tuple[int, ...], ...], ...]
"""Trips, parts of a trip, rods: the variant of that turn."""
ALL, OTHERS, REFERENCE = "all", "others", "reference"
STAYS = "stays"


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
    _, parts, rods = cells.shape
    on = (cells[..., None] == np.arange(variants)).astype(np.int64)
    by_trip = on.sum(axis=(1, 2))
    present = (by_trip > 0).astype(np.int64)
    others = np.array([one for one in range(variants) if one != reference])
    who = ALL if reference is None else OTHERS
    found = [_measure("turns", who, by_trip.sum(axis=0)[others])]
    on_rod, in_part = on.sum(axis=(0, 1)).T, on.sum(axis=(0, 2)).T
    shared = present.T @ present
    together = on.sum(axis=2)
    beside = np.einsum("tpa,tpb->ab", (together > 0) * 1, (together > 0) * 1)
    for what, counts in (("rods", on_rod), ("parts", in_part)):
        if counts.shape[1] == 1:
            continue
        found.append(_measure(what, who, counts[others].ravel()))
        if reference is not None:
            found.append(_measure(what, REFERENCE, counts[reference]))
    pairs = [("trips_shared", shared)]
    if parts > 1 and rods > 1:
        pairs.append(("side_by_side", beside))
    upper = np.triu_indices(len(others), 1)
    for what, matrix in pairs:
        among = matrix[np.ix_(others, others)][upper]
        if len(among):
            least = _least(among)
            if what == "trips_shared":
                least = max(least, _least_of_pairs(present[:, others]))
            found.append(_measure(what, who, among, least))
        if reference is not None:
            found.append(_measure(what, REFERENCE, matrix[reference][others]))
    if rods > max(variants, 2):
        found.append(_measure("alike", ALL, _alike(cells)))
    after = _followed(cells, variants)
    if after.sum():
        off = ~np.eye(variants, dtype=bool)
        among = after[np.ix_(others, others)][off[np.ix_(others, others)]]
        if len(among):
            found.append(_measure("order", who, among))
        if reference is not None:
            found.append(
                _measure(
                    "order", REFERENCE, np.r_[after[reference, others], after[others, reference]]
                )
            )
        stays = int(np.trace(after))
        found.append(Measure(STAYS, ALL, 0, stays, 0))
    return tuple(found)


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
    trips, k = len(cells), cells[0].size
    on = (cells.reshape(trips, k)[..., None] == np.arange(variants)).sum(axis=1).astype(float)
    turns = on.sum(axis=0)
    information = np.diag(turns) - on.T @ on / k
    if np.linalg.matrix_rank(information, tol=1e-8) < variants - 1:
        return None
    inverse = np.linalg.pinv(information, hermitian=True)
    own = np.diag(inverse)
    variances = own[:, None] + own[None, :] - 2 * inverse
    if reference is None:
        mean = variances[np.triu_indices(variants, 1)].mean()
        return float(2 / turns.mean() / mean)
    mean = np.delete(variances[reference], reference).mean()
    pairs = trips * k * (k - 1) / (variants * (variants - 1))
    return float(2 * k / (pairs * variants) / mean)


def _measure(
    what: str, who: str, counts: Counts | Sequence[int], least: int | None = None
) -> Measure:
    counts = np.asarray(counts)
    bound = _least(counts) if least is None else least
    return Measure(what, who, int(counts.min()), int(counts.max()), bound)


def _least(counts: Counts) -> int:
    """0 where the total can be shared out evenly, 1 where it cannot."""
    return int(counts.sum() % counts.size != 0)


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


def _alike(cells: Counts) -> Counts:
    """How often each pair of rods had the same variant at the same time.

    Where there are more rods than variants some pair always has. Rods that never part are one
    rod as far as a difference between them goes.
    """
    rods = cells.shape[2]
    one, other = np.triu_indices(rods, 1)
    return np.asarray((cells[:, :, one] == cells[:, :, other]).sum(axis=(0, 1)))


def _followed(cells: Counts, variants: int) -> Counts:
    """How often each variant (column) came after each (row) on the same rod.

    From part to part of a trip where there are swaps, from trip to trip where there are none.
    """
    if cells.shape[1] > 1:
        before, after = cells[:, :-1], cells[:, 1:]
    else:
        before, after = cells[:-1], cells[1:]
    found = np.zeros((variants, variants), dtype=np.int64)
    np.add.at(found, (before.ravel(), after.ravel()), 1)
    return found
