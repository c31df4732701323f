"""A table under our column names, which still knows the file's rows, names and cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rodhours.logbook.raw_table import Fault, RawTable


@dataclass(frozen=True)
class LaidOutTable(RawTable):
    """A raw table that a layout has been applied to.

    Each row is row `positions[i]` of `origin`, the table as the file has it. `names` gives for
    each of our columns the file's own; a wide log has several such, and `rod_of` says for each
    row which of them holds. `found_at_fault` are the cells that the layout cannot read.
    """

    origin: RawTable
    positions: Sequence[int]
    names: Sequence[Mapping[str, str]]
    rod_of: Sequence[int]
    found_at_fault: Sequence[Fault]
    first_of_row: Sequence[bool] | None
    layout_name: str

    @property
    def faults(self) -> Sequence[Fault]:
        """Cells that the layout cannot read."""
        return self.found_at_fault

    @property
    def leads(self) -> Sequence[bool] | None:
        """Which stints are the first of their row in the file; None where each is one row."""
        return self.first_of_row

    @property
    def rows_in_file(self) -> int:
        """How many data rows the file has."""
        return len(self.origin.rows)

    def as_in_file(self, position: int) -> tuple[RawTable, int]:
        """The table as the file has it, and the row's position in there."""
        return self.origin, self.positions[position]

    def cell_in_file(self, column: str | None, position: int) -> tuple[str | None, str | None]:
        """The file's name for a column of ours, and the filled cell in this row, or None."""
        names = self.names[self.rod_of[position]]
        name = names.get(column, column) if column is not None else None
        if name is None or name not in self.origin.header:
            return name, None
        cells = self.origin.columns[self.origin.header.index(name)]
        return name, cells[self.positions[position]].strip() or None
