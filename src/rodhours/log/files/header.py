"""Where the columns are named, below titles or in merged cells, and the totals row at the end."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice, zip_longest

from rodhours.log.cells.hours import in_words
from rodhours.log.tables import TABLES

KNOWN = frozenset(name for table in TABLES.values() for name in table.names)
"""Every column name of the format."""

LOOK_AT = 40
"""Rows that may be the header: nobody writes a longer preface."""
SAMPLE = 100
"""Rows below, from which is seen which columns are in use."""
WIDE = 0.6
"""The share of the columns in use that a header names, be it one with gaps."""

_LETTER = re.compile(r"[^\W\d_]")
_VALUE = re.compile(
    r"[-+]?[\d.,:/ -]+\s*(lbs?|oz|kg|g|h|hrs?|m|mm|cm|%|°c|c|pm|am)?(\s*\d+\s*oz)?"
    r"|\d{4}-\d\d-\d\d.*",
    re.IGNORECASE,
)

_TOTAL = re.compile(r"\W*(grand |sub-?)?(totals?|sums?)\b.*", re.IGNORECASE | re.DOTALL)
_PLAIN = re.compile(r"[-+]?\d+(?:[.,](\d+))?", re.ASCII)


@dataclass(frozen=True)
class Header:
    """Where the header is (position of its last row), its names, and how many rows make it."""

    index: int
    names: tuple[str, ...]
    rows: int = 1


def is_filled(row: Iterable[str]) -> bool:
    """Whether any cell holds more than spaces."""
    return any(cell and not cell.isspace() for cell in row)


def is_known(name: str) -> bool:
    """Whether the format has a column of that name, written in capitals or not."""
    return name.strip().casefold() in KNOWN


def find_header(rows: Sequence[Sequence[str]]) -> Header | None:
    """The header of a table: the first row that names the columns which the rows below fill.

    A first row of known names is taken at once. Otherwise a title is told from the header by its
    width: the header names most of the columns that at least half of the rows below fill. Two
    rows are taken together where one of them has gaps or says the same twice (cells that were
    merged). None where no row is filled, or none names anything.
    """
    filled = list(islice((index for index, row in enumerate(rows) if is_filled(row)), LOOK_AT))
    if not filled:
        return None
    first = _names(rows[filled[0]])
    named = [name for name in first if name]
    known = sum(map(is_known, named))
    if known >= 2 and 2 * known > len(named) == len(set(named)):
        return Header(filled[0], first)
    for number, index in enumerate(filled):
        used, here = _used(rows, index), _columns(rows[index])
        if used and (len(here & used) < WIDE * len(used) or len(here) < min(2, len(used))):
            continue
        found = _named(rows, index, used)
        if _has_gaps(found.names, used):
            for later in filled[number + 1 : number + 4]:
                better = _named(rows, later, _used(rows, later))
                if len(_columns(better.names)) > len(here) and _is_plain(better, rows):
                    return better
        return found if any(map(_is_word, found.names)) else None
    return Header(filled[0], first)


def _named(rows: Sequence[Sequence[str]], index: int, used: set[int]) -> Header:
    """The header at a row, together with the row above or below where it needs one."""
    alone = _names(rows[index])
    if not _has_gaps(alone, used):
        return Header(index, alone)
    if index and len(_columns(rows[index - 1])) >= 2:
        joined = _joined(rows[index - 1], rows[index])
        if not _has_gaps(joined, used):
            return Header(index, joined, 2)
    lower = rows[index + 1] if index + 1 < len(rows) else ()
    words = [cell for cell in lower if cell.strip()]
    if words and all(map(_is_word, words)) and _columns(rows[index]) - _columns(lower):
        joined = _joined(rows[index], lower)
        if not _has_gaps(joined, _used(rows, index + 1)):
            return Header(index + 1, joined, 2)
    return Header(index, alone)


def _joined(upper: Sequence[str], lower: Sequence[str]) -> tuple[str, ...]:
    """Names from two rows: a cell merged over several columns stands before each name below it.

    A cell without a name below it was merged downwards, and reaches no further.
    """
    names: list[str] = []
    group = ""
    for over, under in zip_longest(_names(upper), _names(lower), fillvalue=""):
        if over:
            group = over if under else ""
        names.append(f"{group} {under}".strip() if under else over)
    return _names(names)


def _names(row: Sequence[str]) -> tuple[str, ...]:
    """The cells of a header row, with single spaces; empty ones at the end are none."""
    names = [" ".join(cell.split()) for cell in row]
    while names and not names[-1]:
        names.pop()
    return tuple(names)


def _columns(row: Sequence[str]) -> set[int]:
    return {column for column, cell in enumerate(row) if cell and not cell.isspace()}


def _used(rows: Sequence[Sequence[str]], index: int) -> set[int]:
    """The columns that at least half of the next rows fill."""
    below = map(_columns, rows[index + 1 : index + 1 + 3 * SAMPLE])
    seen = list(islice(filter(None, below), SAMPLE))
    counts = Counter(column for columns in seen for column in columns)
    return {column for column, count in counts.items() if 2 * count >= len(seen)}


def _has_gaps(names: Sequence[str], used: set[int]) -> bool:
    """Whether a column in use has no name, or two have the same."""
    named = [name for name in names if name]
    return len(set(named)) < len(named) or not used <= _columns(names)


def _is_word(cell: str) -> bool:
    return bool(_LETTER.search(cell)) and not _VALUE.fullmatch(cell.strip())


def _is_plain(header: Header, rows: Sequence[Sequence[str]]) -> bool:
    """Whether a row holds words alone, none twice, and names every column in use."""
    used = _used(rows, header.index)
    named = [name for name in header.names if name]
    return bool(used) and all(map(_is_word, named)) and not _has_gaps(header.names, used)


def is_totals(row: Sequence[str], above: Sequence[Sequence[str]], wordless: bool = False) -> bool:
    """Whether a row calls itself total or sum and all its numbers are sums of what is above.

    A number may also be the count of the filled cells above it. A row that only has the word,
    or a number that is no sum or cannot be summed, is a row like any other. `wordless`: so may
    be two sums or more without a word, and without anything else.
    """
    named = any(map(_TOTAL.fullmatch, row))
    sums = [_amount(cell) for cell in row if cell.strip()]
    if not named and not (wordless and len(sums) > 1 and None not in sums):
        return False
    for column, cell in enumerate(row):
        amount = _amount(cell)
        if amount is None:
            if any(map(str.isdigit, cell)) and not _TOTAL.fullmatch(cell):
                return False
            continue
        cells = [other[column] for other in above if column < len(other)]
        amounts = [value for value in map(_amount, cells) if value is not None]
        whole = sum(value for value, _ in amounts)
        is_sum = amounts and abs(whole - amount[0]) <= amount[1] + 1e-9 * abs(whole)
        if not is_sum and not (named and amount[0] == sum(bool(text.strip()) for text in cells)):
            return False
    return any(sums)


def _amount(cell: str) -> tuple[float, float] | None:
    """A number or hours in any form, with half a unit of its last digit; None for other texts."""
    text = cell.strip()
    plain = _PLAIN.fullmatch(text)
    if plain:
        return float(text.replace(",", ".")), 0.5 * 10.0 ** -len(plain[1] or "") * bool(plain[1])
    spelt = in_words(text)
    return None if spelt is None else (float(spelt), 1e-6)
