"""A table as it stands in a file: raw cells that know their address."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class RawTable:
    """One table as it stands in a file.

    `columns` holds the text cells column by column, one list for each name in `header` (which
    is empty where a column has no name);
    `rows` the row numbers as a spreadsheet shows them. Rows whose cells do not fit the header
    are in `misfits` by position, with all their cells.
    """

    file: str
    sheet: str | None
    table: str
    named: bool
    header: tuple[str, ...]
    header_row: int
    columns: tuple[Sequence[str], ...]
    rows: list[int]
    misfits: dict[int, list[str]]

    @property
    def workbook(self) -> bool:
        """Whether it comes from a workbook, whose dates and numbers are typed."""
        return self.sheet is not None

    def cells(self, position: int) -> list[str]:
        """All cells of one row, as they were."""
        if position in self.misfits:
            return self.misfits[position]
        return [column[position] for column in self.columns]

    def place(self, position: int) -> str:
        """The row's address in words."""
        sheet = f", sheet {self.sheet}" if self.sheet is not None else ""
        return f"row {self.rows[position]} of {self.file}{sheet}"
