"""Rows that are no stints: titles that say the trip or the month, remarks, totals, headings."""

from __future__ import annotations

import re
from collections.abc import Collection

from rodhours.counts import listed, tallied
from rodhours.log.files.header import is_totals
from rodhours.log.layout.contents import Contents, filled_down, is_a_date
from rodhours.log.layout.guess import rank
from rodhours.log.layout.layout import SHEET
from rodhours.log.layout.names import plain_name
from rodhours.log.table import FileTable

TITLE, TITLE_DATE, TITLE_WATER = "Title", "Title date", "Title water"
OF_TITLES = {TITLE: "session", TITLE_DATE: "date", TITLE_WATER: "venue"}
"""Columns that titles become, and what they are for us."""
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sept?|oct|nov|dec)[a-z]{0,6}\.?"
_DAY = r"\d{1,2}(?:st|nd|rd|th)?"
_TO = rf"(?:\s?(?:-|–|/|to|&|and)\s?{_DAY})?"
_A_DATE = re.compile(
    rf"(?<![\d/.])(?:(?P<day>{_DAY}){_TO}(?P<rest>(?:\s+of)?\s+{_MONTH}(?:,?\s+\d{{4}}|\s+'?\d\d)?)"
    rf"|(?P<first>\d{{1,2}})(?:[-–&]\d{{1,2}})?(?P<numbers>(?P<sign>[/.])\d{{1,2}}(?:(?P=sign)\d{{2,4}})?)"
    rf"|(?P<whole>{_MONTH}\s+{_DAY},?\s+\d{{4}}|\d{{4}}-\d\d-\d\d))(?!\d)",
    re.IGNORECASE,
)
_A_MONTH = re.compile(rf"\W{{0,9}}({_MONTH})(?:[\s,-]+('?\d\d|\d{{4}}))?\W{{0,9}}", re.IGNORECASE)
_DAY_ALONE = re.compile(rf"(?:[a-z]{{3,9}}\.? )?(\d{{1,2}})(?:st|nd|rd|th)?{_TO}", re.IGNORECASE)
_NUMBERED = re.compile(
    r"\b(?:session|trip|outing|visit|week|no\.?|number)\s*\d*\b|#\d+"
    r"|\b(?:mon|tues?|wed(?:nes)?|thu(?:rs)?|fri|sat(?:ur)?|sun)(?:day)?\b",
    re.IGNORECASE,
)
_LOOSE_MARKS = re.compile(r"[-–—:,;.|()]+(?=\s)|(?<=\s)[-–—:,;.|()]+")
_SUMS = re.compile(r"\b(?:totals?|sums?|averages?|means?)\b", re.IGNORECASE)
_LONGEST = 120
SHOWN = 4


def titles_are(raw: FileTable) -> str | None:
    """What the titles of a table without dates are: of "trips", of "months", or None."""
    held = map(Contents, raw.columns)
    if raw.table != "stints" or any(one.dates and not one.numbers for one in held):
        return None
    titles = [*raw.above[-1:], *_titles(raw).values(), *_months(raw)]
    if _day_column(raw) is not None and any(map(_A_MONTH.fullmatch, titles)):
        return "months"
    return "trips" if any(map(_A_DATE.search, titles)) else None


def with_titles(raw: FileTable, kind: str | None) -> tuple[FileTable, list[str]]:
    """The table without its titles, what they say in columns; and what is to be said of it."""
    day, months = _day_column(raw), _months(raw)
    if kind is None or (kind == "months" and day is None):
        return raw, []
    titles = _titles(raw)
    over, last = [], "".join(raw.above[-1:])
    for at in range(len(raw.rows)):
        last = titles.get(at, last)
        a_heading = [cell.strip() for cell in raw.cells(at)] == [*raw.header]
        over.append("" if a_heading else last)
    over = months or over
    if day is not None and kind == "months":
        pairs = zip(raw.named_columns[day], over, strict=True)
        columns = {day: [_day_of(cell, month) for cell, month in pairs]}
    else:
        parts = {title: _parts(title) for title in set(over)}
        days, waters = ([parts[title][one] for title in over] for one in (0, 1))
        columns = {TITLE: over, TITLE_DATE: days}
        if any(waters) and not any(rank(name, "venue") for name in raw.header):
            columns[TITLE_WATER] = waters
    what = "the month of the days" if kind == "months" else "the trip"
    count = tallied(len(titles) + len(raw.above[-1:]), "title")
    said = f"{raw.place_of_table}: {count} read for {what} below."
    kept = [at for at in range(len(raw.rows)) if at not in titles]
    return raw.with_columns(columns).only(kept), [said] if titles or not months else []


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
    """The rows with a date or a month in one cell, and nothing beside it."""
    found = {}
    for at in range(len(raw.rows)):
        filled = [cell.strip() for cell in raw.cells(at) if cell.strip()]
        title = filled[0] if len(filled) == 1 and len(filled[0]) <= _LONGEST else ""
        if _A_DATE.search(title) or _A_MONTH.fullmatch(title):
            found[at] = title
    return found


def _day_column(raw: FileTable) -> str | None:
    """The column that is called as the date's and holds days of a month alone."""
    for name, cells in raw.named_columns.items():
        if rank(name, "date") and Contents(cells).mostly(
            lambda text: (day := _DAY_ALONE.fullmatch(text)) is not None and 0 < int(day[1]) < 32
        ):
            return name
    return None


def _day_of(cell: str, month: str) -> str:
    """A day under the title of its month, with the year where the title has one."""
    day, title = _DAY_ALONE.fullmatch(cell.strip()), _A_MONTH.fullmatch(month)
    if day is None or title is None or is_a_date(cell.strip()):
        return cell
    return " ".join(part for part in (day[1], title[1].rstrip("."), title[2]) if part)


def _parts(title: str) -> tuple[str, str]:
    """The day that a title names, the first of several, and what is left as the water."""
    title = _NUMBERED.sub(" ", title)
    found = _A_DATE.search(title)
    if found is None:
        return "", ""
    day, first = found["day"], found["first"]
    text = found["whole"] or (f"{day}{found['rest']}" if day else f"{first}{found['numbers']}")
    rest = f" {title[: found.start()]} {title[found.end() :]} "
    return text, " ".join(_LOOSE_MARKS.sub(" ", rest).split())


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
