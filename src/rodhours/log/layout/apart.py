"""What stands side by side in a row to rows of its own: columns of rods or baits, lists."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from rodhours.counts import tallied
from rodhours.log.cells.numbers import is_whole
from rodhours.log.layout.guess import STRONG, WEAK, rank
from rodhours.log.layout.layout import (
    BAIT,
    COLUMNS,
    LIST_MARKS,
    ROD,
    SIDES,
    Layout,
    plain,
    rods_of_letters,
    side_by_side,
)
from rodhours.log.layout.names import words_in_name
from rodhours.log.table import Fault, FileTable
from rodhours.log.tables import VARIANTS

OF_A_ROD = (
    *("variant", "fish", "hours", "lost", "weight", "cast_in", "cast_out", "spot", "batch"),
    *("rig", "hook_size", "depth_m", "range_m"),
)
FISHED_IF_ANY = ("fish", "lost", "hours", "cast_in", "cast_out", "weight")
NOTHING = ("", "-", "–", "—", "x", "X", "none", "None", "n/a", "N/A")
"""What stands in a cell for nothing."""
NOUGHTS = ("0", "0.0", "0,0", "0.00", "0,00", "0:00", "00:00")
"""Hours as a sheet's own sums give them where there are none."""
NO_ROD_FISHED = "the bait of at least one rod: a trip without a rod in the water is no trip"
NO_BAIT_FISHED = "a number under at least one bait, 0 for one that was out and caught nothing"
FISHED_WITHOUT_BAIT = "filled, since this rod has fish or hours: the bait that was on it"
_NUMBERS = re.compile(r"[\d.,:/ -]+")
LONGEST = 100
"""No list of a log is in a longer cell, and no title."""
_ROD_NAME = re.compile(rf"(?<![\d.])\d(?![\d.%])|\b(?:(?i:{'|'.join(SIDES)})|[LRMNFAB])\b(?!\.)")
"""A rod in a column name: a digit by itself, or where the rod stands."""


def find_groups(raw: FileTable) -> dict[str, str]:
    """Names with {rod} or {bait} to our columns, where a header has a column for each of these.

    Columns called by their rod alone (`Rod 1`, `Left rod`) hold the baits, where they hold labels.
    """
    if raw.table != "stints":
        return {}
    columns: dict[str, dict[str, str]] = defaultdict(dict)
    letters = rods_of_letters(raw.names)
    for name in raw.names:
        found = list(_ROD_NAME.finditer(name))
        if len(found) == 1 and ROD not in name:
            template = f"{name[: found[0].start()]}{ROD}{name[found[0].end() :]}"
            rod = letters.get(plain(found[0][0]), found[0][0])
            columns[" ".join(template.split())][plain(rod)] = name
    fits: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for template, rods in columns.items():
        if len(rods) < 2:
            continue
        words = words_in_name(template.replace(ROD, " ")).split()
        name = " ".join(word for word in words if word not in ("rod", "r"))
        ours = next((one for one in OF_A_ROD if rank(name, one)), None)
        labels = [raw.named_columns[one] for one in rods.values()]
        numbers = (_NUMBERS.fullmatch(text.strip()) for cells in labels for text in cells)
        if not name and any(map(any, labels)) and not any(numbers):
            ours = "variant"
        if ours:
            fits[ours].append((rank(name, ours), template))
    patterns: dict[str, str] = {}
    for ours, told in fits.items():
        best = [one for fit, one in told if fit == max(told)[0]]
        if ours != "fish" or len(best) == 1:  # carp or tench: the fish are neither's
            patterns[best[0]] = ours
    baits = next((columns[one].keys() for one, ours in patterns.items() if ours == "variant"), None)
    if baits is None:
        return _by_words(raw.names)
    # Fish of a rod that no bait is told of are nobody's: nothing is said of them then.
    return {one: ours for one, ours in patterns.items() if columns[one].keys() <= baits}


def _by_words(header: Sequence[str]) -> dict[str, str]:
    """Names with {rod}, or with {bait}, where two of them or more each have their own columns.

    `Bait L` and `Fish L` are of a rod called L; `Plain hrs` and `Plain fish` of a bait.
    """
    called: dict[tuple[str, str], dict[str, str]] = defaultdict(dict)
    for name in header:
        words = name.split()
        whole = next((ours for ours in OF_A_ROD if rank(name, ours)), None)
        for cut in range(1, len(words)):
            first, last = " ".join(words[:cut]), " ".join(words[cut:])
            for one, measure, text in ((first, last, "{} " + last), (last, first, first + " {}")):
                ours = next((o for o in OF_A_ROD if rank(measure.strip("()[]"), o) >= STRONG), None)
                if ours is not None and whole in (None, ours):
                    called[text.casefold(), ours][one.casefold()] = one
    found = {}
    for ours in OF_A_ROD:
        texts = [text for text, what in called if what == ours and len(called[text, ours]) > 1]
        if texts:
            found[ours] = max(texts, key=lambda text: len(called[text, ours]))
    if "fish" not in found:
        return {}
    fish = called[found["fish"], "fish"]
    if "variant" in found and called[found["variant"], "variant"].keys() == fish.keys():
        mark = ROD
    elif not any(rank(name, "variant") for name in header):
        found.pop("variant", None)
        mark = BAIT
    else:
        return {}
    return {
        text.format(mark): ours
        for ours, text in found.items()
        if called[text, ours].keys() <= fish.keys()
    }


def groups_apart(raw: FileTable, layout: Layout) -> FileTable:
    """A row for each rod, or bait, that was fished, under the layout's own names with {rod}.

    A rod without a bait was not fished; one without a bait but with fish or hours is at fault, and
    so is a row without any rod.
    """
    patterns = layout.groups
    of = {ours: pattern for pattern, ours in patterns.items()}
    groups = side_by_side(patterns, raw.names, layout.baits)
    needs = of.get("variant") or of.get("fish", "")
    groups = {name: group for name, group in groups.items() if needs in group}
    if not groups:
        return raw
    cells = raw.named_columns
    nothing = {*NOTHING, *(t for t, v in layout.values.get("variant", {}).items() if not v)}
    rows: list[tuple[int, str]] = []
    faults: list[Fault] = []
    for at in range(len(raw.rows)):
        before = len(rows)
        for name, group in groups.items():
            texts = {patterns[one]: cells[column][at].strip() for one, column in group.items()}
            told = [texts.get(ours, "") for ours in FISHED_IF_ANY]
            counted = any(text not in (*NOTHING, *NOUGHTS) for text in told)
            if "variant" in of:
                named = texts["variant"] not in nothing
                if counted and not named:
                    faults.append((len(rows), "variant", FISHED_WITHOUT_BAIT, None))
            elif {"hours", "cast_in"} & of.keys():
                named = counted
            else:
                blank = layout.rows.get("empty_bait") == "a blank"
                named = blank or texts["fish"] not in NOTHING
            if named or counted:
                rows.append((at, name))
        if len(rows) == before:
            says = NO_ROD_FISHED if "variant" in of else NO_BAIT_FISHED
            faults.append((before, "variant", says, None))
            rows.append((at, next(iter(groups))))
    grouped = {column for group in groups.values() for column in group.values()}
    header = [name for name in raw.header if name not in grouped]
    columns: list[Sequence[str]] = [
        [column[at] for at, _ in rows]
        for name, column in zip(raw.header, raw.columns, strict=True)
        if name not in grouped
    ]
    for pattern, ours in patterns.items():
        header.append(pattern)
        texts_of = [
            cells[groups[name][pattern]][at] if pattern in groups[name] else "" for at, name in rows
        ]
        empty = {"variant": nothing, "hours": {*NOTHING, *NOUGHTS}}.get(ours, set())
        if ours == "fish" and "variant" not in of and "hours" not in of:
            texts_of = ["0" if one.strip() in NOTHING else one for one in texts_of]
        columns.append(["" if one.strip() in empty else one for one in texts_of])
    header.append("rod" if "variant" in of else "variant")
    columns.append([name for _, name in rows])
    own = [
        {pattern: groups[name].get(pattern, pattern) for pattern in patterns}
        | {header[-1]: groups[name][needs]}
        for _, name in rows
    ]
    apart = _spread(raw, header, columns, [at for at, _ in rows])
    return replace(apart, faults=(*apart.faults, *faults), own=tuple(own))


def _spread(
    raw: FileTable, header: Sequence[str], columns: Sequence[Sequence[str]], rows: Sequence[int]
) -> FileTable:
    """The same table with these columns, whose rows are of the rows at these positions."""
    first = {at: new for new, at in reversed([*enumerate(rows)])}
    return replace(
        raw,
        header=tuple(header),
        columns=tuple(columns),
        rows=[raw.rows[at] for at in rows],
        misfits={new: raw.misfits[at] for new, at in enumerate(rows) if at in raw.misfits},
        faults=tuple((first[fault[0]], *fault[1:]) for fault in raw.faults if fault[0] in first),
    )


def find_lists(raw: FileTable) -> dict[str, str]:
    """Columns whose cells list one thing for each rod, with the mark between them.

    Those of the bait are a list where the counts of fish beside them are as many.
    """
    cells = raw.named_columns
    named = {
        ours: [name for name in cells if rank(name, ours) >= least]
        for ours, least in (
            *(("variant", 1), ("fish", 1), ("lost", 1), ("rod", 1), ("hours", STRONG)),
            ("weight", WEAK),
        )
    }
    for bait in named["variant"] if raw.table == "stints" else ():
        for mark in LIST_MARKS:
            counts = [len(parts(cell, mark)) for cell in cells[bait]]
            if sum(count > 1 for count in counts) < 0.3 * sum(count > 0 for count in counts) or (
                max(counts, default=0) < 2
            ):
                continue
            found = {bait: mark}
            for ours in ("fish", "lost", "rod", "hours", "weight"):
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
        short = all(len(text) <= 12 for texts in several for text in texts)
        if several and fits >= (1 if ours == "weight" else 0.8) * len(pairs) and sure and short:
            return mark
    return None


def parts(cell: str, mark: str) -> list[str]:
    """The things that a cell lists, outer space off; none of an empty cell."""
    text = cell.strip()
    return [part.strip() for part in text.split(mark)] if text and len(text) <= LONGEST else []


def lists_apart(raw: FileTable, lists: Mapping[str, str]) -> FileTable:
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
    header = list(raw.header)
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
    if not any(rank(name, "rod") for name in lists) and "rod" not in raw.header:
        header.append("rod")
        columns.append([str(rod) for count in width for rod in range(1, count + 1)])
    return _spread(raw, header, columns, rows)


def weights_with_their_rod(
    raw: FileTable, weight: str, fish: str | None
) -> tuple[FileTable, list[str]]:
    """Weights that a row has for all its rods: those of the only rod with fish, else only kept."""
    cells = list(raw.named_columns[weight])
    counts = raw.named_columns[fish] if fish is not None else [""] * len(cells)
    together: dict[int, list[int]] = defaultdict(list)
    for at, row in enumerate(raw.rows):
        together[row].append(at)
    kept = [""] * len(cells)
    for rods in together.values():
        had = [at for at in rods if counts[at].strip() not in (*NOTHING, *NOUGHTS)]
        if len(rods) > 1 and len({cells[at] for at in rods}) == 1 and cells[rods[0]].strip():
            if len(had) != 1:
                kept[rods[0]] = cells[rods[0]]
            for at in rods:
                cells[at] = cells[at] if had == [at] else ""
    at = raw.header.index(weight)
    columns: list[Sequence[str]] = [*raw.columns[:at], cells, *raw.columns[at + 1 :]]
    header, said = [*raw.header], []
    if any(kept):
        header.append(f"{weight} of the row")
        columns.append(kept)
        rows = tallied(sum(map(bool, kept)), "row")
        said = [
            f"{raw.place_of_table}: the weights of {rows} are kept and not counted: more than one "
            "rod had fish, and which had which is not said."
        ]
    return replace(raw, header=tuple(header), columns=tuple(columns)), said


def bait_columns(raw: FileTable, free: Sequence[str]) -> list[str]:
    """Columns that may each be called by a bait and hold its fish: small counts or nothing."""
    found = []
    for name in free:
        texts = {cell.strip() for cell in raw.named_columns[name]} - {*NOTHING}
        small = all(text.isdecimal() and len(text) < 3 and int(text) <= 50 for text in texts)
        if texts and small and not any(rank(name, one) for one in {*COLUMNS} - {*VARIANTS.names}):
            found.append(name)
    return found if len(found) > 1 else []
