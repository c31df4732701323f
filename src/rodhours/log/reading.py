"""Tables of files to the clean log: each cell to its value, or a problem with its address.

Rules between rows are in `rules`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Any

from rodhours.counts import listed
from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.log.cells.cell import Units, is_error_cell
from rodhours.log.cells.hours import in_words
from rodhours.log.layout.apply import LaidOut, apply_layout
from rodhours.log.layout.contents import Contents
from rodhours.log.layout.layout import COLUMNS, Layout, targets
from rodhours.log.layout.reshape import REFUSED, is_fish_only
from rodhours.log.table import (
    FileTable,
    Findings,
    Log,
    Rows,
    known_columns,
    missing_columns,
)
from rodhours.log.tables import ESSENTIAL, SESSIONS, STINTS, TABLES, UNREAD, VARIANTS, Kind, Table
from rodhours.log.weight_unit import weights_written
from rodhours.near import near_names

READINGS_SHOWN = 6
ALIKE = 0.8
"""How alike a column name must be to one of ours to be taken for a slip of it."""
_COMMA = re.compile(r"[+-]?\d{0,9},(?:\d{1,2}|\d{4,9})(?:\s?[a-z%]{1,5})?", re.IGNORECASE)
"""A decimal comma: before three digits it may be one for thousands."""
_POINT = re.compile(r"\d\.\d")
MOVED_SESSIONS = tuple(c for c in SESSIONS.columns if c.name not in ("session", "angler"))
MOVED_VARIANTS = tuple(c for c in VARIANTS.columns if c.name != "variant")


def read_log(raws: list[FileTable], *, weight_unit: str | None = None) -> Log:
    """Every table clean, with the problems of single cells noted.

    Raises UnusableFile where no table of stints is given, where its rows are fish alone and where
    a layout leaves out a needed column; LayoutNeeded where such a column is missing without one.
    """
    given = {raw.table for raw in raws}
    layouts = [raw.layout or _implied(raw, weight_unit) for raw in raws]
    laid = [apply_layout(raw, layout) for raw, layout in zip(raws, layouts, strict=True)]
    for raw, of_raw in zip(raws, laid, strict=True):
        _check_layout(raw, of_raw, given)
    _check_stints(raws)
    findings = Findings()
    for raw, of_raw in zip(raws, laid, strict=True):
        _check_names(raw, list(of_raw.values), given, findings)
    for raw, layout in zip(raws, layouts, strict=True):
        if raw.layout is None and layout.units.decimal == ",":
            said = "cells stand between semicolons, so 8,5 is read as 8.5."
            findings.hints.append(f"{raw.place_of_table}: {said}")
    findings.hints += [hint for raw in raws for hint in (*_hours_read(raw), *_errors_left_out(raw))]
    log = Log(raws, {}, findings, sum((weights_written(r, weight_unit) for r in raws), Counter()))
    for table in TABLES.values():
        of_table = [number for number, raw in enumerate(raws) if raw.table == table.name]
        log.tables[table.name] = _rows(table, [(number, laid[number]) for number in of_table])
        start = 0
        for number in of_table:
            faults = sorted(laid[number].faults, key=lambda fault: fault[0])
            seen: set[object] = set()
            for position, column, says, found in faults:
                if raws[number].own and says:
                    # What the rods of a row share is said once, at the first of them.
                    name = laid[number].names[position].get(str(column), column)
                    own = raws[number].own[position].get(str(name), name)
                    fault = raws[number].rows[position], own, says, found
                    says = "" if fault in seen else says
                    seen.add(fault)
                if column not in {None, *ESSENTIAL} and found is not None:
                    _keep_unread(log, table.name, start + position, str(column), says, found)
                elif says:
                    log.problem(table.name, start + position, column, says, found)
                else:
                    findings.reasons.setdefault((table.name, start + position), [])
            start += len(laid[number].index)
    return log


def _keep_unread(log: Log, table: str, position: int, column: str, says: str, found: str) -> None:
    """Keep a cell word for word beside the numbers; said once where rods share it."""
    rows = log.tables[table]
    rows.extras.setdefault(UNREAD + column, [None] * len(rows))[position] = found
    if says:
        problem = log.problem_at(table, position, column, f"should be {says}", found)
        log.findings.unread.append(problem)


def _implied(raw: FileTable, weight_unit: str | None) -> Layout:
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


def _check_layout(raw: FileTable, laid: LaidOut, given: set[str]) -> None:
    """Refuse what has no hours: a log of fish alone, a layout without a needed column."""

    def with_weights() -> list[Any]:
        columns = raw.named_columns.values()
        return [cells for cells in columns if Contents(cells).named_weights]

    if raw.table == STINTS.name and not raw.own:
        columns = raw.named_columns if raw.layout is None else laid.values
        if is_fish_only(columns, with_weights):
            raise UnusableFile(REFUSED.format(raw.place_of_table))
    missing = missing_columns(laid.values, raw.table, given)
    if raw.layout is not None and missing:
        one = len(missing) == 1
        raise UnusableFile(
            f"{raw.place_of_table}: {raw.layout.name} names no {'column' if one else 'columns'} "
            f"for {listed(missing, 'or')}, which {'is' if one else 'are'} needed. The file has "
            f'{", ".join(raw.names)}: write "{missing[0]}" at the right one under [columns].'
        )


def _check_stints(raws: list[FileTable]) -> None:
    """There is a table of stints, and a row in it; recipes may come before the first trip."""
    if any(raw.table == VARIANTS.name and raw.rows for raw in raws) and not any(
        raw.table != VARIANTS.name and raw.rows for raw in raws
    ):
        return
    stints = [raw for raw in raws if raw.table == STINTS.name]
    files = ", ".join(dict.fromkeys(raw.file for raw in stints or raws)) or "nothing"
    if not stints:
        raise UnusableFile(
            f"{files}: no table of stints in there. Give it together with the others: "
            "rodhours import stints.csv sessions.csv"
        )
    if not any(raw.rows for raw in stints):
        raise UnusableFile(f"{files}: no stint in there, only the names of columns.")


def _check_names(raw: FileTable, names: list[str], given: set[str], findings: Findings) -> None:
    """LayoutNeeded where a needed column is missing; hints on names that are a near miss."""
    known = set(known_columns(raw.table))
    stated = raw.layout.columns if raw.layout is not None else {}
    unknown = [name for name in names if name not in known and name not in stated]
    close = {name: near_names(name, known - set(names), 1, ALIKE) for name in unknown}
    missing = missing_columns(names, raw.table, given)
    sheet = f", sheet {raw.sheet}" if raw.sheet is not None else ""
    if missing:
        what = "column" if len(missing) == 1 else "columns"
        needed = LayoutNeeded(
            f"{raw.file}{sheet}, row {raw.header_row}: {raw.table} needs the {what} "
            f"{', '.join(missing)}, and found {', '.join(names)}."
        )
        needed.table = (raw.file, raw.sheet)
        raise needed
    findings.hints.extend(
        f"{raw.file}{sheet}: the column {name} is not one of the format and is kept as it is; "
        f"did you mean {wanted}?"
        for name, near in close.items()
        for wanted in near
    )


def _rows(table: Table, parts: Sequence[tuple[int, LaidOut]]) -> Rows:
    """The rows of one of our tables, file after file: its own columns, those moved, the rest."""

    def column(name: str) -> list[Any]:
        of_parts = [laid.values.get(name) or [None] * len(laid.index) for _, laid in parts]
        return of_parts[0] if len(of_parts) == 1 else list(chain.from_iterable(of_parts))

    known = known_columns(table.name)
    there = dict.fromkeys(name for _, laid in parts for name in laid.values)
    return Rows(
        table=table,
        columns={name: column(name) for name in table.names},
        extras={name: column(name) for name in there if name not in known},
        moved={name: column(name) for name in known if name in there and name not in table.names},
        source=[number for number, laid in parts for _ in laid.index],
        index=[at for _, laid in parts for at in laid.index],
        names=[names for _, laid in parts for names in laid.names],
    )


def _hours_read(raw: FileTable) -> Iterator[str]:
    """Hours in words or as a duration; those in the form of a layout are said with it."""
    if raw.table != "stints" or raw.layout is not None:
        return
    texts = dict.fromkeys(map(str.strip, raw.named_columns.get("hours", ())))
    read = {text: float(value) for text in texts if (value := in_words(text)) is not None}
    if read:
        items = list(read.items())[:READINGS_SHOWN]
        shown = ", ".join(f"{text} as {value:.4g} h" for text, value in items)
        more = len(read) - len(items)
        rest = f", and {more:,} more in the same manner" if more else ""
        yield f"{raw.place_of_table}, column hours: read {shown}{rest}."


def _errors_left_out(raw: FileTable) -> Iterator[str]:
    """Errors of formulas in columns that are kept as they are."""
    kept = set(raw.names) - set(known_columns(raw.table))
    if raw.layout is not None:
        kept = {name for name, ours in targets(raw, raw.layout).items() if ours == name} & kept
    for name, column in raw.named_columns.items():
        if name in kept:
            errors = Counter(text for text in map(str.strip, column) if is_error_cell(text))
            if errors:
                have = "cell has" if errors.total() == 1 else "cells have"
                yield (
                    f"{raw.place_of_table}, column {name}: {errors.total():,} {have} the error of "
                    f"a formula ({', '.join(sorted(errors))}), taken as not recorded."
                )
