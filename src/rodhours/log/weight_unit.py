"""The unit a log's weights are shown in: the one that most of them were written in.

Remembered with the logbook at import; an option of each command shows the other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING

from rodhours.log.cells import CellFault
from rodhours.log.cells.weights import (
    KG_PER_LB,
    OZ_PER_LB,
    WEIGHT_UNITS,
    read_weight,
    weight_family,
)
from rodhours.log.layout.layout import targets
from rodhours.log.table import FileTable

if TYPE_CHECKING:
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


def weights_written(raw: FileTable, weight_unit: str | None) -> Counter[str]:
    """How many weights were written in pounds (`lb`) and in kilograms (`kg`).

    Kilograms to more than three decimals that make whole ounces are pounds of an earlier
    logbook: nobody weighs a fish to the tenth of a gram.
    """
    found: Counter[str] = Counter()
    if raw.table != "catches":
        return found
    names, decimal = {name: name for name in raw.names}, "."
    known: Mapping[str, str] = {}
    if raw.layout is not None:
        names = targets(raw, raw.layout)
        weight_unit, decimal = raw.layout.units.weight, raw.layout.units.decimal
        known = raw.layout.values.get("weight", {})
    theirs = next((name for name, ours in names.items() if ours == "weight"), None)
    for cell, count in Counter(raw.named_columns.get(theirs or "", ())).items():
        text = cell.strip()
        form = (known[text], None, ".") if text in known else (text, weight_unit, decimal)
        try:
            family, kg = weight_family(*form), read_weight(*form)
        except CellFault:
            continue
        ounces = kg / KG_PER_LB * OZ_PER_LB
        if kg != round(kg, 3) and abs(ounces - round(ounces)) < 1e-6:
            family = "lb"
        found[family] += count
    return found
