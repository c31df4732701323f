"""What a rotation is asked for: how many variants, rods, trips and parts of a trip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rodhours.planning.balance import STAYS, Counts

Contents = list[list[int]]
"""Blocks, one for each trip: the variants that have a turn more than others, in no order."""

UNEVEN, ABOVE = 1e7, 1e5
"""Weights of what is uneven beyond what is allowed, and of what is above its bound at the end where
that is the same."""
WEIGHTS = {"rods": 20, "parts": 20, "alike": 10, "side_by_side": 3, "order": 2, STAYS: 4}
"""Of turns on a rod and in a part, of rods that fish the same variant, of pairs side by side and
of the order of variants on a rod; all are weights of squares."""


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
