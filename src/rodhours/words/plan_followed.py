"""What became of a plan at the bank: one text of three parts for each code."""

from __future__ import annotations

from collections.abc import Mapping

from rodhours.evidence.result import Note
from rodhours.words.numbers import count, limits, listed, number, percent, the_count, times
from rodhours.words.parts import Parts

DILUTED = "That says what being told to fish a bait brings: swaps water it down towards 1, but why "
DILUTED += "they were made cannot flatter it."


def plan_departed(note: Note) -> Parts:
    """Stints with another bait than planned, and the answer as planned where they are many."""
    numbers = note.numbers
    planned, departed = numbers["planned"], numbers["departed"]
    by_rod = {f"rod {rod}": many for rod, many in numbers["rods"].items()}
    answers = listed(
        f"{one['variant']} caught {times(one['as_planned'])} as fast as the reference "
        f"({limits(one['conf_low'], one['conf_high'])}), not {times(one['rate_ratio'])}"
        for one in numbers["answers"]
        if one["rate_ratio"] is not None
    )
    on_rods = f", {_each(by_rod, 'on')}" if by_rod else ""
    moved = "A bait that is put on where fish show gets their credit."
    return Parts(
        f"{_of(departed, planned)} had another bait than planned: "
        f"{_each(numbers['towards'], 'to')}{on_rods}.",
        f"{moved} By the bait planned, {answers}. {DILUTED}" if answers else moved,
        "Where a swap followed what a rod showed, go by the answer as planned (--as-planned).",
    )


def as_planned(note: Note) -> Parts:
    """An answer by the bait that the plan asked for."""
    numbers = note.numbers
    unplanned = numbers["unplanned"]
    aside = f" {count(unplanned, 'stint')} without a plan stood aside." if unplanned else ""
    return Parts(
        "Baits are compared here as planned, not as fished: "
        f"{_of(numbers['departed'], numbers['planned'])} had another one.{aside}",
        DILUTED,
    )


def rods_unfished(note: Note) -> Parts:
    """Rods that the plan asked for and that were not fished, or of which nothing is said."""
    numbers = note.numbers
    counted = [
        f"{says} {_each(numbers[kind], 'with')}"
        for kind, says in (("empty", "nothing is said of"), ("unfished", "not fished were"))
        if numbers[kind]
    ]
    bait = numbers["bait"]
    if bait is None:
        moved = "If they were left out because they blanked, all catch rates are too high."
    else:
        moved = (
            f"More of them are of {bait} than chance would often have it. If it was left out "
            "because it blanked, it looks better than it is."
        )
    return Parts(
        f"Of the rods planned, {percent(numbers['share'])} are missing: {listed(counted)}.",
        moved,
        "Fill in each rod of a trip, a blank as 0; no figuring afterwards mends it.",
    )


def opened_early(note: Note) -> Parts:
    """A key that was opened before all trips were in."""
    numbers = note.numbers
    after = numbers["after"]
    came = f"{count(after, 'trip')} of it came after" if after else "no trip of it has come since"
    return Parts(
        f"The key of rotation {numbers['plan']} was opened on {numbers['opened_on']}, with "
        f"{number(numbers['blind'])} of {count(numbers['planned'], 'planned trip')} in; {came}.",
        "Whoever knows the bag may give it the better spot, or stop while it is ahead."
        if after
        else "Trips still to come are not blind.",
        "Trips fished before the opening but imported later were blind all the same." * bool(after),
    )


def _of(some: int, planned: int) -> str:
    share = f" ({percent(some / planned)})" if some else ""
    return f"{number(some)} of {the_count(planned, 'planned stint')}{share}"


def _each(counts: Mapping[str, int], where: str) -> str:
    return listed(f"{many:,} {where} {name}" for name, many in counts.items())
