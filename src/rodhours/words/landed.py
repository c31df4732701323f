"""Fish lost against fish landed, by variant: counts and their shares, no comparison."""

from __future__ import annotations

from dataclasses import dataclass

from rodhours.words.numbers import MISSING, count, percent

HEADINGS = ("Variant", "Landed", "Lost", "Lost of those hooked", "Biggest weighed")
TITLE = "Landed, lost and the biggest"


@dataclass(frozen=True)
class LandedRow:
    """The fish landed and lost on one variant."""

    variant: str
    landed: int
    lost: int


@dataclass(frozen=True)
class Landed:
    """Fish landed and lost by variant, of the stints that say how many were lost.

    `rows` are in the order of the pictures; `unknown_stints` are those that do not say.
    """

    rows: tuple[LandedRow, ...]
    unknown_stints: int


def heading(landed: Landed) -> str:
    """Lost fish as a finding, where it stands alone."""
    lost = sum(row.lost for row in landed.rows)
    hooked = lost + sum(row.landed for row in landed.rows)
    if not lost:
        return "No hooked fish was lost"
    if lost == 1:
        return f"One of {hooked:,} hooked fish was lost"
    return f"{lost:,} of {hooked:,} hooked fish were lost"


def says(landed: Landed) -> str:
    """What the counts are about, and how many stints do not say how many fish were lost."""
    text = (
        "Lost fish are counted where the log says how many there were; whether one bait loses "
        "fewer is not asked here, since counts as small as these differ by luck alone."
    )
    if unknown := landed.unknown_stints:
        are = "is" if unknown == 1 else "are"
        text += f" {count(unknown, 'stint')} without that number {are} left out."
    return text


def share(row: LandedRow) -> str:
    """Lost fish as a share of those hooked; a dash where none was."""
    hooked = row.landed + row.lost
    return percent(row.lost / hooked) if hooked else MISSING
