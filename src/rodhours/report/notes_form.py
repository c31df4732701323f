"""Notes to fill in on a phone: a plan's trips or a free one, as text that imports as it is."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.log.notes.grammar import FISH, OF_ROD, REMARK, quoted
from rodhours.planning.blind import KEY_COLUMN
from rodhours.planning.rotation import Rotation
from rodhours.report.text_tables import wrapped
from rodhours.words import rotation as words

WIDTH = 72
FREE_RODS = 3
_TRIP = "day , from , water , swim "
_ROD = ", ".join(f"{one.says} " for one in OF_ROD if one.says in ("in", "out", FISH.says, "lost"))


def plan_notes(plan: Rotation, year: int) -> str:
    """The trips of a plan as notes: a line for each rod and bait, to be filled in."""
    trips = []
    of_key = f"{KEY_COLUMN}: {plan.key}, " if plan.key else ""
    for number, parts in enumerate(plan.turns, 1):
        lines = [f"trip {quoted(words.trip_label(plan.name, number))}, {of_key}{_TRIP}"]
        for part, row in enumerate(parts, 1):
            of_part = f"part {part}, " if plan.parts > 1 else ""
            lines += [
                f"{rod} {quoted(bait)}, planned, {of_part}{_ROD}" for rod, bait in enumerate(row, 1)
            ]
        trips.append(lines)
    return _notes(words.title(plan), [words.KEEP_TO_IT, *words.HOW_TO_NOTE], trips, year)


def free_notes(baits: Sequence[str], year: int) -> str:
    """One trip without a plan, with the baits that the logbook knows where there are any."""
    rods = [f"{rod} , {_ROD}" for rod in range(1, FREE_RODS + 1)]
    how = [
        *words.HOW_TO_NOTE,
        *([words.KNOWN_BAITS.format(", ".join(map(quoted, baits)))] if baits else []),
    ]
    return _notes(words.NOTES_TITLE, how, [[f"trip {_TRIP}", *rods]], year)


def _notes(title: str, how: Sequence[str], trips: Sequence[Sequence[str]], year: int) -> str:
    told = [title, *how, *words.CAUTIONS]
    remarks = [wrapped(text, WIDTH, f"{REMARK} ", f"{REMARK} ") for text in told]
    return "\n".join([*remarks, "", f"notes {year}", *("\n" + "\n".join(one) for one in trips), ""])
