"""Layouts proposed for whole files: one for all tables whose columns have the same names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from rodhours.logbook.layouts.layout import Layout
from rodhours.logbook.layouts.proposing import Proposal, propose
from rodhours.logbook.layouts.remembering import header_key
from rodhours.logbook.layouts.using import file_form
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.reading import missing_columns
from rodhours.logbook.sheets import read_tables


def proposals_for(paths: Sequence[Path], *, all_tables: bool = False) -> list[Proposal]:
    """The layouts proposed for the tables in these files that lack a needed column.

    With `all_tables` for every table. Sheets of one header (a sheet a month) have one together.
    Raises UnusableFile for what cannot be read.
    """
    raws, _ = read_tables(paths, file_form(Layout().file))
    given = {raw.table for raw in raws}
    groups: dict[str, list[RawTable]] = {}
    for raw in raws:
        if all_tables or missing_columns(raw, given):
            groups.setdefault(header_key(raw), []).append(raw)
    return [
        propose(_together(group), catches_given="catches" in given) for group in groups.values()
    ]


def _together(raws: Sequence[RawTable]) -> RawTable:
    """Tables with the same columns as one, under the names of the first."""
    first = raws[0]
    if any(raw.header != first.header for raw in raws):
        return max(raws, key=lambda raw: len(raw.rows))
    return replace(
        first,
        columns=tuple(
            [cell for raw in raws for cell in raw.columns[index]]
            for index in range(len(first.header))
        ),
        rows=[row for raw in raws for row in raw.rows],
        misfits={},
    )
