"""A table as it stands in a file: raw cells that know their address."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

Fault = tuple[int, str | None, str, str | None]
"""A cell that cannot be taken: position, column, what would be right, what was found.

Where what would be right is empty, another fault of its row in the file says it already.
"""


def misfit_fault(cells: Sequence[str], width: int) -> tuple[str, str]:
    """What would be right, and what was found, in a row whose cells do not fit the header."""
    if len(cells) < width:
        says = "as many cells as there are columns: an empty cell still needs its comma"
    else:
        says = "empty beyond the named columns (a text with a comma in it needs quotes)"
    return says, f"{len(cells)} cells where the header has {width}"


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

    @property
    def faults(self) -> Sequence[Fault]:
        """Cells that were found at fault before the table was read; none as it stands."""
        return ()

    @property
    def leads(self) -> Sequence[bool] | None:
        """Which rows are the first of their row in the file; None where each is one by itself."""
        return None

    @property
    def rows_in_file(self) -> int:
        """How many data rows the file has for this table."""
        return len(self.rows)

    def as_in_file(self, position: int) -> tuple[RawTable, int]:
        """The table as the file has it, and the row's position in there."""
        return self, position

    def cell_in_file(self, column: str | None, position: int) -> tuple[str | None, str | None]:
        """The name that the file has for a column, and the filled cell in this row, or None."""
        if column is None or column not in self.header:
            return column, None
        return column, self.columns[self.header.index(column)][position].strip() or None

    def only(self, positions: Sequence[int]) -> RawTable:
        """The same table with these rows alone, in this order; for tables as they stand."""
        new = {old: place for place, old in enumerate(positions)}
        return replace(
            self,
            columns=tuple([column[old] for old in positions] for column in self.columns),
            rows=[self.rows[old] for old in positions],
            misfits={new[old]: cells for old, cells in self.misfits.items() if old in new},
        )

    @property
    def place_of_table(self) -> str:
        """The table's address in words."""
        return self.file + (f", sheet {self.sheet}" if self.sheet is not None else "")

    @property
    def place_of_header(self) -> str:
        """The address of the column names in words."""
        sheet = f", sheet {self.sheet}" if self.sheet is not None else ""
        return f"row {self.header_row} of {self.file}{sheet}"

    def place(self, position: int) -> str:
        """The row's address in words."""
        sheet = f", sheet {self.sheet}" if self.sheet is not None else ""
        return f"row {self.rows[position]} of {self.file}{sheet}"
