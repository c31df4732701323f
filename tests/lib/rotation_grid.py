"""A grid of rotations, measured by hand: how uneven before its end, above its bounds, how exact.

Run `python tests/lib/rotation_grid.py` in two checkouts and lay the lines side
by side: nothing that one reaches may be worse in the other.
"""

from __future__ import annotations

import itertools
import time
from collections import Counter
from itertools import combinations

from rodhours.planning.even_blocks import shortest_even
from rodhours.planning.rotation import plan_rotation

CELLS = [
    *((variants, rods, trips, 1, False) for variants, rods, trips in (
        (2, 1, 23), (2, 3, 30), (4, 2, 23), (4, 3, 30), (5, 3, 10), (6, 2, 20), (6, 3, 7),
        (6, 3, 20), (6, 3, 30), (7, 2, 23), (7, 4, 12), (8, 3, 30), (8, 4, 12), (8, 4, 20),
        (8, 4, 30), (9, 2, 23), (9, 4, 23), (10, 4, 30),
    )),
    *((variants, rods, trips, 1, True) for variants, rods, trips in (
        (4, 3, 7), (5, 2, 20), (6, 2, 12), (6, 3, 20), (7, 4, 7), (7, 4, 12),
    )),
    *((variants, rods, trips, parts, False) for variants, rods, trips, parts in (
        (3, 2, 8, 2), (4, 2, 20, 2), (4, 3, 20, 2), (6, 2, 12, 2), (6, 2, 12, 3), (8, 3, 12, 2),
    )),
    (7, 3, 12, 2, True),
]  # fmt: skip
"""Baits, rods, trips, parts of a trip, and whether the first bait is a reference."""


def uneven(counts, divides):
    """By how much counts differ by more than a total that divides, or does not, lets them at best,
    or than one more."""
    counts = list(counts)
    return max(max(counts) - min(counts) - (2 - divides), 0) if counts else 0


def uneven_before(plan):
    """The sum over all trips of what turns of baits, of baits on rods, and trips shared by pairs
    then differ by beyond what is allowed; of a reference by itself.

    Pairs share out evenly only after whole rounds of a balanced design.
    """
    reference = plan.reference if plan.reference_on_every_trip else None
    names = [one for one in plan.variants if one != reference]
    each = plan.rods * plan.parts - (reference is not None)
    whole, size = divmod(each, len(names))
    a_round = shortest_even(len(names), size) if size > 1 else 1
    turns, on_rod, pairs, found = Counter(), Counter(), Counter(), 0
    for number, trip in enumerate(plan.turns, 1):
        now = Counter(one for part in trip for one in part)
        turns.update(now)
        on_rod.update((one, rod) for part in trip for rod, one in enumerate(part))
        pairs.update(combinations([one for one in names if now[one] > whole], 2))
        found += uneven((turns[one] for one in names), number * each % len(names) == 0)
        if plan.rods > 1:
            of_rods = itertools.product(names, range(plan.rods))
            even = number * each % (len(names) * plan.rods) == 0
            found += uneven((on_rod[one] for one in of_rods), even)
            of_it = [] if reference is None else [on_rod[reference, r] for r in range(plan.rods)]
            found += uneven(of_it, number % plan.rods == 0)
        if size > 1:
            found += uneven((pairs[one] for one in combinations(names, 2)), number % a_round == 0)
    return found


def main() -> None:
    """A line for each cell."""
    for variants, rods, trips, parts, has_reference in CELLS:
        names, began = "abcdefghijklmnop"[:variants], time.process_time()
        reference = names[0] if has_reference else None
        plan = plan_rotation(names, rods, trips, parts=parts, reference=reference)
        took = time.process_time() - began
        above = [f"{one.what} {one.difference}" for one in plan.balance if not one.reached]
        print(
            f"{variants} baits {rods} rods {trips} trips {parts} parts",
            f"reference {has_reference:d}: uneven before {uneven_before(plan)},",
            f"above bounds {', '.join(above) or 'nothing'},",
            f"precision {plan.precision or 0:.4f}, {took:.1f} s",
            flush=True,
        )


if __name__ == "__main__":
    main()
