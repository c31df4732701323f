"""Rows as a diary has them to rows of stints: titles aside, lists taken apart, fish one a row."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from rodhours.counts import listed, tallied
from rodhours.errors import UnusableFile
from rodhours.log.cells.numbers import is_whole
from rodhours.log.files.header import is_totals
from rodhours.log.layout.contents import is_a_date
from rodhours.log.layout.fish_rows import fish_as_rows, one_stint_each, times_rods
from rodhours.log.layout.guess import STRONG, rank
from rodhours.log.layout.layout import LEAVE_OUT, LIST_MARKS
from rodhours.log.layout.match import find_column, rods_of, targets
from rodhours.log.table import FileTable

OF_A_STINT = ("variant", "hours", "cast_in", "cast_out", "fish", "lost", "weight")
SHOWN = 4
LONGEST = 100
"""No list of a log is in a longer cell, and no title."""
_SUMS = re.compile(r"\W{0,9}(?:grand |sub-? ?)?(?:totals?|sums?|averages?|means?)\b", re.IGNORECASE)


def reshaped(raw: FileTable) -> tuple[list[FileTable], list[str]]:
    """A table with its layout as stints, and the fish of its weights as catches; what to say."""
    assert raw.layout is not None
    layout = raw.layout
    columns = targets(raw, layout)
    by_ours = {
        layout.columns.get(name, ours): name for name, ours in columns.items() if ours != LEAVE_OUT
    }
    of_rods = {name for one in rods_of(raw, layout).values() for name in one.values()}
    stints = {by_ours[ours] for ours in OF_A_STINT if ours in by_ours} | of_rods
    raw, hints = without_titles(raw, stints, by_ours.get("date"))
    lists = {find_column(name, raw.names): mark for name, mark in layout.lists.items()}
    raw = taken_apart(raw, {name: mark for name, mark in lists.items() if name is not None})
    rods = find_column(layout.rows.get("rods", ""), raw.names)
    if rods is not None and "hours" not in by_ours:
        raise UnusableFile(
            f"{raw.place_of_header}: {rods} says how many rods were out, and no column has their "
            "hours. Add one, Hours, with the hours of each rod (14 for 18:00 to 08:00)."
        )
    if rods is not None and layout.rows.get("hours") == "each rod":
        raw = times_rods(raw, by_ours["hours"], rods, layout)
        layout = raw.layout or layout
    weight = find_column(layout.theirs("weight") or "", raw.names)
    if of_rods or (weight is None and "alike" not in layout.rows):
        return [raw], hints
    catches = [fish_as_rows(raw, weight, layout)] if weight else []
    raw, said = one_stint_each(raw, layout)
    aside = {weight: LEAVE_OUT} if weight else {}
    plain = replace(layout, columns={**layout.columns, **aside})
    return [replace(raw, layout=plain), *catches], [*hints, *said]


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
            or (not dated and any(map(_SUMS.match, filled)))
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


def find_lists(raw: FileTable) -> dict[str, str]:
    """Columns whose cells list one thing for each rod, with the mark between them.

    Those of the bait are a list where the counts of fish beside them are as many.
    """
    cells = raw.named_columns
    named = {
        ours: [name for name in cells if rank(name, ours) >= least]
        for ours, least in (("variant", 1), ("fish", 1), ("lost", 1), ("rod", 1), ("hours", STRONG))
    }
    for bait in named["variant"]:
        for mark in LIST_MARKS:
            counts = [len(parts(cell, mark)) for cell in cells[bait]]
            if sum(count > 1 for count in counts) < 0.3 * sum(count > 0 for count in counts) or (
                max(counts, default=0) < 2
            ):
                continue
            found = {bait: mark}
            for ours in ("fish", "lost", "rod", "hours"):
                for name in named[ours]:
                    beside = _mark_beside(cells[name], counts, ours)
                    if beside is not None:
                        found.setdefault(name, beside)
            if any(name in found for name in named["fish"]):
                return found
    return {}


def _mark_beside(cells: Sequence[str], counts: Sequence[int], ours: str) -> str | None:
    """The mark by which these cells list as many things as the counts say, if there is one."""
    for mark in LIST_MARKS:
        split = [parts(cell, mark) for cell in cells]
        pairs = [(one, count) for one, count in zip(split, counts, strict=True) if one]
        several = [one for one, count in pairs if len(one) == count > 1]
        fits = sum(len(one) == count or one == ["0"] for one, count in pairs)
        # 5,5 under hours is five and a half; three of them, or with a space, are a list.
        sure = ours != "hours" or any(len(one) > 2 for one in several) or mark != ","
        if several and fits >= 0.8 * len(pairs) and sure and all(_short(p) for p in several):
            return mark
    return None


def _short(texts: Sequence[str]) -> bool:
    return all(len(text) <= 12 for text in texts)


def parts(cell: str, mark: str) -> list[str]:
    """The things that a cell lists, outer space off; none of an empty cell."""
    text = cell.strip()
    return [part.strip() for part in text.split(mark)] if text and len(text) <= LONGEST else []


def taken_apart(raw: FileTable, lists: Mapping[str, str]) -> FileTable:
    """A row for each thing listed; what is not listed is that of all of them.

    Rods are numbered in the order of the list where no column lists them. A count that is not as
    many as the baits cannot be shared out, and is left to be refused; 0 is that of each.
    """
    if not lists:
        return raw
    listed_cells = [(raw.named_columns[name], mark) for name, mark in lists.items()]
    width = [
        max(1, *(len(parts(cells[at], mark)) for cells, mark in listed_cells))
        for at in range(len(raw.rows))
    ]
    rows = [at for at, count in enumerate(width) for _ in range(count)]
    rods = [str(rod) for count in width for rod in range(1, count + 1)]
    columns: list[Sequence[str]] = []
    for name, cells in zip(raw.header, raw.columns, strict=True):
        if name not in lists:
            columns.append([cells[at] for at in rows])
            continue
        column: list[str] = []
        for cell, count in zip(cells, width, strict=True):
            split = parts(cell, lists[name])
            if len(split) != count:
                shared = len(split) < 2 and (not is_whole(cell.strip()) or cell.strip() == "0")
                split = [cell if shared else f"{cell.strip()} for {count} rods"] * count
            column += split
        columns.append(column)
    apart = replace(
        raw,
        columns=tuple(columns),
        rows=[raw.rows[at] for at in rows],
        misfits={new: raw.misfits[at] for new, at in enumerate(rows) if at in raw.misfits},
    )
    if any(rank(name, "rod") for name in lists) or "rod" in raw.header:
        return apart
    return replace(apart, header=(*apart.header, "rod"), columns=(*apart.columns, rods))
