"""The unit a log's weights are shown in: the one that most of them were written in.

Remembered with the logbook at import; an option of each command shows the other.
"""

from __future__ import annotations

from collections import Counter

from rodhours.log.cells.weights import WEIGHT_UNITS
from rodhours.log.logbook import Logbook

WEIGHT_UNIT = "weight_unit"
"""The setting of the logbook; lb or kg."""


def unit_to_show(book: Logbook, asked: str | None = None) -> str:
    """The unit (lb or kg) to show weights in: the one asked for, else the logbook's, else lb."""
    return asked or book.setting(WEIGHT_UNIT) or WEIGHT_UNITS[0]


def remember_weight_unit(book: Logbook, written: Counter[str]) -> None:
    """Note what the weights of an import, just taken, were written in (counts by lb and kg).

    A logbook changes its unit only where more than half of all its weights are of the new one.
    """
    if not written.total():
        return
    unit, count = max(written.items(), key=lambda one: (one[1], one[0] == WEIGHT_UNITS[0]))
    remembered = book.setting(WEIGHT_UNIT)
    if remembered is not None and remembered != unit:
        held = sum(row["weight"] is not None for row in book.catches())
        if 2 * count <= held:
            return
    book.set_setting(WEIGHT_UNIT, unit)
