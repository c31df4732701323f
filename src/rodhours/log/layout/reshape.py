"""Rows as a diary has them to rows of stints: remarks aside, rods and lists apart, fish a row."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace

from rodhours.counts import listed, tallied
from rodhours.log.cells.dates import read_period, with_years
from rodhours.log.cells.hours import OF_RODS
from rodhours.log.cells.numbers import COUNT_WORDS, is_whole
from rodhours.log.files.header import is_totals
from rodhours.log.layout.apart import (
    groups_apart,
    lists_apart,
    weights_with_their_rod,
)
from rodhours.log.layout.apply import cells_to_read
from rodhours.log.layout.contents import LOST_TOO, WEIGHTS_TOO, is_a_date, says_more
from rodhours.log.layout.fish_rows import fish_as_rows, one_stint_each, times_rods
from rodhours.log.layout.layout import (
    KEEP,
    LEAVE_OUT,
    SHEET,
    Layout,
    find_column,
    side_by_side,
    targets,
)
from rodhours.log.table import FileTable

OF_A_STINT = ("variant", "hours", "cast_in", "cast_out", "fish", "lost", "weight")
SHOWN = 4
_SUMS = re.compile(r"\b(?:totals?|sums?|averages?|means?)\b", re.IGNORECASE)
_A_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")


def with_sheets(raw: FileTable) -> FileTable:
    """The table with the name of its sheet in a column."""
    column = [raw.sheet or ""] * len(raw.rows)
    return replace(raw, header=(*raw.header, SHEET), columns=(*raw.columns, column))


def in_years(raws: Sequence[FileTable], layout: Layout) -> list[FileTable]:
    """Tables of one layout, whose dates have their year: it runs on from sheet to sheet.

    A sheet that says its year begins with that, and so does each where a sheet is of a bait.
    """
    dates = layout.dates
    if dates.year is None:
        return list(raws)
    named = {layout.theirs("date"), dates.clock_on, dates.clock_end_on} - {None}
    done: list[FileTable] = []
    before: dict[str, list[str]] = {}
    for raw in raws:
        told_year = _A_YEAR.search(raw.sheet or "")
        year = int(told_year[0]) if told_year else None
        if year is not None or SHEET in layout.columns:
            before = {}
        columns = [*raw.columns]
        for name in {find_column(str(one), raw.names) for one in named} - {None}:
            at = raw.header.index(str(name))
            earlier = before.get(str(name), [])
            cells = [*earlier, *columns[at]]
            told = with_years(cells, dates.form, year or dates.year)[len(earlier) :]
            before[str(name)] = [*earlier, *told]
            columns[at] = told
        done.append(replace(raw, columns=tuple(columns)))
    return done


def counts_apart(raw: FileTable, layout: Layout) -> tuple[FileTable, Layout]:
    """Several counts of fish added up in one column; `1 + 1 lost`, `1 (9lb)` in two columns."""
    columns = dict(layout.columns)
    names = [name for name in raw.names if columns.get(name) == "fish"]
    if len(names) > 1:
        cells = [_sum(row) for row in zip(*(raw.named_columns[one] for one in names), strict=True)]
        added = " + ".join(names)
        raw = replace(raw, header=(*raw.header, added), columns=(*raw.columns, cells))
        columns |= {**dict.fromkeys(names, KEEP), added: "fish"}
        names = [added]
    for ours, form in (("lost", LOST_TOO), ("weight", WEIGHTS_TOO)):
        if not names or ours in columns.values():
            continue
        at, added = raw.header.index(names[0]), f"{names[0]}: {ours}"
        told = [form.fullmatch(cell.strip()) for cell in raw.columns[at]]
        if any(told):
            pairs = list(zip(told, raw.columns[at], strict=True))
            landed = [(one["landed"] or "0") if one else cell for one, cell in pairs]
            apart = [one[ours] if one else "" for one in told]
            both = (*raw.columns[:at], landed, *raw.columns[at + 1 :], apart)
            raw = replace(raw, header=(*raw.header, added), columns=both)
            columns[added] = ours
    return raw, replace(layout, columns=columns)


def periods_apart(raw: FileTable, layout: Layout) -> tuple[FileTable, Layout]:
    """`Fri 6pm - Sun 10am` in the column of hours as start and end, where there is a date."""
    name, day = (find_column(layout.theirs(ours) or "", raw.names) for ours in ("hours", "date"))
    if name is None or day is None or {"cast_in", "cast_out"} & {*layout.columns.values()}:
        return raw, layout
    cells = [cell.strip() for cell in cells_to_read(raw, layout)[name]]
    read = {cell: read_period(cell) for cell in set(cells)}
    if not any(read.values()):
        return raw, layout
    periods = [read[cell] for cell in cells]
    hours = ["" if told else cell for told, cell in zip(periods, cells, strict=True)]
    begins, ends = ([told[0][one] if told else "" for told in periods] for one in (0, 1))
    at, names = raw.header.index(name), (f"{name}: start", f"{name}: end")
    columns = (*raw.columns[:at], hours, *raw.columns[at + 1 :], begins, ends)
    raw = replace(raw, header=(*raw.header, *names), columns=columns)
    targeted = {**layout.columns, names[0]: "cast_in", names[1]: "cast_out"}
    fill = tuple(one for one in layout.fill_down if find_column(one, raw.names) != name)
    dates = replace(layout.dates, clock_on=day)
    return raw, replace(layout, columns=targeted, fill_down=fill, dates=dates)


def _sum(cells: Sequence[str]) -> str:
    """Counts added up; cells that are none stay as they are, to be refused or asked about."""
    filled = [cell.strip() for cell in cells if cell.strip() and COUNT_WORDS.get(cell.strip()) != 0]
    if all(map(is_whole, filled)):
        return str(sum(int(float(one)) for one in filled)) if any(map(str.strip, cells)) else ""
    return " + ".join(filled)


def reshaped(raw: FileTable) -> tuple[list[FileTable], list[str]]:
    """A table with its layout as stints, and the fish of its weights as catches; what to say."""
    assert raw.layout is not None
    layout = raw.layout
    columns = targets(raw, layout)
    by_ours = {
        layout.columns.get(name, ours): name for name, ours in columns.items() if ours != LEAVE_OUT
    }
    groups = side_by_side(layout.groups, raw.names, layout.baits)
    stints = {by_ours[ours] for ours in OF_A_STINT if ours in by_ours}
    stints |= {name for group in groups.values() for name in group.values()}
    raw, hints = without_titles(raw, stints, by_ours.get("date"))
    lists = {find_column(name, raw.names): mark for name, mark in layout.lists.items()}
    raw = groups_apart(raw, layout) if groups else raw
    raw = lists_apart(raw, {name: mark for name, mark in lists.items() if name is not None})
    if (groups or lists) and "hours" in by_ours:
        # 12 x 2 is of all the rods that have rows of their own now.
        at = raw.header.index(by_ours["hours"])
        told = [OF_RODS.fullmatch(cell.strip()) for cell in raw.columns[at]]
        each = [one[1] if one else cell for one, cell in zip(told, raw.columns[at], strict=True)]
        raw = replace(raw, columns=(*raw.columns[:at], each, *raw.columns[at + 1 :]))
    raw, layout = counts_apart(raw, layout)
    rods = find_column(layout.rows.get("rods", ""), raw.names)
    if rods is not None and layout.rows.get("hours") == "each rod":
        raw = times_rods(raw, by_ours.get("hours"), rods, layout)
        layout = raw.layout or layout
    raw, layout = periods_apart(raw, layout)
    weight = find_column(layout.theirs("weight") or "", raw.names)
    if weight is None and "alike" not in layout.rows:
        return [replace(raw, layout=layout)], hints
    if weight is not None and (lists or groups) and weight not in (*lists, *layout.groups):
        fish = find_column(layout.theirs("fish") or "", raw.names)
        raw, said = weights_with_their_rod(raw, weight, fish)
        hints = [*hints, *said]
    catches = [fish_as_rows(raw, weight, layout)] if weight else []
    raw, said = one_stint_each(raw, layout)
    aside = {}
    if weight:
        worded = any(map(says_more, map(str.strip, raw.named_columns[weight])))
        aside = {weight: KEEP if worded else LEAVE_OUT}
    plain = replace(layout, columns={**layout.columns, **aside})
    return [replace(raw, layout=plain), *catches], [*hints, *said]


def _is_sums(filled: Sequence[str]) -> bool:
    """Whether a row holds numbers alone but for a text that calls them totals."""
    texts = [cell for cell in filled if not re.fullmatch(r"[\d.,: h]+", cell)]
    return len(texts) == 1 < len(filled) and _SUMS.search(texts[0]) is not None


def without_titles(
    raw: FileTable, stints: Collection[str], date: str | None
) -> tuple[FileTable, list[str]]:
    """The table without rows that are no stints: titles, remarks, totals, the header again.

    `stints` are the columns that only a stint fills, `date` the one of its day. What is left aside
    is said with the row and its text. A row with its day and no bait stays: it is at fault.
    """
    if not stints:
        return raw, []
    days = raw.named_columns.get(date or "")
    held = [raw.header.index(name) for name in stints]
    aside: dict[int, str] = {}
    for position in range(len(raw.rows)):
        cells = raw.cells(position)
        filled = [cell.strip() for cell in cells if cell.strip()]
        dated = days is not None and is_a_date(days[position].strip())
        of_stint = any(index < len(cells) and cells[index].strip() for index in held)
        if (
            (len(filled) > 1 and filled == [one for one in raw.header if one in filled])
            or (not of_stint and (not dated or len(filled) == 1))
            or (not dated and _is_sums(filled))
        ):
            aside[position] = " ".join(" ".join(filled).split())
    last = len(raw.rows) - 1
    undated = days is not None and last > 1 and last not in aside and not days[last].strip()
    if undated and is_totals(raw.cells(last), [raw.cells(at) for at in range(last)], True):
        aside[last] = " ".join(" ".join(raw.cells(last)).split())
    if not aside:
        return raw, []
    texts = [f"row {raw.rows[at]} ({text[:30]})" for at, text in list(aside.items())[:SHOWN]]
    more = [f"{len(aside) - SHOWN} more"] if len(aside) > SHOWN else []
    said = f"{raw.place_of_table}: {tallied(len(aside), 'row')} without a stint left aside: "
    keep = [position for position in range(len(raw.rows)) if position not in aside]
    return raw.only(keep), [f"{said}{listed([*texts, *more])}."]
