"""One table from its file to the logbook: its cells, their addresses, what was wrong in them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence, Set
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING, Any

from rodhours.log.tables import SESSIONS, STINTS, TABLES, VARIANTS, Table

if TYPE_CHECKING:
    from rodhours.log.layout.layout import Layout

Fault = tuple[int, str | None, str, str | None]
"""A cell that cannot be taken: position, column, what would be right, what was found.

Where what would be right is empty, another fault of its row in the file says it already.
"""


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


def known_columns(table: str) -> tuple[str, ...]:
    """Our columns that a table may have: stints may carry those of their session and variant."""
    if table != STINTS.name:
        return TABLES[table].names
    return tuple(dict.fromkeys((*STINTS.names, *SESSIONS.names, *VARIANTS.names)))


def missing_columns(present: Collection[str], table: str, given: Set[str]) -> list[str]:
    """The needed columns that a table has not; `given` names the tables of the import."""
    missing = [column.name for column in TABLES[table].columns if column.needed]
    if table == STINTS.name:
        if not {"cast_in", "cast_out"} <= set(present):
            missing.append("hours")
        if "catches" not in given:
            missing.append("fish")
    return [name for name in missing if name not in present]


@dataclass(frozen=True)
class FileTable:
    """One table as it stands in a file: text cells, and the layout that it is to be read by.

    `columns` holds the text cells column by column, one list for each name in `header` (which
    is empty where a column has no name); `rows` the row numbers as a spreadsheet shows them. Rows
    whose cells do not fit the header are in `misfits` by position, with all their cells. `faults`
    were found in the file's own notation: such a row needs no further fault of a cell.
    `above` are the titles over the header; `own`, where rods or baits that stood side by side
    are rows, has for each what the file calls its columns. `semicolons` are what separates the
    cells of a text file whose numbers may have commas.
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
    layout: Layout | None = None
    faults: tuple[Fault, ...] = ()
    semicolons: bool = False
    above: tuple[str, ...] = ()
    own: tuple[Mapping[str, str], ...] = ()

    @property
    def workbook(self) -> bool:
        """Whether it comes from a workbook, whose dates and numbers are typed."""
        return self.sheet is not None

    @property
    def names(self) -> list[str]:
        """The names of the columns that have one."""
        return [name for name in self.header if name]

    @property
    def named_columns(self) -> dict[str, Sequence[str]]:
        """The cells of each column that has a name."""
        return {name: cells for name, cells in zip(self.header, self.columns, strict=True) if name}

    def cells(self, position: int) -> list[str]:
        """All cells of one row, as they were."""
        if position in self.misfits:
            return self.misfits[position]
        return [column[position] for column in self.columns]

    def misfit_faults(self) -> list[Fault]:
        """What would be right, and what was found, in rows whose cells do not fit the header."""
        width = len(self.header)
        few = "as many cells as there are columns: an empty cell still needs its comma"
        many = "empty beyond the named columns (a text with a comma in it needs quotes)"
        return [
            (
                position,
                None,
                few if len(cells) < width else many,
                f"{len(cells)} cells where the header has {width}",
            )
            for position, cells in self.misfits.items()
        ]

    def only(self, positions: Sequence[int]) -> FileTable:
        """The same table with these rows alone, in this order.

        A row may come several times; a fault of the table is then that of the last.
        """
        last = {old: new for new, old in enumerate(positions)}
        return replace(
            self,
            columns=tuple([column[old] for old in positions] for column in self.columns),
            rows=[self.rows[old] for old in positions],
            misfits={
                new: self.misfits[old] for new, old in enumerate(positions) if old in self.misfits
            },
            faults=tuple((last[fault[0]], *fault[1:]) for fault in self.faults if fault[0] in last),
            own=tuple(self.own[old] for old in positions) if self.own else (),
        )

    def with_columns(
        self, cells: Mapping[str, Sequence[str]], without: Collection[str] = ()
    ) -> FileTable:
        """The same rows with these columns, in their places or as the last ones."""
        kept = [
            (name, cells.get(name, column) if name else column)
            for name, column in zip(self.header, self.columns, strict=True)
            if name not in without
        ]
        kept += [(name, column) for name, column in cells.items() if name not in self.header]
        header, columns = zip(*kept, strict=True) if kept else ((), ())
        return replace(self, header=header, columns=columns)

    @property
    def place_of_table(self) -> str:
        """The table's address in words."""
        return self.file + (f", sheet {self.sheet}" if self.sheet is not None else "")

    @property
    def place_of_header(self) -> str:
        """The address of the column names in words."""
        return f"row {self.header_row} of {self.place_of_table}"

    def place(self, position: int) -> str:
        """The row's address in words."""
        return f"{row_of(self.file)} {self.rows[position]} of {self.place_of_table}"


@dataclass
class Rows:
    """The clean rows of one of our tables: canonical values, None for an empty cell.

    `columns` has every declared column, `extras` those the format does not know (text).
    `moved` holds, for stints, the columns of sessions and variants that the file carried.
    `source` and `index` say from which table of a file and which of its rows a row comes (several
    stints may be of one row there), `names` how that file calls our columns.
    """

    table: Table
    columns: dict[str, list[Any]]
    extras: dict[str, list[str | None]]
    moved: dict[str, list[Any]]
    source: list[int]
    index: list[int]
    names: Sequence[Mapping[str, str]]

    def __len__(self) -> int:
        return len(self.index)


@dataclass
class Log:
    """All tables of one import, clean but not yet checked against each other.

    `given` names the tables that some file held; `weights_written` counts the weights that were
    written in pounds (`lb`) and in kilograms (`kg`).
    """

    raws: list[FileTable]
    tables: dict[str, Rows]
    findings: Findings = field(default_factory=Findings)
    weights_written: Counter[str] = field(default_factory=Counter)

    @property
    def given(self) -> set[str]:
        """The names of the tables that some file held, be it without rows."""
        return {raw.table for raw in self.raws}

    def raw(self, table: str, position: int) -> tuple[FileTable, int]:
        """The table of a file that a row comes from, and its position in there."""
        rows = self.tables[table]
        return self.raws[rows.source[position]], rows.index[position]

    def place(self, table: str, position: int) -> str:
        """The address of a row in words."""
        raw, index = self.raw(table, position)
        return raw.place(index)

    def problem_at(
        self, table: str, position: int, column: str | None, says: str, found: str | None = None
    ) -> Problem:
        """A problem with its address: the file's own name of the column, the cell's text.

        `found` defaults to the filled cell under that name.
        """
        raw, index = self.raw(table, position)
        name = None if column is None else self.tables[table].names[position].get(column, column)
        if found is None and name is not None and name in raw.header:
            found = raw.columns[raw.header.index(name)][index].strip() or None
        if raw.own and name is not None:
            name = raw.own[index].get(name, name)
        return Problem(raw.file, raw.sheet, raw.rows[index], name, found, says)

    def problem(
        self, table: str, position: int, column: str | None, says: str, found: str | None = None
    ) -> None:
        """Note a problem at a row, and refuse the row; `says` is what would be right, a phrase."""
        problem = self.problem_at(table, position, column, f"should be {says}", found)
        self.findings.refuse(table, position, problem)
