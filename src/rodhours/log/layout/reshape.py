"""Rows as a diary has them to rows of stints: rods and lists apart, rows that are fish, fish told.

Logs of fish alone are recognised.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from rodhours.counts import tallied
from rodhours.log.cells import CellFault
from rodhours.log.cells.dates import with_years
from rodhours.log.cells.hours import OF_RODS
from rodhours.log.cells.numbers import COUNT_WORDS, is_whole
from rodhours.log.cells.times import elapsed_hours, instant
from rodhours.log.layout.apart import groups_apart, lists_apart, weights_with_their_rod
from rodhours.log.layout.apply import apply_layout, cells_to_read
from rodhours.log.layout.contents import LOST_TOO, WEIGHTS_TOO, says_more, weights_in
from rodhours.log.layout.layout import KEEP, LEAVE_OUT, SHEET, Layout, side_by_side, targets
from rodhours.log.layout.titles import without_remarks
from rodhours.log.table import FileTable

OF_A_STINT = ("variant", "hours", "cast_in", "cast_out", "fish", "lost", "weight")
A_YEAR = re.compile(r"(?<!\d)(?:19|20)\d\d(?!\d)")
NO_ROD_NOTED = "not noted"
"""The rod of a fish in a log without rods, where the catch is known by its trip and bait."""
OF_ONE_STINT = (
    *("session", "angler", "date", "venue", "rod", "variant", "hours", "cast_in", "cast_out"),
    *("start", "end", "batch"),
)
"""Rows that agree in these may be of one stint."""


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
        dates, told_year = layout.dates, A_YEAR.search(raw.sheet or "")
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


def fish_in_rows(raw: FileTable, layout: Layout) -> list[list[str]]:
    """The weights of each row's fish, one for each; those that were not weighed are empty."""
    cells = cells_to_read(raw, layout)
    empty = [""] * len(raw.rows)
    named = {layout.ours(name): cells[name] for name in reversed(raw.names)}
    nothing = {text for text, value in layout.values.get("weight", {}).items() if not value}
    known, counted = layout.values.get("fish", {}), "fish" in named
    found = []
    for cell, count_cell in zip(named.get("weight", empty), named.get("fish", empty), strict=True):
        text, said = cell.strip(), count_cell.strip()
        said = known.get(said, said)
        count = int(float(said)) if is_whole(said) and len(said) < 6 else 0
        worded = bool(text) and not any(map(str.isdigit, text))
        weights = weights_in(text, layout.units.decimal)
        if text in nothing or COUNT_WORDS.get(text.lower()) == 0:
            weights = []
        elif worded and (counted or layout.rows.get("words") == "a fish"):
            weights, count = [], count if counted else 1
        if not text and not counted and layout.rows.get("without_weight") == "a fish":
            count = 1
        found.append(weights + [""] * (count - len(weights)))
    return found


def alike(raw: FileTable, layout: Layout) -> list[list[int]]:
    """Rows that each had fish and agree in all that tells one stint from another."""
    cells = cells_to_read(raw, layout)
    of_stint = {*OF_ONE_STINT, *layout.session_from}
    keys = [name for name in raw.names if {name, layout.ours(name)} & of_stint]
    groups = defaultdict(list)
    for at, fish in enumerate(fish_in_rows(raw, layout)):
        if fish:
            groups[tuple(cells[name][at].strip() for name in keys)].append(at)
    return [group for group in groups.values() if len(group) > 1]


def surely_alike(layout: Layout) -> bool:
    """Whether such rows can be of one stint alone: one rod is in once at a time."""
    return all(map(layout.theirs, ("rod", "cast_in", "cast_out")))


def one_stint_each(raw: FileTable, layout: Layout) -> tuple[FileTable, list[str]]:
    """The table with alike rows as one, their counts added up and their remarks joined."""
    said = layout.rows.get("alike", "one stint" if surely_alike(layout) else "")
    groups = alike(raw, layout) if said == "one stint" else []
    if not groups:
        return raw, []
    columns = {}
    for name, column in raw.named_columns.items():
        columns[name] = cells = list(column)
        counted = layout.ours(name) in ("fish", "lost")
        for group in groups:
            texts = [text for at in group if (text := cells[at].strip())]
            if counted and all(map(is_whole, texts)):
                cells[group[0]] = str(sum(int(float(text)) for text in texts))
            else:
                cells[group[0]] = "; ".join(dict.fromkeys(texts))
    gone = {at for _, *others in groups for at in others}
    kept = [at for at in range(len(raw.rows)) if at not in gone]
    rows = tallied(len(gone), "row")
    hint = f"{raw.place_of_table}: {rows} with a further fish of the stint of another row"
    return raw.with_columns(columns).only(kept), [f"{hint}: counted with it."]


def times_rods(raw: FileTable, hours: str, layout: Layout) -> tuple[FileTable, Layout]:
    """The table with rod-hours: the hours of each row times its rods, where both can be read.

    Without a column of hours (an empty name) they are those from the start to the end.
    """
    name = hours or "Hours of the rods"
    values = apply_layout(raw, layout).values
    each = values["hours"] if hours else _hours_apart(values, layout)
    texts = raw.named_columns.get(name, [""] * len(raw.rows))
    counts = map(str.strip, raw.named_columns[layout.rows["rods"]])
    cells = [
        f"{value * int(float(count)):.10g}h".replace(".", layout.units.decimal)
        if value and is_whole(count)
        else cell
        for cell, value, count in zip(texts, each, counts, strict=True)
    ]
    times = [one for one in raw.names if layout.ours(one) in ("cast_in", "cast_out")]
    aside = {} if hours else dict.fromkeys(times, KEEP)
    columns = {**layout.columns, **aside, name: "hours"}
    return raw.with_columns({name: cells}), replace(layout, columns=columns)


def _hours_apart(values: Mapping[str, Sequence[str]], layout: Layout) -> list[float | None]:
    """The hours from each start to its end."""
    zone = ZoneInfo(layout.dates.zone) if layout.dates.zone else None
    found: list[float | None] = []
    for began, ended in zip(values["cast_in"], values["cast_out"], strict=True):
        try:
            hours = elapsed_hours(instant(began, zone), instant(ended, zone))
        except (CellFault, TypeError):
            hours = 0.0
        found.append(hours if hours > 0 else None)
    return found


def fish_as_rows(raw: FileTable, weight: str, layout: Layout) -> FileTable:
    """The fish of each row as catches: those weighed, and without a weight the rest of the count.

    Which stint had it is told by the row's trip, rod and bait.
    """
    fish = fish_in_rows(raw, layout)
    rows = [at for at, weights in enumerate(fish) for _ in weights]
    told = ("session", "angler", "rod", "variant", "species")
    own = {weight, *layout.session_from}
    aside = [one for one in raw.header if one not in own and layout.ours(one) not in told]
    columns: dict[str, Sequence[str]] = {weight: [one for of_row in fish for one in of_row]}
    if "rod" not in map(layout.ours, raw.names):
        columns["rod"] = [NO_ROD_NOTED] * len(rows)
    filled = replace(raw.with_columns(cells_to_read(raw, layout), without=aside), misfits={})
    bad = {position for position, *_ in raw.faults}
    return replace(
        filled.only(rows).with_columns(columns),
        faults=tuple((new, None, "", None) for new, at in enumerate(rows) if at in bad),
        table="catches",
        layout=replace(layout, lists={}, fill_down=()),
    )


FEWEST_ROWS = 4
"""With fewer rows nothing is said: any few stints may have had one fish each."""
MOST = 0.8
OFTEN_MISSING = 0.75
"""Where fewer rows than this share have hours, they stand with the first fish of a trip alone."""
REFUSED = (
    "{}: the rows are fish, one each, and no row stands for the hours without fish. A catch rate "
    "is fish divided by all the hours the bait was in the water, so hours that caught nothing "
    "count as much as the others; without them every bait would look alike. Add them as one row "
    "for each rod and trip, with the columns session, rod, variant, hours and fish, 0 fish for a "
    "blank (a sheet or file named stints). The rows of fish can stay as they are, as a sheet or "
    "file named catches: rodhours import stints.csv catches.csv."
)
OF_A_FISH = ("weight", "species", "time", "outcome")


def is_fish_only(
    columns: Mapping[str, Sequence[object]], fish_like: Callable[[], Sequence[Sequence[object]]]
) -> bool:
    """Whether these rows are fish and not stints.

    `columns` has the cells or values of our columns (session, rod, variant, hours, cast_in, fish,
    weight, species, time), those that are there; `fish_like` gives further columns that belong to a
    fish (asked for only where that is in doubt: it looks at every cell).
    A row with 0 fish is a blank, and a log that has one is no log of fish alone.

    It is one where no row has other than one fish, and the hours are missing, or are repeated
    with each fish: rows of the same session, rod and bait have the same hours.
    """

    def texts(cells: Sequence[object]) -> list[str]:
        return ["" if cell is None else str(cell).strip() for cell in cells]

    def filled(cells: Sequence[str]) -> int:
        return sum(map(bool, cells))

    rows, fish = max(map(len, columns.values()), default=0), texts(columns.get("fish", ()))
    if rows < FEWEST_ROWS or {*fish} - {"1", "1.0", ""}:
        return False
    told = [texts(columns[name]) for name in OF_A_FISH if name in columns]
    told += map(texts, fish_like())
    if any(COUNT_WORDS.get(text.lower()) == 0 for cells in told for text in {*cells}):
        return False
    marked = any(filled(cells) >= MOST * rows for cells in told)
    timed = [texts(columns[name]) for name in ("hours", "cast_in") if name in columns]
    hours = max(map(filled, timed), default=0)
    # Stints without any hours are another matter, unless the rows are plainly fish.
    if not marked and (filled(fish) < rows or not hours or rows < 3 * FEWEST_ROWS):
        return False
    if hours <= OFTEN_MISSING * rows:
        return marked
    keys = [columns[name] for name in ("angler", "session", "rod", "variant") if name in columns]
    if not keys or ("rod" not in columns and rows < 2 * FEWEST_ROWS):
        return False
    # Fish of one stint repeat its hours: never twice the same stint with other hours.
    pairs = {*zip(zip(*keys, strict=True), timed[0], strict=True)}
    stints = {key for key, _ in pairs}
    return len(pairs) == len(stints) < rows
