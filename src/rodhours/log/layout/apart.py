"""What is no stint yet: columns of rods or baits, titles of months, remarks, totals, headings."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import replace

from rodhours.counts import listed, tallied
from rodhours.log.cells.cell import LONGEST_VALUE
from rodhours.log.files.header import is_totals
from rodhours.log.layout.contents import Contents, filled_down, is_a_date
from rodhours.log.layout.guess import rank
from rodhours.log.layout.layout import (
    COLUMNS,
    OF_A_ROD,
    ROD,
    SHEET,
    SIDES,
    Layout,
    plain,
    side_by_side,
)
from rodhours.log.layout.names import plain_name, words_in_name
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


_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sept?|oct|nov|dec)[a-z]{0,6}\.?"
_A_MONTH = re.compile(rf"\W{{0,9}}({_MONTH})(?:[\s,-]+('?\d\d|\d{{4}}))?\W{{0,9}}", re.IGNORECASE)
_DAY_ALONE = re.compile(
    r"(?:[a-z]{3,9}\.? )?(\d{1,2})(?:st|nd|rd|th)?"
    r"(?:\s?(?:-|–|/|to|&|and)\s?\d{1,2}(?:st|nd|rd|th)?)?",
    re.IGNORECASE,
)
_SUMS = re.compile(r"\b(?:totals?|sums?|averages?|means?)\b", re.IGNORECASE)
SHOWN = 4


def titles_are(raw: FileTable) -> str | None:
    """Of what the titles of a table with days alone are: of "months", or None."""
    held = map(Contents, raw.columns)
    if raw.table != "stints" or any(one.dates and not one.numbers for one in held):
        return None
    titles = [*raw.above[-1:], *_titles(raw).values(), *_months(raw)]
    monthly = _day_column(raw) is not None and any(map(_A_MONTH.fullmatch, titles))
    return "months" if monthly else None


def with_months(raw: FileTable, kind: str | None) -> tuple[FileTable, list[str]]:
    """The table without its titles, its days with their months; and what is to be said of it."""
    day, months, titles = _day_column(raw), _months(raw), _titles(raw)
    if kind is None or day is None:
        return raw, []
    over, last = [], "".join(raw.above[-1:])
    for at in range(len(raw.rows)):
        last = titles.get(at, last)
        over.append(last)
    pairs = zip(raw.named_columns[day], months or over, strict=True)
    count = tallied(len(titles) + len(raw.above[-1:]), "title")
    said = f"{raw.place_of_table}: {count} read for the month of the days below."
    kept = [at for at in range(len(raw.rows)) if at not in titles]
    raw = raw.with_columns({day: [_day_of(cell, month) for cell, month in pairs]}).only(kept)
    return raw, [said] if titles or not months else []


def _months(raw: FileTable) -> list[str]:
    """The month of each row, with its year where a column has that, from a column or the sheets."""
    columns = {plain_name(name): filled_down(cells) for name, cells in raw.named_columns.items()}
    of_sheets = raw.named_columns.get(SHEET, [raw.sheet or ""] * len(raw.rows))
    months = columns.get("month", of_sheets)
    if not Contents(months).mostly(lambda text: _A_MONTH.fullmatch(text) is not None):
        return []
    years = columns.get("year", [""] * len(months))
    return [" ".join(both).strip() for both in zip(map(str.strip, months), years, strict=True)]


def _titles(raw: FileTable) -> dict[int, str]:
    """The rows with a month in one cell, and nothing beside it."""
    found = {}
    for at in range(len(raw.rows)):
        filled = [cell.strip() for cell in raw.cells(at) if cell.strip()]
        if len(filled) == 1 and _A_MONTH.fullmatch(filled[0][:LONGEST_VALUE]):
            found[at] = filled[0]
    return found


def _day_column(raw: FileTable) -> str | None:
    """The column that is called as the date's and holds days of a month alone."""

    def is_day(text: str) -> bool:
        found = _DAY_ALONE.fullmatch(text)
        return found is not None and 1 <= int(found[1]) <= 31

    named = [name for name in raw.named_columns if rank(name, "date")]
    return next((one for one in named if Contents(raw.named_columns[one]).mostly(is_day)), None)


def _day_of(cell: str, month: str) -> str:
    """A day under the title of its month, with the year where the title has one."""
    day, title = _DAY_ALONE.fullmatch(cell.strip()), _A_MONTH.fullmatch(month)
    if day is None or title is None or is_a_date(cell.strip()):
        return cell
    return " ".join(part for part in (day[1], title[1].rstrip("."), title[2]) if part)


def without_remarks(
    raw: FileTable, stints: Collection[str], date: str | None
) -> tuple[FileTable, list[str]]:
    """The table without rows that are no stints: titles, remarks, totals, the header again.

    `stints` are the columns that only a stint fills, `date` the one of its day. What is left aside
    is said with the row and its text. A row with its day and no bait stays: it is at fault.
    """
    days = raw.named_columns.get(date or "")
    held = [raw.header.index(name) for name in stints]
    aside: dict[int, str] = {}
    last = len(raw.rows) - 1
    for at in range(len(raw.rows) if held else 0):
        cells = raw.cells(at)
        filled = [cell.strip() for cell in cells if cell.strip()]
        dated = days is not None and is_a_date(days[at].strip())
        of_stint = any(index < len(cells) and cells[index].strip() for index in held)
        if (
            (len(filled) > 1 and filled == [one for one in raw.header if one in filled])
            or (not of_stint and (not dated or len(filled) == 1))
            or (not dated and _is_sums(filled))
            or (
                at == last > 1
                and days is not None
                and not days[at].strip()
                and is_totals(cells, [raw.cells(one) for one in range(at)], wordless=True)
            )
        ):
            aside[at] = " ".join(" ".join(filled).split())
    if not aside:
        return raw, []
    texts = [f"row {raw.rows[at]} ({text[:30]})" for at, text in list(aside.items())[:SHOWN]]
    more = [f"{len(aside) - SHOWN} more"] if len(aside) > SHOWN else []
    said = f"{raw.place_of_table}: {tallied(len(aside), 'row')} without a stint left aside: "
    keep = [at for at in range(len(raw.rows)) if at not in aside]
    return raw.only(keep), [f"{said}{listed([*texts, *more])}."]


def _is_sums(filled: list[str]) -> bool:
    """Whether a row holds numbers alone but for a text that calls them totals."""
    texts = [cell for cell in filled if not re.fullmatch(r"[\d.,: h]+", cell)]
    return len(texts) == 1 < len(filled) and _SUMS.search(texts[0]) is not None
