"""Whether the last row of a table is its totals row."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rodhours.logbook.cells.hours import hours_readings

_WORD = re.compile(r"\W*(grand |sub-?)?(totals?|sums?)\b.*", re.IGNORECASE | re.DOTALL)
_NUMBER = re.compile(r"[-+]?\d+(?:[.,](\d+))?", re.ASCII)
_CLOCK = re.compile(r"(\d+):([0-5]\d)(?::([0-5]\d))?", re.ASCII)


def is_totals(row: Sequence[str], above: Sequence[Sequence[str]]) -> bool:
    """Whether a row calls itself total or sum and all its numbers are sums of what is above.

    A number may also be the count of the filled cells above it. A row that only has the word,
    or a number that is no sum or cannot be summed, is a row like any other.
    """
    if not any(map(_WORD.fullmatch, row)):
        return False
    found = False
    for column, cell in enumerate(row):
        amount = _amount(cell)
        if amount is None:
            if any(map(str.isdigit, cell)) and not _WORD.fullmatch(cell):
                return False
            continue
        cells = [other[column] for other in above if column < len(other)]
        amounts = [value for value in map(_amount, cells) if value is not None]
        count = sum(1 for text in cells if text.strip())
        whole = sum(value for value, _ in amounts)
        slack = amount[1] + 1e-9 * abs(whole)
        if not (amounts and abs(whole - amount[0]) <= slack) and amount[0] != count:
            return False
        found = True
    return found


def _amount(cell: str) -> tuple[float, float] | None:
    """A number or hours in any form, with half a unit of its last digit; None for other texts."""
    text = cell.strip()
    plain = _NUMBER.fullmatch(text)
    if plain:
        return float(text.replace(",", ".")), 0.5 * 10.0 ** -len(plain[1] or "") * bool(plain[1])
    clock = _CLOCK.fullmatch(text)
    if clock:
        return int(clock[1]) + int(clock[2]) / 60 + int(clock[3] or 0) / 3600, 1e-6
    spelt = dict(hours_readings(text)).get("spelt")
    return None if spelt is None else (spelt, 1e-6)
