"""Hints on cells that refuse no row: hours as read, errors left out, the unit of weights."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import is_error_cell
from rodhours.log.cells.hours import in_words
from rodhours.log.cells.weights import KG_PER_LB, OZ_PER_LB, read_weight, weight_family
from rodhours.log.layout.layout import targets
from rodhours.log.table import FileTable, known_columns

READINGS_SHOWN = 6


def remarks(raws: Iterable[FileTable]) -> list[str]:
    """The hints on the cells of these tables."""
    return [hint for raw in raws for hint in (*_hours_read(raw), *_errors_left_out(raw))]


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


def _hours_read(raw: FileTable) -> Iterator[str]:
    """Hours in words or as a duration; those in the form of a layout are said with it."""
    if raw.table != "stints" or raw.layout is not None:
        return
    texts = dict.fromkeys(map(str.strip, raw.named_columns.get("hours", ())))
    read = {text: float(value) for text in texts if (value := in_words(text)) is not None}
    if read:
        items = list(read.items())[:READINGS_SHOWN]
        shown = ", ".join(f"{text} as {value:.4g} hours" for text, value in items)
        more = len(read) - len(items)
        rest = f", and {more:,} more in the same manner" if more else ""
        yield f"{raw.place_of_table}, column hours: read {shown}{rest}."


def _errors_left_out(raw: FileTable) -> Iterator[str]:
    """Errors of formulas in columns that are kept as they are."""
    kept = set(raw.names) - set(known_columns(raw.table))
    if raw.layout is not None:
        kept = {name for name, ours in targets(raw, raw.layout).items() if ours == name} & kept
    for name, column in raw.named_columns.items():
        if name in kept:
            errors = Counter(text for text in map(str.strip, column) if is_error_cell(text))
            if errors:
                have = "cell has" if errors.total() == 1 else "cells have"
                yield (
                    f"{raw.place_of_table}, column {name}: {errors.total():,} {have} the error of "
                    f"a formula ({', '.join(sorted(errors))}), taken as not recorded."
                )
