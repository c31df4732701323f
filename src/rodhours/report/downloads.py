"""A table as a CSV file that lies inside the page: a link that works without a network.

Cells are safe to open in a spreadsheet: text that would be taken for a formula is marked as text.
"""

from __future__ import annotations

import base64
import csv
import io
import re

import pandas as pd

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins with one of these runs as a formula in a spreadsheet."""
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(,\d{3})+(\.\d+)?")
_NUMBER = re.compile(r"[-+−]?\d+(\.\d+)?")
_MARK = "\ufeff"
"""Tells spreadsheets that the file is UTF-8."""


def csv_text(table: pd.DataFrame) -> str:
    """A table as CSV, numbers without commas, an apostrophe before what looks like a formula."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow([safe_cell(str(column)) for column in table.columns])
    for row in table.itertuples(index=False, name=None):
        writer.writerow([safe_cell(str(cell)) for cell in row])
    return stream.getvalue()


def safe_cell(text: str) -> str:
    """One cell as text or number, never as a formula."""
    if _THOUSANDS.fullmatch(text):
        text = text.replace(",", "")
    if _NUMBER.fullmatch(text):
        return text.replace("−", "-")
    return f"'{text}" if text.startswith(FORMULA) else text


def csv_link(table: pd.DataFrame) -> str:
    """The table as an address that holds the file itself."""
    data = base64.b64encode((_MARK + csv_text(table)).encode("utf-8")).decode("ascii")
    return f"data:text/csv;charset=utf-8;base64,{data}"
