"""Files to tables under our columns: by the layouts given, or by those that are remembered.

A table is laid out by the layout that names the most of its columns; one that no layout speaks
of is left as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any, cast

from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.logbook.example_rows import without_example_rows
from rodhours.logbook.files.form import FileForm
from rodhours.logbook.layouts.applying import apply_layout
from rodhours.logbook.layouts.contents import Contents
from rodhours.logbook.layouts.either_way import either_way
from rodhours.logbook.layouts.fish_only import is_fish_only
from rodhours.logbook.layouts.hints import layout_hints
from rodhours.logbook.layouts.laid_out import LaidOutTable
from rodhours.logbook.layouts.layout import Layout
from rodhours.logbook.layouts.matching import check_columns, find_column, wide_groups
from rodhours.logbook.layouts.remembering import Remembered, header_key
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.reading import missing_columns
from rodhours.logbook.sheets import read_tables
from rodhours.logbook.unfished import without_unfished
from rodhours.wording import layouts as words
from rodhours.wording.files import sheets_aside

Recall = Callable[[RawTable], Remembered | None]


@dataclass
class LaidOut:
    """The tables of some files, hints on how they were read, and the layouts that did it.

    `used` has the layouts that were given, under the keys by which files like these are known
    again.
    """

    raws: list[RawTable]
    hints: list[str]
    used: dict[str, Layout] = field(default_factory=dict)
    zone: str | None = None


def read_laid_out(
    paths: Sequence[Path], layouts: Sequence[Layout], recall: Recall | None = None
) -> LaidOut:
    """Read files by layouts, and where none of them speaks of a table, by what `recall` knows.

    Raises UnusableFile for what cannot be read, for a layout that does not fit the files and
    for a log of fish alone.
    """
    raws, hints = _read(paths, layouts, recall)
    done = LaidOut([], hints)
    for one in layouts:
        check_columns(one, raws)
    found = [_best(layouts, raw) for raw in raws]
    for number, (raw, given) in enumerate(zip(raws, found, strict=True)):
        remembered = recall(raw) if given is None and recall is not None else None
        if remembered is not None and not _needs(raw, remembered, {one.table for one in raws}):
            hints.append(words.not_as_remembered(raw.place_of_table, remembered.layout.name))
        elif remembered is not None:
            found[number] = remembered.layout
            raws[number] = _read_again(raw, remembered.layout)
            hints.append(words.as_remembered(raw.file, remembered.layout.name, remembered.on))
    raws, examples = without_example_rows(raws)
    raws, unfished = without_unfished(raws)
    hints += [*examples, *unfished]
    for raw, layout in zip(raws, found, strict=True):
        if layout is None:
            done.raws.append(raw)
            continue
        raw = _as_table(raw, layout)
        if layout in layouts:
            done.used[header_key(raw)] = layout
            done.used |= dict.fromkeys(_found_out(raw, layout), layout)
        done.zone = done.zone or layout.dates.zone
        laid = apply_layout(raw, layout)
        hints += layout_hints(raw, laid, layout)
        done.raws.append(laid)
    _check(done.raws)
    return done


def _needs(raw: RawTable, remembered: Remembered, given: set[str]) -> bool:
    """Whether a table needs the layout remembered for its columns; UnusableFile if it may not."""
    found = either_way(raw, remembered.layout, given)
    if found is None or not found.plain:
        return True
    if found.laid and found.differing is not None:
        says = words.read_either_way(raw.place_of_table, remembered.layout.name, *found.differing)
        raise UnusableFile(says)
    return found.laid


def _read(
    paths: Sequence[Path], layouts: Sequence[Layout], recall: Recall | None
) -> tuple[list[RawTable], list[str]]:
    """The tables of the files by what the layouts say of the file; sheets that recall knows."""
    stated = {key: value for one in reversed(layouts) for key, value in one.file.items()}
    named = [one.file["sheets"] for one in layouts if "sheets" in one.file]
    if named:
        stated["sheets"] = [sheet for sheets in named for sheet in cast("list[str]", sheets)]
    try:
        return read_tables(paths, file_form(stated))
    except LayoutNeeded as error:
        if recall is None or len(paths) > 1:
            raise
        known = [raw for raw in sheet_by_sheet(error) if recall(raw) is not None]
        if not known:
            raise
        aside = [sheet for sheet in error.sheets if sheet not in [raw.sheet for raw in known]]
        return known, [sheets_aside(error.table[0], aside)] if aside else []


def sheet_by_sheet(error: LayoutNeeded) -> list[RawTable]:
    """The sheets that may be the log, those of them that are tables."""
    raws: list[RawTable] = []
    for sheet in error.sheets:
        with suppress(UnusableFile):
            raws += read_tables([Path(error.table[0])], FileForm(sheets=(sheet,)))[0]
    return raws


def file_form(stated: Mapping[str, Any]) -> FileForm:
    """What `[file]` says, for the reader of files."""
    sheets = stated.get("sheets")
    return FileForm(
        encoding=stated.get("encoding"),
        separator=stated.get("separator"),
        header_row=stated.get("header_row"),
        sheets=tuple(sheets) if sheets is not None else None,
    )


def _best(layouts: Sequence[Layout], raw: RawTable) -> Layout | None:
    """The layout that names the most columns of a table; None where none names any."""
    header = [name for name in raw.header if name]
    counts = [
        sum(find_column(name, header) is not None for name in layout.columns)
        + len(wide_groups(layout.wide.values(), header))
        if raw.sheet is None
        or raw.sheet in cast("list[str]", layout.file.get("sheets", [raw.sheet]))
        else 0
        for layout in layouts
    ]
    if not counts or not max(counts):
        # One that states forms alone, and names no column, is for every table.
        return next((one for one in layouts if not one.columns and not one.wide), None)
    return layouts[counts.index(max(counts))]


def _read_again(raw: RawTable, layout: Layout) -> RawTable:
    """The same table by what its layout says of the file."""
    stated = {key: value for key, value in layout.file.items() if key != "sheets"}
    if not stated or stated.keys() == {"table"}:
        return raw
    sheets = [raw.sheet] if raw.sheet is not None else None
    tables, _ = read_tables([Path(raw.file)], file_form({**stated, "sheets": sheets}))
    return next((table for table in tables if table.sheet == raw.sheet), raw)


def _found_out(raw: RawTable, layout: Layout) -> list[str]:
    """The key of a table as it is read without what its layout says of the file, if it can be."""
    if not layout.file:
        return []
    try:
        tables, _ = read_tables([Path(raw.file)])
    except UnusableFile:
        return []
    return [header_key(table) for table in tables if table.sheet == raw.sheet]


def _as_table(raw: RawTable, layout: Layout) -> RawTable:
    table = layout.file.get("table")
    return raw if table is None else replace(raw, table=str(table), named=True)


def _check(raws: Sequence[RawTable]) -> None:
    """Refuse what has no hours: a layout without a needed column, a log of fish alone."""
    given = {raw.table for raw in raws}
    for raw in raws:
        texts = dict(zip(raw.header, raw.columns, strict=True))
        origin = raw.as_in_file(0)[0] if raw.rows else raw
        one_each = raw.table == "stints" and raw.leads is None
        if one_each and is_fish_only(texts, partial(_weights, origin)):
            raise UnusableFile(words.fish_only(raw.place_of_table))
        if isinstance(raw, LaidOutTable):
            missing = missing_columns(raw, given)
            if missing:
                header = [name for name, _ in _named(origin)]
                raise UnusableFile(
                    words.layout_lacks(raw.place_of_table, raw.layout_name, missing, header)
                )


def _weights(raw: RawTable) -> list[Sequence[str]]:
    """The columns whose cells are weights with a unit."""
    held = [Contents(cells) for _, cells in _named(raw)]
    return [one.cells for one in held if one.named_weights]


def _named(raw: RawTable) -> list[tuple[str, Sequence[str]]]:
    return [(n, c) for n, c in zip(raw.header, raw.columns, strict=True) if n]
