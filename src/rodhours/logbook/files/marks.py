"""What a workbook's own XML or records tell of its cells and a reader of values leaves out."""

from __future__ import annotations

from dataclasses import dataclass, field

Cell = tuple[int, int]
"""Row and column of a cell, both from 1."""

MAX_CELLS = 5_000_000
"""Cells in the rectangle from A1 to the last filled one: what a reader would have to lay out.

A hundred thousand rows of fifty columns.
"""

MAX_TEXT = 400 * 2**20
"""Bytes of text in all cells, where one text may stand for many cells."""


@dataclass
class Marks:
    """One sheet: cells that show an error, percentages, formulas without a saved value.

    `extent` is the last row and the last column with a value in them, as far as it was looked
    for (0, 0 where the sheet is plainly small); `text` at most how many bytes its texts have.
    """

    errors: dict[Cell, str] = field(default_factory=dict)
    percentages: set[Cell] = field(default_factory=set)
    unsaved: list[Cell] = field(default_factory=list)
    extent: Cell = (0, 0)
    text: int = 0

    def reach(self, row: int, column: int) -> None:
        """Note that this cell has a value."""
        rows, columns = self.extent
        self.extent = max(rows, row), max(columns, column)


def cell_name(cell: Cell) -> str:
    """The name of a cell as a spreadsheet shows it: C5."""
    row, column = cell
    letters = ""
    while column:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return f"{letters}{row}"
