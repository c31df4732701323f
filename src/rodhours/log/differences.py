"""How a session in a file differs from the one the logbook holds, row by row.

Rows have no numbers of their own: rows that both hold are taken out first, the rest are paired
by rod and variant, and what stays alone is new or gone.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from rodhours.log.tables import UNREAD
from rodhours.log.unfished import UNFISHED

Row = tuple[Any, ...]

EXTRA = "extra"
"""The name under which rows carry their unknown columns, as one JSON text."""


@dataclass(frozen=True)
class Difference:
    """One difference. `position` is the row in the file, None where the row is gone from it."""

    position: int | None
    column: str | None
    found: str | None
    says: str


def row_differences(
    names: Sequence[str],
    in_file: Sequence[tuple[int, Row]],
    held: Sequence[Row],
    alike: Sequence[str],
) -> list[Difference]:
    """Compare rows of one session as multisets.

    `names` are the columns of the rows, `in_file` pairs of position and row, `alike` the columns
    by which rows that differ are paired, the most telling first.
    """
    gone = list(held)
    new: list[tuple[int, Row]] = []
    for position, row in in_file:
        if row in gone:
            gone.remove(row)
        else:
            new.append((position, row))
    found: list[Difference] = []
    for use in range(len(alike), 0, -1):
        at = [names.index(name) for name in alike[:use]]
        for position, row in list(new):
            twin = next((old for old in gone if all(old[i] == row[i] for i in at)), None)
            if twin is not None:
                gone.remove(twin)
                new.remove((position, row))
                found.extend(_changed(names, position, row, twin))
    found.extend(
        Difference(position, None, None, "the logbook's version has no such row")
        for position, _ in new
    )
    found.extend(
        Difference(None, None, None, f"the logbook's version also has: {_row(names, row)}")
        for row in gone
    )
    return found


def is_part(held: Sequence[Row], in_file: Sequence[Row]) -> bool:
    """Whether all rows held are in the file too, whatever is said there of rods not fished."""
    return Counter(map(_fished, held)) <= Counter(map(_fished, in_file))


def is_mended(names: Sequence[str], held: Sequence[Row], in_file: Sequence[Row]) -> bool:
    """Whether rows differ in such cells alone as could not be read of those that are held."""
    unread = [row for row in held if UNREAD in (row[-1] or "")]
    rest = Counter(in_file)
    rest.subtract(Counter(held) - Counter(unread))
    if not unread or min(rest.values()) < 0:
        return False
    columns = {key.removeprefix(UNREAD) for row in unread for key in json.loads(row[-1])}

    def told(row: Row) -> Row:
        extra = json.loads(row[-1] or "{}").items()
        kept = sorted(cell for cell in extra if not cell[0].startswith(UNREAD))
        own = zip(names[:-1], row[:-1], strict=True)
        return *(None if name in columns else cell for name, cell in own), *kept

    return Counter(map(told, unread)) == Counter(map(told, rest.elements()))


def _fished(row: Row) -> Row:
    cells = json.loads(row[-1] or "{}")
    cells.pop(UNFISHED, None)
    return *row[:-1], *sorted(cells.items())


def record_differences(
    names: Sequence[str], position: int, ours: Row, theirs: Row
) -> list[Difference]:
    """What changed between two versions of one record, column by column.

    `names` are its columns, the unknown ones under `extra`.
    """
    return _changed(names, position, ours, theirs)


def _changed(names: Sequence[str], position: int, row: Row, held: Row) -> list[Difference]:
    return [
        Difference(position, name, _value(new), f"the logbook has {_value(old) or 'nothing'}")
        for whole_name, whole_new, whole_old in zip(names, row, held, strict=True)
        if whole_new != whole_old
        for name, new, old in _unpacked(whole_name, whole_new, whole_old)
        if new != old
    ]


def _unpacked(name: str, new: Any, old: Any) -> list[tuple[str, Any, Any]]:
    """The columns that the format does not know are kept together; name each by itself."""
    if name != EXTRA:
        return [(name, new, old)]
    news, olds = json.loads(new or "{}"), json.loads(old or "{}")
    return [(own, news.get(own), olds.get(own)) for own in dict.fromkeys([*news, *olds])]


def _value(value: Any) -> str | None:
    if value is None:
        return None
    return f"{value:g}" if isinstance(value, float) else str(value)


def _row(names: Sequence[str], row: Row) -> str:
    return ", ".join(
        f"{name} {_value(value)}"
        for whole_name, whole in zip(names, row, strict=True)
        for name, value, _ in _unpacked(whole_name, whole, None)
        if value is not None
    )
