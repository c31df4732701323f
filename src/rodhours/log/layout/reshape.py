"""Rows as a diary has them to rows of stints: rods and lists apart, fish and periods told."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from rodhours.log.cells.dates import read_period, with_years
from rodhours.log.cells.hours import OF_RODS
from rodhours.log.cells.numbers import COUNT_WORDS, is_whole
from rodhours.log.layout.apart import groups_apart, lists_apart, weights_with_their_rod
from rodhours.log.layout.apply import cells_to_read
from rodhours.log.layout.contents import LOST_TOO, WEIGHTS_TOO, says_more
from rodhours.log.layout.fish_rows import fish_as_rows, one_stint_each, times_rods
from rodhours.log.layout.layout import KEEP, LEAVE_OUT, SHEET, Layout, side_by_side, targets
from rodhours.log.layout.titles import without_remarks
from rodhours.log.table import FileTable

OF_A_STINT = ("variant", "hours", "cast_in", "cast_out", "fish", "lost", "weight")
_A_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")


def with_sheets(raw: FileTable) -> FileTable:
    """The table with the name of its sheet in a column."""
    return raw.with_columns({SHEET: [raw.sheet or ""] * len(raw.rows)})


def in_years(raws: Sequence[tuple[FileTable, Layout]]) -> list[FileTable]:
    """Tables of one layout, whose dates have their year: it runs on from sheet to sheet.

    A sheet that says its year begins with that, and so does each where a sheet is of a bait.
    """
    done: list[FileTable] = []
    before: dict[str | None, list[str]] = {}
    for raw, layout in raws:
        dates, told_year = layout.dates, _A_YEAR.search(raw.sheet or "")
        if told_year or SHEET in layout.columns:
            before = {}
        year = int(told_year[0]) if told_year else dates.year
        for name in {layout.theirs("date"), dates.clock_on, dates.clock_end_on} & {*raw.names}:
            earlier = before.get(name, [])
            cells = [*earlier, *raw.named_columns[str(name)]]
            before[name] = with_years(cells, dates.form, year) if year and dates.year else cells
            raw = raw.with_columns({str(name): before[name][len(earlier) :]})
        done.append(raw)
    return done


def counts_apart(raw: FileTable, layout: Layout) -> tuple[FileTable, Layout]:
    """Several counts of fish added up in one column; `1 + 1 lost`, `1 (9lb)` in two columns."""
    columns = dict(layout.columns)
    names = [name for name in raw.names if columns.get(name) == "fish"]
    if len(names) > 1:
        rows = zip(*(raw.named_columns[one] for one in names), strict=True)
        added = " + ".join(names)
        raw = raw.with_columns({added: [_sum(row) for row in rows]})
        columns |= {**dict.fromkeys(names, KEEP), added: "fish"}
        names = [added]
    for ours, form in (("lost", LOST_TOO), ("weight", WEIGHTS_TOO)):
        cells = raw.named_columns[names[0]] if names else []
        told = [form.fullmatch(cell.strip()) for cell in cells]
        if any(told) and ours not in columns.values():
            pairs = zip(told, cells, strict=True)
            landed = [(one["landed"] or "0") if one else cell for one, cell in pairs]
            added = f"{names[0]}: {ours}"
            raw = raw.with_columns(
                {names[0]: landed, added: [one[ours] if one else "" for one in told]}
            )
            columns[added] = ours
    return raw, replace(layout, columns=columns)


def _sum(cells: Sequence[str]) -> str:
    """Counts added up; cells that are none stay as they are, to be refused or asked about."""
    filled = [cell.strip() for cell in cells if cell.strip() and COUNT_WORDS.get(cell.strip()) != 0]
    if all(map(is_whole, filled)):
        return str(sum(int(float(one)) for one in filled)) if any(map(str.strip, cells)) else ""
    return " + ".join(filled)


def periods_apart(raw: FileTable, layout: Layout) -> tuple[FileTable, Layout]:
    """`Fri 6pm - Sun 10am` in the column of hours as start and end, where there is a date."""
    name, day = layout.theirs("hours"), layout.theirs("date")
    if name not in raw.names or day not in raw.names or layout.theirs("cast_in", "cast_out"):
        return raw, layout
    cells = [cell.strip() for cell in cells_to_read(raw, layout)[name]]
    read = {cell: found[0] for cell in set(cells) if (found := read_period(cell))}
    if not read:
        return raw, layout
    start, end = f"{name}: start", f"{name}: end"
    ends = [read.get(cell, ("", "")) for cell in cells]
    hours = ["" if cell in read else cell for cell in cells]
    columns = {name: hours, start: [one for one, _ in ends], end: [one for _, one in ends]}
    layout = replace(
        layout,
        columns={**layout.columns, start: "cast_in", end: "cast_out"},
        fill_down=tuple(one for one in layout.fill_down if one != name),
        dates=replace(layout.dates, clock_on=day),
    )
    return raw.with_columns(columns), layout


def reshaped(raw: FileTable, layout: Layout) -> tuple[list[FileTable], list[str]]:
    """A table of stints by its layout, and the fish of its weights as catches; what to say."""
    by_ours = {
        layout.ours(name): name for name, ours in targets(raw, layout).items() if ours != LEAVE_OUT
    }
    groups = side_by_side(layout.groups, raw.names, layout.baits)
    stints = {by_ours[ours] for ours in OF_A_STINT if ours in by_ours}
    stints |= {name for group in groups.values() for name in group.values()}
    raw, hints = without_remarks(raw, stints, by_ours.get("date"))
    lists = {name: mark for name, mark in layout.lists.items() if name in raw.names}
    raw = lists_apart(groups_apart(raw, layout), lists)
    hours = by_ours.get("hours", "")
    if (groups or lists) and hours:
        # 12 x 2 is of all the rods that have rows of their own now.
        told = [OF_RODS.fullmatch(cell.strip()) for cell in raw.named_columns[hours]]
        pairs = zip(told, raw.named_columns[hours], strict=True)
        raw = raw.with_columns({hours: [one[1] if one else cell for one, cell in pairs]})
    raw, layout = counts_apart(raw, layout)
    if layout.rows.get("rods") in raw.names and layout.rows.get("hours") == "each rod":
        raw, layout = times_rods(raw, hours, layout)
    raw, layout = periods_apart(raw, layout)
    weight = layout.theirs("weight")
    if weight not in raw.names:
        raw, said = one_stint_each(raw, layout) if "alike" in layout.rows else (raw, [])
        return [replace(raw, layout=layout)], [*hints, *said]
    if (lists or groups) and weight not in (*lists, *layout.groups):
        fish = layout.theirs("fish")
        raw, said = weights_with_their_rod(raw, weight, fish)
        hints += said
    catches = fish_as_rows(raw, weight, layout)
    raw, said = one_stint_each(raw, layout)
    worded = any(map(says_more, map(str.strip, raw.named_columns[weight])))
    columns = {**layout.columns, weight: KEEP if worded else LEAVE_OUT}
    return [replace(raw, layout=replace(layout, columns=columns)), catches], [*hints, *said]
