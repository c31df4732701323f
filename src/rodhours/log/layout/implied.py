"""What a table in the trip log's own names says by itself: forms that can only mean one thing."""

from __future__ import annotations

import re

from rodhours.log.cells.cell import Units
from rodhours.log.layout.contents import Contents
from rodhours.log.layout.layout import COLUMNS, Layout
from rodhours.log.table import FileTable, known_columns
from rodhours.log.tables import Kind

_COMMA = re.compile(r"[+-]?\d{0,9},(?:\d{1,2}|\d{4,9})(?:\s?[a-z%]{1,5})?", re.IGNORECASE)
"""A decimal comma: before three digits it may be one for thousands."""
_POINT = re.compile(r"\d\.\d")


def implied_layout(raw: FileTable, weight_unit: str | None = None) -> Layout:
    """The forms of a table in our own names, which can only be one.

    Cells between semicolons may have decimal commas, where no number has a point.
    """
    kinds = {name: COLUMNS[name].kind for name in raw.names if name in known_columns(raw.table)}
    texts = [
        text
        for name, kind in kinds.items()
        if kind in (Kind.NUMBER, Kind.WEIGHT) and raw.semicolons
        for text in Contents(raw.named_columns[name]).distinct
    ]
    commas = any(map(_COMMA.fullmatch, texts)) and not any(map(_POINT.search, texts))
    units = Units(weight=weight_unit, decimal="," if commas else ".")
    return Layout(units=units, name=raw.place_of_table)


def implied_said(raw: FileTable) -> str:
    """That it was read so."""
    return f"{raw.place_of_table}: cells stand between semicolons, so 8,5 is read as 8.5."
