"""Files to tables under our columns: by the layouts given, or by those that are remembered.

A table is laid out by the layout that names the most of its columns; one that no layout speaks
of is left as it is.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rodhours.counts import listed
from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.log.cells.dates import ambiguous
from rodhours.log.layout.apply import clock_said
from rodhours.log.layout.contents import Contents, read_forms
from rodhours.log.layout.layout import COLUMNS, SHEET, Layout, check_columns, plain, targets
from rodhours.log.layout.reshape import in_years, reshaped, with_sheets
from rodhours.log.layout.titles import with_titles
from rodhours.log.layout.toml import layout_text, parse_layout
from rodhours.log.relabelling import without_bag_codes
from rodhours.log.sheets import read_tables, sheets_aside
from rodhours.log.table import FileTable, known_columns
from rodhours.log.tables import Kind
from rodhours.log.unfished import without_example_rows, without_unfished

if TYPE_CHECKING:
    from rodhours.log.logbook import Logbook


Recall = Callable[[FileTable], tuple[Layout, str] | None]
"""The layout remembered for such a table, and the day on which it was last given."""


@dataclass
class LaidOut:
    """The tables of some files with their layouts, and hints on how they are read.

    `used` has the layouts that were given, under the keys by which files like these are known
    again, `keys` the opened keys that an export tells of.
    """

    raws: list[FileTable]
    hints: list[str]
    used: dict[str, Layout] = field(default_factory=dict)
    zone: str | None = None
    keys: Sequence[Mapping[str, Any]] = ()


def read_laid_out(
    paths: Sequence[Path], layouts: Sequence[Layout], recall: Recall | None = None
) -> LaidOut:
    """The tables of files with the layouts given, and where none speaks of a table, remembered.

    Raises UnusableFile for what cannot be read and for a layout that does not fit the files.
    """
    raws, hints = _read(paths, layouts, recall)
    for layout in layouts:
        check_columns(layout, [with_titles(raw, layout.rows.get("titles"))[0] for raw in raws])
    done = LaidOut([], hints)
    laid: list[FileTable] = []
    for raw in raws:
        best = max(layouts, key=lambda layout: layout.fits(raw), default=None)
        if best is None or not best.fits(raw):
            # One that states forms alone, and names no column, is for every table.
            best = next((one for one in layouts if not one.columns), None)
        if best is not None:
            raw = _as_table(raw, best)
            # Where all names stay, in the angler's forms, an export has the same ones.
            if best.session_from or any(n != ours for n, ours in targets(raw, best).items()):
                done.used[header_key(raw)] = best
        elif recall is not None and (remembered := recall(raw)) is not None:
            layout, on = remembered
            raw = _as_table(raw, layout)
            hints.append(
                f"{raw.file}: read as laid out in {layout.name} on {on}, "
                "remembered for files with these columns (--no-layout leaves that aside)."
            )
        laid.append(raw)
    done.raws = _reshaped(laid, hints)
    done.raws, done.keys = without_bag_codes(done.raws)
    done.raws, examples = without_example_rows(done.raws)
    done.raws, unfished = without_unfished(done.raws)
    hints += [*examples, *unfished]
    for raw in done.raws:
        if raw.layout is not None:
            done.zone = done.zone or raw.layout.dates.zone
            hints += _layout_hints(raw, raw.layout)
    return done


def _reshaped(raws: Sequence[FileTable], hints: list[str]) -> list[FileTable]:
    """The tables with a layout as ours, the years of their dates running on; `hints` takes more."""
    together: dict[str, list[tuple[FileTable, Layout]]] = {}
    done: list[FileTable] = []
    for raw in raws:
        if raw.layout is None or raw.table != "stints":
            done.append(raw)
            continue
        layout = raw.layout
        raw = with_sheets(raw) if SHEET in layout.columns else raw
        raw, titles = with_titles(raw, layout.rows.get("titles"))
        hints += titles
        together.setdefault(layout.name, []).append((raw, layout))
    for group in together.values():
        for raw, (_, layout) in zip(in_years(group), group, strict=True):
            tables, said = reshaped(raw, layout)
            done += tables
            hints += said
    return done


def _read(
    paths: Sequence[Path], layouts: Sequence[Layout], recall: Recall | None
) -> tuple[list[FileTable], list[str]]:
    """The tables of the files, of the sheets that the layouts name or recall knows."""
    named = [sheet for one in layouts for sheet in one.sheets]
    try:
        return read_tables(paths, named or None)
    except LayoutNeeded as error:
        if recall is None or len(paths) > 1:
            raise
        known = [raw for raw in sheet_by_sheet(error) if recall(raw) is not None]
        if not known:
            raise
        aside = [sheet for sheet in error.sheets if sheet not in [raw.sheet for raw in known]]
        return known, [sheets_aside(error.table[0], aside)] if aside else []


def sheet_by_sheet(error: LayoutNeeded) -> list[FileTable]:
    """The sheets that may be the log, those of them that are tables."""
    raws: list[FileTable] = []
    for sheet in error.sheets:
        with suppress(UnusableFile):
            raws += read_tables([Path(error.table[0])], [sheet])[0]
    return raws


def _as_table(raw: FileTable, layout: Layout) -> FileTable:
    table, named = layout.table or raw.table, raw.named or layout.table is not None
    return replace(raw, layout=layout.spelt_as(raw.names), table=table, named=named)


def _layout_hints(raw: FileTable, layout: Layout) -> list[str]:
    """How hours, dates and weights were read, and labels that the layout may have meant."""
    become = targets(raw, layout)
    hints = [
        f"{raw.place_of_table}: the column {theirs} is kept as it is: the layout has it as "
        f'"{ours}", which {raw.table} have not.'
        for theirs, ours in layout.columns.items()
        if ours in COLUMNS
        and theirs in become.values()
        and ours not in become.values()
        and not (theirs in layout.session_from or (ours == "session" and layout.session_from))
    ]
    if layout.dates.clock_on in raw.names:
        hints.append(f"{raw.file}: {clock_said(layout.dates)}")
    for theirs, ours in become.items():
        if ours not in known_columns(raw.table):
            continue
        contents, kind = Contents(raw.named_columns[theirs]), COLUMNS[ours].kind
        if ours == "hours" or kind in (Kind.DATE, Kind.WEIGHT):
            readings = read_forms(ours, contents, layout, raw.workbook)
            shown = [one.said for one in readings if not one.fault and not one.plain]
            if shown:
                hints.append(f"{raw.file}, column {theirs}: {'; '.join(shown[:4])}.")
        if kind is Kind.DATE and (twice := ambiguous(contents.distinct)):
            order = "month first" if layout.dates.form.startswith("month") else "day first"
            hints.append(
                f"{raw.file}, column {theirs}: {listed(twice)} could be read day first or "
                f"month first; read {order}, as the layout says."
            )
    return list(dict.fromkeys(hints))


def header_key(raw: FileTable) -> str:
    """The name of the setting for tables whose columns are called like this one's."""
    names = sorted(plain(name) for name in raw.names)
    return "layout " + hashlib.sha256(json.dumps([raw.table, names]).encode()).hexdigest()[:32]


def recall(settings: Logbook, raw: FileTable) -> tuple[Layout, str] | None:
    """The layout that is remembered for such a table; None where there is none to be used."""
    text = settings.setting(header_key(raw))
    if text is None:
        return None
    try:
        held = json.loads(text)
        return parse_layout(held["layout"], held["name"]), str(held["on"])
    except (ValueError, KeyError, TypeError, UnusableFile):
        # Written by another version: without it the file is asked about again.
        return None


def remember(settings: Logbook, used: Mapping[str, Layout], today: date | None = None) -> None:
    """Keep each layout under its key."""
    on = (today or date.today()).isoformat()
    for key, layout in used.items():
        value = {"name": layout.name, "layout": layout_text(layout)}
        held = settings.setting(key)
        if held is None or not value.items() <= json.loads(held).items():
            settings.set_setting(key, json.dumps(value | {"on": on}, ensure_ascii=False))
