"""What was wrong in a file: where, what was found and what would be right.

Also the collection that the reader and the checks fill, with the rows that each problem refuses.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field


def row_of(file: str) -> str:
    """What a row of that file is called: the lines of a text are no rows."""
    return "line" if file.lower().endswith(".txt") else "row"


@dataclass(frozen=True)
class Problem:
    """One finding. `row` counts as the spreadsheet does: the header is row 1."""

    file: str
    sheet: str | None
    row: int | None
    column: str | None
    found: str | None
    says: str

    def to_dict(self) -> dict[str, object]:
        """The machine form."""
        return asdict(self)

    @property
    def place(self) -> str:
        """The address in words."""
        parts = [self.file]
        if self.sheet is not None:
            parts.append(f"sheet {self.sheet}")
        if self.row is not None:
            parts.append(f"{row_of(self.file)} {self.row}")
        if self.column is not None:
            parts.append(f"column {self.column}")
        return ", ".join(parts)


@dataclass
class Findings:
    """Problems in the order found, the reasons of refused rows, and hints that refuse nothing.

    `unread` are cells of columns that no answer needs: empty in the numbers, kept word for word.

    `reasons` maps (table name, position of the row in that table) to why the row is refused.
    """

    problems: list[Problem] = field(default_factory=list)
    reasons: dict[tuple[str, int], list[str]] = field(default_factory=dict)
    hints: list[str] = field(default_factory=list)
    unread: list[Problem] = field(default_factory=list)

    def refuse(self, table: str, position: int, problem: Problem) -> None:
        """Note a problem that refuses this row."""
        self.problems.append(problem)
        where = f"column {problem.column}: " if problem.column else ""
        found = f" (found: {problem.found})" if problem.found else ""
        self.reasons.setdefault((table, position), []).append(f"{where}{problem.says}{found}")
