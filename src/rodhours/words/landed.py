"""Fish lost against fish landed, by variant: counts and their shares, no comparison."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.words.numbers import MISSING, count, percent

HEADINGS = ("Variant", "Landed", "Lost", "Lost of those hooked", "Biggest weighed")
TITLE = "Landed, lost and the biggest"


def heading(rows: Sequence[Mapping[str, Any]]) -> str:
    """Lost fish as a finding, where it stands alone; each row has landed and lost."""
    lost = sum(row["lost"] for row in rows)
    hooked = lost + sum(row["landed"] for row in rows)
    if not lost:
        return "No hooked fish was lost"
    if lost == 1:
        return f"One of {hooked:,} hooked fish was lost"
    return f"{lost:,} of {hooked:,} hooked fish were lost"


def says(unknown: int) -> str:
    """What the counts are about; `unknown` stints do not say how many fish were lost."""
    text = (
        "Lost fish are counted where the log says how many there were; whether one bait loses "
        "fewer is not asked here, since counts as small as these differ by luck alone."
    )
    if unknown:
        text += f" {count(unknown, 'stint')} without that number {_are(unknown)} left out."
    return text


def share(landed: int, lost: int) -> str:
    """Lost fish as a share of those hooked; a dash where none was."""
    return percent(lost / (landed + lost)) if landed + lost else MISSING


def _are(many: int) -> str:
    return "is" if many == 1 else "are"
