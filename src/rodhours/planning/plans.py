"""The frozen results of planning a rotation: the plan itself, and one measure of its balance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


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

    @property
    def difference(self) -> int:
        """Between the most and the fewest."""
        return self.most - self.fewest

    @property
    def reached(self) -> bool:
        """Whether no plan with these totals can be more even."""
        return self.difference <= self.least_difference

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        return {
            "measure": self.what,
            "of": self.who,
            "fewest": self.fewest,
            "most": self.most,
            "difference": self.difference,
            "least_difference": self.least_difference,
            "reached": self.reached,
        }


@dataclass(frozen=True)
class Rotation:
    """A plan for a season.

    turns : trips, then parts of a trip, then rods; each the label of the variant
    precision : how exact a comparison of two variants is for the same rod-hours each, against
        all variants on every trip (1); None where some can only be compared from trip to trip
    reference_precision : the same for comparisons with the reference, against a plan of equal
        turns; None where the reference is not on every trip by design
    """

    name: str
    variants: tuple[str, ...]
    rods: int
    trips: int
    parts: int
    seed: int
    reference: str | None
    reference_on_every_trip: bool
    turns: tuple[tuple[tuple[str, ...], ...], ...]
    balance: tuple[Measure, ...]
    precision: float | None
    reference_precision: float | None

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours plan rotation --json` prints of the plan."""
        return {
            "schema": 1,
            "plan": self.name,
            "variants": list(self.variants),
            "rods": self.rods,
            "trips": self.trips,
            "parts": self.parts,
            "seed": self.seed,
            "reference": self.reference,
            "reference_on_every_trip": self.reference_on_every_trip,
            "balance": [one.to_dict() for one in self.balance],
            "precision": self.precision,
            "reference_precision": self.reference_precision,
            "turns": [
                {"trip": trip, "part": part, "rod": rod, "variant": variant}
                for trip, of_trip in enumerate(self.turns, 1)
                for part, of_part in enumerate(of_trip, 1)
                for rod, variant in enumerate(of_part, 1)
            ],
        }
