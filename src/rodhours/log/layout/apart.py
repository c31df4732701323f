"""What stands side by side in a row to rows of its own: columns of rods or baits."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from rodhours.log.layout.guess import rank
from rodhours.log.layout.layout import (
    COLUMNS,
    OF_A_ROD,
    ROD,
    SIDES,
    Layout,
    plain,
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
_ROD_NAME = re.compile(rf"(?<![\d.])\d(?![\d.%])|\b(?:(?i:{'|'.join(SIDES)})|[LRMNFAB])\b(?!\.)")
"""A rod in a column name: a digit by itself, or where the rod stands."""


def find_groups(raw: FileTable) -> dict[str, str]:
    """Names with {rod} to our columns, where a header has a column for each rod.

    Columns called by their rod alone (`Rod 1`, `Left rod`) hold the baits, where they hold labels.
    """
    if raw.table != "stints":
        return {}
    columns: dict[str, dict[str, str]] = defaultdict(dict)
    for name in raw.names:
        found = list(_ROD_NAME.finditer(name))
        if len(found) == 1 and ROD not in name:
            template = f"{name[: found[0].start()]}{ROD}{name[found[0].end() :]}"
            columns[" ".join(template.split())][plain(found[0][0])] = name
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
    # Fish of a rod that no bait is told of are nobody's: nothing is said of them then.
    baits = next((columns[one].keys() for one, ours in patterns.items() if ours == "variant"), ())
    return {one: ours for one, ours in patterns.items() if {*columns[one]} <= {*baits}}


def groups_apart(raw: FileTable, layout: Layout) -> FileTable:
    """A row for each rod, or bait, that was fished, under the layout's own names with {rod}.

    A rod without a bait was not fished; one without a bait but with fish or hours is at fault, and
    so is a row without any rod.
    """
    patterns, cells = layout.groups, raw.named_columns
    of = {ours: pattern for pattern, ours in patterns.items()}
    groups = side_by_side(patterns, raw.names, layout.baits)
    of_rods, needs = "variant" in of, of.get("variant") or of.get("fish", "")
    groups = {name: group for name, group in groups.items() if needs in group}
    if not groups:
        return raw
    empty = {"variant": {*NOTHING}, "hours": {*NOTHING, *NOUGHTS}}
    empty["variant"] |= {t for t, v in layout.values.get("variant", {}).items() if not v}
    blank = layout.rows.get("empty_bait") == "a blank"
    rows: list[tuple[int, str]] = []
    faults: list[Fault] = []
    for at in range(len(raw.rows)):
        before = len(rows)
        for name, group in groups.items():
            texts = {patterns[one]: cells[column][at].strip() for one, column in group.items()}
            told = [texts.get(ours, "") for ours in FISHED_IF_ANY]
            counted = any(text not in (*NOTHING, *NOUGHTS) for text in told)
            named = texts["variant"] not in empty["variant"] if of_rods else False
            if not of_rods and not {"hours", "cast_in"} & of.keys():
                named = blank or texts["fish"] not in NOTHING
            if counted and not named and of_rods:
                faults.append((len(rows), "variant", FISHED_WITHOUT_BAIT, None))
            if named or counted:
                rows.append((at, name))
        if len(rows) == before:
            says = NO_ROD_FISHED if of_rods else NO_BAIT_FISHED
            faults.append((before, patterns[needs], says, None))
            rows.append((at, next(iter(groups))))
    columns: dict[str, Sequence[str]] = {}
    for pattern, ours in patterns.items():
        texts_of = [cells[groups[n][pattern]][at] if pattern in groups[n] else "" for at, n in rows]
        if ours == "fish" and not of_rods and "hours" not in of:
            texts_of = ["0" if one.strip() in NOTHING else one for one in texts_of]
        columns[pattern] = ["" if one.strip() in empty.get(ours, ()) else one for one in texts_of]
    columns["rod" if of_rods else "variant"] = [name for _, name in rows]
    grouped = {column for group in groups.values() for column in group.values()}
    apart = raw.only([at for at, _ in rows]).with_columns(columns, grouped)
    return replace(apart, faults=(*apart.faults, *faults))


def bait_columns(raw: FileTable, free: Sequence[str]) -> list[str]:
    """Columns that may each be called by a bait and hold its fish: small counts or nothing."""
    found = []
    for name in free:
        texts = {cell.strip() for cell in raw.named_columns[name]} - {*NOTHING}
        small = all(text.isdecimal() and len(text) < 3 and int(text) <= 50 for text in texts)
        if texts and small and not any(rank(name, one) for one in {*COLUMNS} - {*VARIANTS.names}):
            found.append(name)
    return found if len(found) > 1 else []
