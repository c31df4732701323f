"""A rotation: which rod fishes which variant on each trip, and how even that came out.

Scope: asks for contents, lays them out, measures. Variants are labels here.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from rodhours.errors import UsageError
from rodhours.planning.arranging import STEPS, Grid, arranged
from rodhours.planning.balance import measures, relative_precision
from rodhours.planning.blind import CONSONANTS, VOWELS
from rodhours.planning.contents import trip_contents, with_reference
from rodhours.planning.plans import Rotation
from rodhours.planning.sequences import williams_parts, williams_trips

MOST_VARIANTS = 16
MOST_RODS = 6
MOST_TRIPS = 120
MOST_PARTS = 8


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
    steps: int = STEPS,
) -> Rotation:
    """Which variant each rod fishes on each trip, and in each part of it.

    variants : labels, at least two, all different
    rods, trips, parts : counts, at least 1; parts are the stretches of a trip between swaps
    reference : on every trip, where not all variants can be; `even` gives it no more than others
    seed : the same seed gives the same plan
    steps : swaps tried from each start of the search

    UsageError for what makes no plan.
    """
    labels = list(variants)
    checked_labels(labels, rods, trips, parts, reference)
    random = Random(f"{seed} {len(labels)} {rods} {trips} {parts}")
    turns = rods * parts
    at = None if reference is None else labels.index(reference)
    always = at is not None and not even and 1 < turns < len(labels)
    if always and at is not None:
        contents = with_reference(len(labels), at, turns, trips, random)
    else:
        contents = trip_contents(len(labels), turns, trips, random)
    first = _known(len(labels), rods, trips, parts, random)
    grid = arranged(contents, parts, rods, len(labels), random, first, steps)
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


def _known(variants: int, rods: int, trips: int, parts: int, random: Random) -> Grid | None:
    """The squares of Williams with labels and rods shuffled, where there is a rod for each."""
    if variants != rods:
        return None
    names = random.sample(range(variants), variants)
    order = random.sample(range(rods), rods)
    rows = (
        [(row,) for row in williams_trips(variants, trips)]
        if parts == 1
        else williams_parts(variants, trips, parts)
    )
    return tuple(tuple(tuple(names[row[rod]] for rod in order) for row in trip) for trip in rows)


def plan_name(*asked: object) -> str:
    """A name of four letters that follows from what was asked: the same plan, the same name."""
    random = Random(repr(asked))
    return "".join(random.choice(letters) for letters in (CONSONANTS, VOWELS) * 2)


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
