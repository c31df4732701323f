"""What a table in the trip log's own names says by itself: forms that can only mean one thing."""

from __future__ import annotations

import re
from dataclasses import replace

from rodhours.log.layout.contents import Contents
from rodhours.log.layout.layout import COLUMNS, Layout, Units
from rodhours.log.table import FileTable, known_columns
from rodhours.log.tables import Kind

_COMMA = re.compile(r"[+-]?\d{0,9},(?:\d{1,2}|\d{4,9})(?:\s?[a-z%]{1,5})?", re.IGNORECASE)
"""A decimal comma: before three digits it may be one for thousands."""
_POINT = re.compile(r"\d\.\d")


def implied_layout(raw: FileTable, weight_unit: str | None = None) -> Layout | None:
    """The layout of a table whose cells need one that can only be one; None where none does.

    Cells between semicolons may have decimal commas, where no number has a point.
    """
    cells = {
        name: one for name, one in raw.named_columns.items() if name in known_columns(raw.table)
    }
    kinds = {name: COLUMNS[name].kind for name in cells}
    units = Units(
        ("decimal", "clock", "spelt") if raw.workbook else ("decimal", "spelt"), weight_unit
    )
    if raw.semicolons:
        texts = [
            text
            for name, kind in kinds.items()
            if kind in (Kind.NUMBER, Kind.WEIGHT)
            for text in Contents(cells[name]).distinct
        ]
        if any(map(_COMMA.fullmatch, texts)) and not any(map(_POINT.search, texts)):
            units = replace(units, decimal=",")
    return None if units.decimal == "." else Layout(units=units, name=raw.place_of_table)


def implied_said(raw: FileTable) -> str:
    """That it was read so."""
    return f"{raw.place_of_table}: cells stand between semicolons, so 8,5 is read as 8.5."
