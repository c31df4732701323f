"""Layouts proposed for whole files: one for all tables whose columns have the same names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from rodhours.errors import LayoutNeeded
from rodhours.logbook.layout.proposing import Proposal, propose
from rodhours.logbook.layout.remembering import header_key
from rodhours.logbook.layout.using import sheet_by_sheet
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.sheets import read_tables


def proposals_for(
    paths: Sequence[Path], wanted: tuple[str, str | None] | None = None
) -> list[Proposal]:
    """The layout proposed for each table in these files, or for the one `wanted` (file, sheet).

    Sheets of one header (a sheet a month) have one together. Raises UnusableFile for what cannot
    be read.
    """
    try:
        raws, _ = read_tables(paths)
    except LayoutNeeded as error:
        if not error.sheets:
            raise
        return [_likeliest_sheet(error)]
    given = {raw.table for raw in raws}
    groups: dict[str, list[RawTable]] = {}
    for raw in raws:
        groups.setdefault(header_key(raw), []).append(raw)
    return [
        replace(
            propose(_together(group), catches_given="catches" in given),
            sheets_alike=len(group) - 1,
        )
        for group in groups.values()
        if wanted is None or wanted in [(raw.file, raw.sheet) for raw in group]
    ]


def _likeliest_sheet(error: LayoutNeeded) -> Proposal:
    """The proposal for the sheet that is the log most likely; it states the sheet."""
    proposals = [propose(raw) for raw in sheet_by_sheet(error)]
    if not proposals:
        raise error
    best = max(proposals, key=lambda one: (one.complete, -len(one.missing), one.matched))
    layout = replace(best.layout, file={"sheets": [best.sheet]})
    return replace(best, layout=layout, sheets=error.sheets)


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
