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
    found = []
    for what, who, counts in shares(cells[None], variants, reference):
        least = 0 if what == STAYS else int(counts.sum() % counts.size != 0)
        if what == "trips_shared" and who != REFERENCE:
            others = [one for one in range(variants) if one != reference]
            on = (cells.reshape(len(cells), -1)[..., None] == others).any(axis=1)
            least = max(least, _least_of_pairs(on.astype(np.int64)))
        found.append(Measure(what, who, int(counts.min()), int(counts.max()), least))
    return tuple(found)


def shares(
    cells: Counts, variants: int, reference: int | None = None
) -> list[tuple[str, str, Counts]]:
    """What is shared out, and among whom (see `Measure`), counted for many plans at once.

    cells : plans, trips, parts of a trip, rods; the counts : plans, one column for each that has
    a share; of stays 0 and the number of them.
    """
    plans, _, parts, rods = cells.shape
    on = (cells[..., None] == np.arange(variants)).astype(np.int64)
    others = np.array([one for one in range(variants) if one != reference])
    who = ALL if reference is None else OTHERS
    first, second = np.triu_indices(len(others), 1)
    found = [("turns", who, on.sum(axis=(1, 2, 3))[:, others])]
    for what, each, many in (
        ("rods", on.sum(axis=(1, 2)), rods),
        ("parts", on.sum(axis=(1, 3)), parts),
    ):
        if many > 1:
            found.append((what, who, each[..., others].reshape(plans, -1)))
            if reference is not None:
                found.append((what, REFERENCE, each[..., reference]))
    at_once = [("trips_shared", on.any(axis=(2, 3)))]
    if parts > 1 and rods > 1:
        at_once.append(("side_by_side", on.any(axis=3).reshape(plans, -1, variants)))
    for what, there in at_once:
        present = there.astype(np.int64)
        together = present.swapaxes(1, 2) @ present
        found.append((what, who, together[:, others[first], others[second]]))
        if reference is not None:
            found.append((what, REFERENCE, together[:, reference, others]))
    if rods > max(variants, 2):
        one, other = np.triu_indices(rods, 1)
        alike = (cells[..., one] == cells[..., other]).sum(axis=(1, 2))
        found.append(("alike", ALL, alike))
    after = _followed(cells, variants)
    if after.any():
        one, other = np.nonzero(~np.eye(variants, dtype=bool))
        apart = (one != reference) & (other != reference)
        found.append(("order", who, after[:, one[apart], other[apart]]))
        if reference is not None:
            found.append(("order", REFERENCE, after[:, one[~apart], other[~apart]]))
        stays = np.trace(after, axis1=1, axis2=2)
        found.append((STAYS, ALL, np.stack([0 * stays, stays], axis=1)))
    return [one for one in found if one[2].shape[1]]


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


def _followed(cells: Counts, variants: int) -> Counts:
    """How often each variant (last axis) came after each (axis before) on the same rod, by plan.

    From part to part of a trip where there are swaps, from trip to trip where there are none.
    """
    if cells.shape[2] > 1:
        before, after = cells[:, :, :-1], cells[:, :, 1:]
    else:
        before, after = cells[:, :-1], cells[:, 1:]
    plan = np.arange(len(cells))[:, None]
    pair = ((plan * variants + before.reshape(len(cells), -1)) * variants).ravel()
    counts = np.bincount(pair + after.ravel(), minlength=len(cells) * variants**2)
    return counts.reshape(len(cells), variants, variants)
