"""A table as a CSV file that lies inside the page: a link that works without a network.

Cells are safe to open in a spreadsheet: text that would be taken for a formula is marked as text.
"""

from __future__ import annotations

import base64
import re

import pandas as pd

from rodhours.spreadsheet_cells import csv_text

_THOUSANDS = re.compile(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?")
_NUMBER = re.compile(r"[-+−]?\d+(\.\d+)?")
_MARK = "\ufeff"
"""Tells spreadsheets that the file is UTF-8."""


def cell_text(text: str) -> str:
    """A cell of the page as a spreadsheet takes it: numbers without commas and with its minus."""
    if _THOUSANDS.fullmatch(text):
        text = text.replace(",", "")
    if _NUMBER.fullmatch(text):
        return text.replace("−", "-")
    return text


def csv_link(table: pd.DataFrame) -> str:
    """The table as an address that holds the file itself."""
    rows = [table.columns, *table.itertuples(index=False, name=None)]
    text = csv_text([[cell_text(str(cell)) for cell in row] for row in rows])
    data = base64.b64encode((_MARK + text).encode("utf-8")).decode("ascii")
    return f"data:text/csv;charset=utf-8;base64,{data}"
