"""What is worth a word about the cells of an import, though none of it refuses a row.

How hours were read that are no decimal number, errors of formulas in columns that are not
needed, and the unit that weights were written in.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from rodhours.logbook import cells as units
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.tables import SESSIONS, STINTS, TABLES, VARIANTS
from rodhours.wording import cells as words

READINGS_SHOWN = 6


def remarks(raws: Iterable[RawTable]) -> list[str]:
    """The hints on the cells of these tables."""
    return [hint for raw in raws for hint in (*_hours_read(raw), *_errors_left_out(raw))]


def weights_written(raws: Iterable[RawTable], weight_unit: str | None) -> Counter[str]:
    """How many weights were written in pounds (`lb`) and in kilograms (`kg`).

    Kilograms to more than three decimals that make whole ounces are pounds of an earlier
    logbook: nobody weighs a fish to the tenth of a gram.
    """
    found: Counter[str] = Counter()
    for raw in raws:
        if raw.table != "catches" or "weight" not in raw.header:
            continue
        for cell, count in Counter(raw.columns[raw.header.index("weight")]).items():
            try:
                family = units.weight_family(cell.strip(), weight_unit)
                kg = units.read_weight(cell.strip(), weight_unit)
            except units.CellFault:
                continue
            ounces = kg / units.KG_PER_LB * units.OZ_PER_LB
            if kg != round(kg, 3) and abs(ounces - round(ounces)) < 1e-6:
                family = "lb"
            found[family] += count
    return found


def _hours_read(raw: RawTable) -> Iterator[str]:
    if raw.table != "stints" or "hours" not in raw.header:
        return
    read = {}
    for text in dict.fromkeys(map(str.strip, raw.columns[raw.header.index("hours")])):
        if units.hours_were_read(text):
            try:
                read[text] = units.hours(text, workbook=raw.workbook)
            except units.CellFault:
                continue
    if read:
        shown = list(read.items())[:READINGS_SHOWN]
        yield words.hours_taken(_place(raw), shown, len(read) - len(shown))


def _errors_left_out(raw: RawTable) -> Iterator[str]:
    known = set(TABLES[raw.table].names)
    if raw.table == STINTS.name:
        known |= {*SESSIONS.names, *VARIANTS.names}
    for name, column in zip(raw.header, raw.columns, strict=True):
        if name and name not in known:
            errors = Counter(text for text in map(str.strip, column) if units.is_error_cell(text))
            if errors:
                yield words.errors_left_out(_place(raw), name, sorted(errors), errors.total())


def _place(raw: RawTable) -> str:
    return raw.file if raw.sheet is None else f"{raw.file}, sheet {raw.sheet}"
