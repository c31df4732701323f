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
    OF_A_ROD,
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
    fits: dict[str, dict[str, int]] = defaultdict(dict)
    for template, rods in columns.items():
        words = words_in_name(template.replace(ROD, " ")).split()
        name = " ".join(word for word in words if word not in ("rod", "r"))
        ours = next((one for one in OF_A_ROD if rank(name, one)), "")
        texts = [text.strip() for one in rods.values() for text in raw.named_columns[one]]
        if not name and texts and not any(map(_NUMBERS.fullmatch, texts)):
            ours = "variant" if any(texts) else ours
        if ours and len(rods) > 1:
            fits[ours][template] = rank(name, ours)
    patterns: dict[str, str] = {}
    for ours, ranks in fits.items():
        best = [template for template, fit in ranks.items() if fit == max(ranks.values())]
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
    called: dict[str, dict[str, set[str]]] = {ours: defaultdict(set) for ours in OF_A_ROD}
    for name in header:
        words = name.split()
        whole = next((ours for ours in OF_A_ROD if rank(name, ours)), None)
        for cut in range(1, len(words)):
            first, last = " ".join(words[:cut]), " ".join(words[cut:])
            for one, measure, text in ((first, last, "{} " + last), (last, first, first + " {}")):
                ours = next((o for o in OF_A_ROD if rank(measure.strip("()[]"), o) >= STRONG), None)
                if ours is not None and whole in (None, ours):
                    called[ours][text.casefold()].add(one.casefold())
    most = {
        ours: max(texts.items(), key=lambda one: len(one[1]))
        for ours, texts in called.items()
        if any(len(names) > 1 for names in texts.values())
    }
    fish = most.get("fish", ("", set()))[1]
    mark = ROD if most.get("variant", ("", None))[1] == fish else BAIT
    if not fish or (mark == BAIT and any(rank(name, "variant") for name in header)):
        return {}
    return {
        text.format(mark): ours
        for ours, (text, names) in most.items()
        if names <= fish and (mark == ROD or ours != "variant")
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
    cells, of_rods = raw.named_columns, "variant" in of
    nothing = {*NOTHING, *(t for t, v in layout.values.get("variant", {}).items() if not v)}
    timed = bool({"hours", "cast_in"} & of.keys())
    blank = layout.rows.get("empty_bait") == "a blank"
    rows: list[tuple[int, str]] = []
    faults: list[Fault] = []
    for at in range(len(raw.rows)):
        before = len(rows)
        for name, group in groups.items():
            texts = {patterns[one]: cells[column][at].strip() for one, column in group.items()}
            told = [texts.get(ours, "") for ours in FISHED_IF_ANY]
            counted = any(text not in (*NOTHING, *NOUGHTS) for text in told)
            if of_rods:
                named = texts["variant"] not in nothing
            else:
                named = not timed and (blank or texts["fish"] not in NOTHING)
            if counted and not named and of_rods:
                faults.append((len(rows), "variant", FISHED_WITHOUT_BAIT, None))
            if named or counted:
                rows.append((at, name))
        if len(rows) == before:
            says = NO_ROD_FISHED if of_rods else NO_BAIT_FISHED
            faults.append((before, "variant", says, None))
            rows.append((at, next(iter(groups))))
    empty = {"variant": nothing, "hours": {*NOTHING, *NOUGHTS}}
    columns: dict[str, Sequence[str]] = {}
    for pattern, ours in patterns.items():
        texts_of = [cells[groups[n][pattern]][at] if pattern in groups[n] else "" for at, n in rows]
        if ours == "fish" and not of_rods and "hours" not in of:
            texts_of = ["0" if one.strip() in NOTHING else one for one in texts_of]
        columns[pattern] = ["" if one.strip() in empty.get(ours, ()) else one for one in texts_of]
    label = "rod" if of_rods else "variant"
    columns[label] = [name for _, name in rows]
    grouped = {column for group in groups.values() for column in group.values()}
    apart = raw.only([at for at, _ in rows]).with_columns(columns, grouped)
    own = [{one: groups[n].get(one, one) for one in patterns} for _, n in rows]
    own = [named | {label: groups[n][needs]} for named, (_, n) in zip(own, rows, strict=True)]
    return replace(apart, faults=(*apart.faults, *faults), own=tuple(own))


def find_lists(raw: FileTable) -> dict[str, str]:
    """Columns whose cells list one thing for each rod, with the mark between them.

    Those of the bait are a list where the counts of fish beside them are as many.
    """
    cells = raw.named_columns
    least = {"fish": 1, "lost": 1, "rod": 1, "hours": STRONG, "weight": WEAK}
    baits = [name for name in cells if rank(name, "variant") and raw.table == "stints"]
    for bait, mark in ((bait, mark) for bait in baits for mark in LIST_MARKS):
        counts = [len(parts(cell, mark)) for cell in cells[bait]]
        several, filled = sum(count > 1 for count in counts), sum(count > 0 for count in counts)
        if not several or several < 0.3 * filled:
            continue
        found = {bait: mark}
        for ours, fit in least.items():
            for name in (name for name in cells if rank(name, ours) >= fit):
                beside = _mark_beside(cells[name], counts, ours)
                if beside is not None:
                    found.setdefault(name, beside)
        if any(rank(name, "fish") for name in found):
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
    cells = raw.named_columns
    split = {name: [parts(cell, mark) for cell in cells[name]] for name, mark in lists.items()}
    width = [max(1, *map(len, of_row)) for of_row in zip(*split.values(), strict=True)]
    columns: dict[str, Sequence[str]] = {}
    for name, listed in split.items():
        column: list[str] = []
        for cell, things, count in zip(cells[name], listed, width, strict=True):
            shared = len(things) < 2 and (not is_whole(cell.strip()) or cell.strip() == "0")
            same = cell if shared else f"{cell.strip()} for {count} rods"
            column += things if len(things) == count else [same] * count
        columns[name] = column
    if not any(rank(name, "rod") for name in lists) and "rod" not in raw.header:
        columns["rod"] = [str(rod) for count in width for rod in range(1, count + 1)]
    return raw.only([at for at, n in enumerate(width) for _ in range(n)]).with_columns(columns)


def weights_with_their_rod(raw: FileTable, weight: str, fish: str) -> tuple[FileTable, list[str]]:
    """Weights that a row has for all its rods: those of the only rod with fish, else only kept."""
    cells = list(raw.named_columns[weight])
    counts = raw.named_columns.get(fish, [""] * len(cells))
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
    if not any(kept):
        return raw.with_columns({weight: cells}), []
    said = (
        f"{raw.place_of_table}: the weights of {tallied(sum(map(bool, kept)), 'row')} are kept and "
        "not counted: more than one rod had fish, and which had which is not said."
    )
    return raw.with_columns({weight: cells, f"{weight} of the row": kept}), [said]


def bait_columns(raw: FileTable, free: Sequence[str]) -> list[str]:
    """Columns that may each be called by a bait and hold its fish: small counts or nothing."""
    found = []
    for name in free:
        texts = {cell.strip() for cell in raw.named_columns[name]} - {*NOTHING}
        small = all(text.isdecimal() and len(text) < 3 and int(text) <= 50 for text in texts)
        if texts and small and not any(rank(name, one) for one in {*COLUMNS} - {*VARIANTS.names}):
            found.append(name)
    return found if len(found) > 1 else []
