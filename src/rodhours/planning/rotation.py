"""A rotation: which rod fishes which variant on each trip, and how even that came out.

Scope: asks for contents, lays them out, measures. Variants are labels here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any, ClassVar

from rodhours.errors import UsageError
from rodhours.evidence.result import Result
from rodhours.planning.arrange import STARTS, arranged
from rodhours.planning.balance import Measure, measures, relative_precision
from rodhours.planning.blind import CONSONANTS, VOWELS, new_plan_name
from rodhours.planning.design import Design
from rodhours.progress import Progress

MOST_VARIANTS = 16
MOST_RODS = 6
MOST_TRIPS = 120
MOST_PARTS = 8


@dataclass(frozen=True, repr=False)
class Rotation(Result):
    """A plan for a season.

    turns : trips, then parts of a trip, then rods; each the label of the variant
    precision : how exact a comparison of two variants is for the same rod-hours each, against
        all variants on every trip (1); None where some can only be compared from trip to trip
    reference_precision : the same for comparisons with the reference, against a plan of equal
        turns; None where the reference is not on every trip by design
    key : the fingerprint of the key where the variants are bag codes, else None
    part_hours : of each part of a trip, where there are swaps
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
    key: str | None = None
    part_hours: float | None = None

    KEYS: ClassVar[tuple[str, ...]] = (
        "plan=name", "variants", "rods", "trips", "parts", "seed", "reference=told_reference",
        "reference_on_every_trip", "balance", "precision", "reference_precision", "turns=rows",
        "blind", "key", "part_hours",
    )  # fmt: skip

    @property
    def blind(self) -> bool:
        """Whether the variants are bag codes."""
        return self.key is not None

    @property
    def told_reference(self) -> str | None:
        """The reference; None of a blind plan, where it would be the first line of the key."""
        return None if self.blind else self.reference

    @property
    def turns_a_trip(self) -> int:
        """Rods times parts."""
        return self.rods * self.parts

    @property
    def rows(self) -> list[dict[str, Any]]:
        """Each turn by itself, trips, parts and rods counted from 1."""
        return [
            {"trip": trip, "part": part, "rod": rod, "variant": variant}
            for trip, of_trip in enumerate(self.turns, 1)
            for part, of_part in enumerate(of_trip, 1)
            for rod, variant in enumerate(of_part, 1)
        ]


def plan_rotation(
    variants: Sequence[str],
    rods: int,
    trips: int,
    *,
    parts: int = 1,
    reference: str | None = None,
    even: bool = False,
    seed: int = 1,
    name: str = "",
    starts: int = STARTS,
    progress: Progress | None = None,
) -> Rotation:
    """Which variant each rod fishes on each trip, and in each part of it.

    variants : labels, at least two, all different
    rods, trips, parts : counts, at least 1; parts are the stretches of a trip between swaps
    reference : on every trip, where not all variants can be; `even` gives it no more than others
    seed : the same seed gives the same plan
    starts : starts of the search; from the usual number a short season may go on to more
    progress : called with how much of it is done and how much there is to do

    UsageError for what makes no plan.
    """
    labels = list(variants)
    checked_labels(labels, rods, trips, parts, reference)
    random = Random(f"{seed} {len(labels)} {rods} {trips} {parts}")
    turns = rods * parts
    at = None if reference is None else labels.index(reference)
    always = at is not None and not even and 1 < turns < len(labels)
    design = Design(len(labels), rods, trips, parts, at if always else None)
    grid = arranged(design, random, starts, progress)
    return Rotation(
        name=name,
        variants=tuple(labels),
        rods=rods,
        trips=trips,
        parts=parts,
        seed=seed,
        reference=reference,
        reference_on_every_trip=always,
        turns=tuple(tuple(tuple(labels[one] for one in part) for part in trip) for trip in grid),
        balance=measures(grid, len(labels), at if always else None),
        precision=relative_precision(grid, len(labels)),
        reference_precision=relative_precision(grid, len(labels), at) if always else None,
    )


def plan_name(*asked: object) -> str:
    """A name of four letters that follows from what was asked: the same plan, the same name."""
    random = Random(repr(asked))
    return "".join(random.choice(letters) for letters in (CONSONANTS, VOWELS) * 2)


def free_name(asked: Sequence[object] | None, taken: Callable[[str], bool]) -> tuple[str, str]:
    """The name that what was asked gives (by chance where None), and one that is not taken.

    The same plan in the next season would have the labels of this one, and trips of two years
    would be taken for one.
    """
    first = new_plan_name() if asked is None else plan_name(*asked)
    name, number = first, 1
    while taken(name):
        number += 1
        name = new_plan_name() if asked is None else f"{first}{number}"
    return first, name


def checked_labels(
    labels: Sequence[str], rods: int, trips: int, parts: int, reference: str | None
) -> None:
    """UsageError where these make no plan."""
    labels = list(labels)
    if len(labels) < 2:
        raise UsageError(
            "A rotation needs two variants or more, such as --variants plain,pellet-20."
        )
    twice = sorted({one for one in labels if labels.count(one) > 1})
    if twice:
        raise UsageError(f"The variant {twice[0]} is named twice: name each once.")
    for what, many, most in (
        ("variants", len(labels), MOST_VARIANTS),
        ("rods", rods, MOST_RODS),
        ("trips", trips, MOST_TRIPS),
        ("parts of a trip", parts, MOST_PARTS),
    ):
        if not 1 <= many <= most:
            raise UsageError(f"A rotation is for 1 to {most} {what}, not {many}.")
    if reference is not None and reference not in labels:
        raise UsageError(
            f"The reference {reference} is not among the variants: {', '.join(labels)}."
        )
