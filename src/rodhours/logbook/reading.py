"""Raw cells to clean columns: each cell to its canonical value, or a problem with its address.

Works column by column on the distinct texts, so that a row costs nothing unless it is at fault.
Rules between rows are in `checks`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from operator import is_
from typing import Any

from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.logbook import cells as units
from rodhours.logbook.labels import near_miss
from rodhours.logbook.layout.synonyms import may_be_pounds
from rodhours.logbook.problems import Findings, Problem
from rodhours.logbook.raw_table import Fault, RawTable, misfit_fault
from rodhours.logbook.remarks import remarks, weights_written
from rodhours.logbook.tables import SESSIONS, STINTS, TABLES, VARIANTS, Column, Table

BLANK_REMEDY = "a whole number: a blank is written 0, an empty cell would mean not recorded"
MOVED_SESSIONS = tuple(c for c in SESSIONS.columns if c.name not in ("session", "angler"))
MOVED_VARIANTS = tuple(c for c in VARIANTS.columns if c.name != "variant")


@dataclass
class Rows:
    """The clean rows of one table: canonical values column by column, None for an empty cell.

    `columns` has every declared column, `extras` those the format does not know (text).
    `moved` holds, for stints, the columns of sessions and variants that the file carried.
    `source` and `index` say from which raw table and which position in it a row comes.
    """

    table: Table
    columns: dict[str, list[Any]]
    extras: dict[str, list[str | None]]
    moved: dict[str, list[Any]]
    source: list[int]
    index: list[int]

    def __len__(self) -> int:
        return len(self.index)


@dataclass
class Log:
    """All tables of one import, clean but not yet checked against each other.

    `given` names the tables that some file held; `weights_written` counts the weights that were
    written in pounds (`lb`) and in kilograms (`kg`).
    """

    raws: list[RawTable]
    tables: dict[str, Rows]
    findings: Findings = field(default_factory=Findings)
    weights_written: Counter[str] = field(default_factory=Counter)

    @property
    def given(self) -> set[str]:
        """The names of the tables that some file held, be it without rows."""
        return {raw.table for raw in self.raws}

    def raw(self, table: str, position: int) -> tuple[RawTable, int]:
        """The raw table of a row and its position in there."""
        rows = self.tables[table]
        return self.raws[rows.source[position]], rows.index[position]

    def place(self, table: str, position: int) -> str:
        """The address of a row in words."""
        raw, index = self.raw(table, position)
        return raw.place(index)

    def problem(
        self, table: str, position: int, column: str | None, says: str, found: str | None = None
    ) -> None:
        """Note a problem at a row, and refuse the row.

        `says` is what would be right, a phrase; `found` defaults to the cell's text.
        """
        raw, index = self.raw(table, position)
        column, cell = raw.cell_in_file(column, index)
        found = cell if found is None else found
        self.findings.refuse(
            table,
            position,
            Problem(raw.file, raw.sheet, raw.rows[index], column, found, f"should be {says}"),
        )


def read_log(raws: list[RawTable], *, weight_unit: str | None = None) -> Log:
    """Every table clean, with the problems of single cells noted.

    Raises UnusableFile where no table of stints is given, LayoutNeeded where a needed column
    is missing.
    """
    if not any(raw.table == "stints" for raw in raws):
        files = ", ".join(dict.fromkeys(raw.file for raw in raws)) or "nothing"
        raise UnusableFile(
            f"{files}: no table of stints in there. Give it together with the others: "
            "rodhours import stints.csv sessions.csv"
        )
    if not any(raw.rows for raw in raws if raw.table == "stints"):
        files = ", ".join(raw.file for raw in raws if raw.table == "stints")
        raise UnusableFile(f"{files}: no stint in there, only the names of columns.")
    findings = Findings()
    given = {raw.table for raw in raws}
    for raw in raws:
        _check_header(raw, given, findings)
    log = Log(raws, {}, findings, weights_written(raws, weight_unit))
    findings.hints.extend(remarks(raws))
    for table in TABLES.values():
        parts = [
            _read_table(raw, number, table, weight_unit)
            for number, raw in enumerate(raws)
            if raw.table == table.name
        ]
        log.tables[table.name] = _joined(table, [rows for rows, _ in parts])
        start = 0
        for rows, faults in parts:
            for position, column, says, found in sorted(faults, key=lambda fault: fault[0]):
                if says:
                    log.problem(table.name, start + position, column, says, found)
                else:
                    findings.reasons.setdefault((table.name, start + position), [])
            start += len(rows)
    return log


def missing_columns(raw: RawTable, given: set[str]) -> list[str]:
    """The needed columns that a table has not; `given` names the tables of the import."""
    present = set(raw.header)
    missing = [column.name for column in TABLES[raw.table].columns if column.needed]
    if raw.table == "stints":
        if not {"cast_in", "cast_out"} <= present:
            missing.append("hours")
        if "catches" not in given:
            missing.append("fish")
    return [name for name in missing if name not in present]


def _check_header(raw: RawTable, given: set[str], findings: Findings) -> None:
    table = TABLES[raw.table]
    present = set(raw.header)
    missing = missing_columns(raw, given)
    known = set(table.names)
    if raw.table == "stints":
        known |= set(SESSIONS.names) | set(VARIANTS.names)
    unknown = [name for name in raw.header if name and name not in known]
    close = {name: near_miss(name, known - present) for name in unknown}
    sheet = f", sheet {raw.sheet}" if raw.sheet is not None else ""
    if missing:
        meant = [
            f"the column {name} looks like {wanted}"
            for name, wanted in close.items()
            if wanted in missing
        ]
        what = "column" if len(missing) == 1 else "columns"
        needed = LayoutNeeded(
            f"{raw.file}{sheet}, row {raw.header_row}: {raw.table} needs the {what} "
            f"{', '.join(missing)}, and found {', '.join(filter(None, raw.header))}"
            # Renaming is advice only where it is all that is needed.
            + (f" ({'; '.join(meant)}: rename it)" if len(meant) == len(missing) else "")
            + "."
        )
        needed.table = (raw.file, raw.sheet)
        raise needed
    findings.hints.extend(
        f"{raw.file}{sheet}: the column {name} is not one of the format and is kept as it is; "
        f"did you mean {wanted}?"
        for name, wanted in close.items()
        if wanted
    )


def _read_table(
    raw: RawTable, number: int, table: Table, weight_unit: str | None
) -> tuple[Rows, list[Fault]]:
    count = len(raw.rows)
    faults: list[Fault] = []
    cells = {name: column for name, column in zip(raw.header, raw.columns, strict=True) if name}

    def read(column: Column) -> list[Any]:
        if column.name not in cells:
            return [None] * count
        parse = units.cell_parser(column, workbook=raw.workbook, weight_unit=weight_unit)
        return _read_column(cells[column.name], column, parse, faults)

    columns = {column.name: read(column) for column in table.columns}
    moved: dict[str, list[Any]] = {}
    known = set(table.names)
    if table is STINTS:
        moved = {
            column.name: read(column)
            for column in (*MOVED_SESSIONS, *MOVED_VARIANTS)
            if column.name in cells
        }
        known |= set(moved)
        if "fish" in cells:
            empty = {text for text in set(cells["fish"]) if not text.strip()}
            if empty:
                faults.extend(
                    (position, "fish", BLANK_REMEDY, None)
                    for position, text in enumerate(cells["fish"])
                    if text in empty
                )
    extras = {
        name: _converted(column, _kept_exactly if may_be_pounds(name) else _kept)
        for name, column in cells.items()
        if name not in known
    }
    if raw.faults:
        known_faults = {(position, name) for position, name, _, _ in raw.faults}
        faults = [fault for fault in faults if fault[:2] not in known_faults]
        faults.extend(raw.faults)
    for position, row in raw.misfits.items():
        faults.append((position, None, *misfit_fault(row, len(raw.header))))
    return Rows(table, columns, extras, moved, [number] * count, list(range(count))), faults


def _read_column(
    cells: Sequence[str], column: Column, parse: Callable[[str], object], faults: list[Fault]
) -> list[Any]:
    values: dict[str, Any] = {}
    bad: dict[str, str] = {}
    for cell in set(cells):
        text = cell.strip()
        values[cell] = None
        if text:
            try:
                values[cell] = parse(text)
            except units.CellFault as fault:
                bad[cell] = str(fault)
        elif column.needed:
            bad[cell] = f"filled: {column.holds}"
    if bad:
        faults.extend(
            (position, column.name, _remedy(column, bad[cell]), None)
            for position, cell in enumerate(cells)
            if cell in bad
        )
    return _mapped(cells, values)


def _mapped(cells: Sequence[str], values: dict[str, Any]) -> list[Any]:
    """Each cell's value; most texts stand for themselves already."""
    if all(map(is_, values, values.values())):
        return list(cells)
    return list(map(values.__getitem__, cells))


def _remedy(column: Column, says: str) -> str:
    if column.name == "fish" and units.names_no_value(says):
        return f"{says}; a blank is written 0"
    return says


def _kept(text: str) -> str:
    """What is kept of a cell that the format does not know; an error of a formula is nothing."""
    text = units.extra(text)
    return "" if units.is_error_cell(text) else text


def _kept_exactly(text: str) -> str:
    """The same for weights: what looks like 22 and a tenth may be pounds and ounces."""
    return "" if units.is_error_cell(text) else units.label(text)


def _converted(cells: Sequence[str], convert: Callable[[str], str]) -> list[str | None]:
    values = {cell: convert(cell) or None for cell in set(cells)}
    return _mapped(cells, values)


def _joined(table: Table, parts: list[Rows]) -> Rows:
    """Several files' rows of one table, one after the other."""
    if len(parts) == 1:
        return parts[0]

    def chained(pick: Callable[[Rows], dict[str, list[Any]]]) -> dict[str, list[Any]]:
        names: Iterable[str] = dict.fromkeys(name for part in parts for name in pick(part))
        return {
            name: [value for part in parts for value in pick(part).get(name) or [None] * len(part)]
            for name in names
        }

    columns = chained(lambda part: part.columns)
    return Rows(
        table=table,
        columns=columns or {name: [] for name in table.names},
        extras=chained(lambda part: part.extras),
        moved=chained(lambda part: part.moved),
        source=[value for part in parts for value in part.source],
        index=[value for part in parts for value in part.index],
    )
