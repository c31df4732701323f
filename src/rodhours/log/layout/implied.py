"""What a table in the trip log's own names says by itself: forms that can only mean one thing."""

from __future__ import annotations

import re
from dataclasses import replace

from rodhours.log.layout import proposal_words as words
from rodhours.log.layout.contents import Contents
from rodhours.log.layout.layout import COLUMNS, Dates, Layout, Units
from rodhours.log.table import FileTable, known_columns
from rodhours.log.tables import Kind

_COMMA = re.compile(r"[+-]?\d{0,9},(?:\d{1,2}|\d{4,9})(?:\s?[a-z%]{1,5})?", re.IGNORECASE)
"""A decimal comma: before three digits it may be one for thousands."""
_POINT = re.compile(r"\d\.\d")


def implied_layout(raw: FileTable, weight_unit: str | None = None) -> Layout | None:
    """The layout of a table whose cells need one that can only be one; None where none does.

    Cells between semicolons may have decimal commas, where no number has a point; times of day
    beside a date are of that day.
    """
    cells = {
        name: one for name, one in raw.named_columns.items() if name in known_columns(raw.table)
    }
    kinds = {name: COLUMNS[name].kind for name in cells}
    units = Units(
        ("decimal", "clock", "spelt") if raw.workbook else ("decimal", "spelt"), weight_unit
    )
    dates = Dates()
    if raw.semicolons:
        texts = [
            text
            for name, kind in kinds.items()
            if kind in (Kind.NUMBER, Kind.WEIGHT)
            for text in Contents(cells[name]).distinct
        ]
        if any(map(_COMMA.fullmatch, texts)) and not any(map(_POINT.search, texts)):
            units = replace(units, decimal=",")
    if "date" in raw.names and any(
        kind is Kind.MOMENT and Contents(cells[name]).clock_times for name, kind in kinds.items()
    ):
        dates = Dates(clock_on="date")
    if (units.decimal, dates) == (".", Dates()):
        return None
    return Layout(units=units, dates=dates, name=raw.place_of_table)


def implied_said(raw: FileTable, layout: Layout) -> list[str]:
    """One line for each thing that was read so."""
    said = []
    if layout.units.decimal == ",":
        said.append("cells stand between semicolons, so 8,5 is read as 8.5.")
    if layout.dates.clock_on is not None:
        said.append(words.clock_said(layout.dates.clock_on))
    return [f"{raw.place_of_table}: {one}" for one in said]
