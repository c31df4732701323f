"""How a session in a file differs from the one the logbook holds, row by row.

Rows have no numbers of their own: rows that both hold are taken out first, the rest are paired
by rod and variant, and what stays alone is new or gone.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from rodhours.log.tables import UNREAD
from rodhours.log.unfished import UNFISHED

Row = tuple[Any, ...]
"""Cells, the unknown columns as one JSON text in the last one."""


class Difference(NamedTuple):
    """One difference. `position` is the row in the file, None where the row is gone from it."""

    position: int | None
    column: str | None
    found: str | None
    says: str


def only_adds(held: Sequence[Row], in_file: Sequence[Row]) -> bool:
    """Whether the file has every held row, its filled cells alike, whatever else it says."""
    left = list(in_file)
    for row in held:
        same = next((one for one in left if _has(one, row)), None)
        if same is None:
            return False
        left.remove(same)
    return True


def _has(row: Row, held: Row) -> bool:
    """What could not be read, or was said of rods not fished, may be said otherwise now."""
    extra, before = (json.loads(one[-1] or "{}").items() for one in (row, held))
    known = {cell for cell in before if not cell[0].startswith((UNREAD, UNFISHED))}
    filled = (old in (None, new) for new, old in zip(row[:-1], held[:-1], strict=True))
    return known <= {*extra} and all(filled)


def row_differences(
    names: Sequence[str],
    in_file: Sequence[tuple[int, Row]],
    held: Sequence[Row],
    alike: Sequence[str],
) -> Iterator[Difference]:
    """Compare rows of one session as multisets.

    `names` are the columns of the rows, `in_file` pairs of position and row, `alike` the columns
    by which rows that differ are paired, the most telling first; none where there is one row.
    """
    gone = list(held)
    new: list[tuple[int, Row]] = []
    for position, row in in_file:
        if row in gone:
            gone.remove(row)
        else:
            new.append((position, row))
    for use in range(len(alike), min(len(alike), 1) - 1, -1):
        at = [names.index(name) for name in alike[:use]]
        for position, row in list(new):
            twin = next((old for old in gone if all(old[i] == row[i] for i in at)), None)
            if twin is not None:
                gone.remove(twin)
                new.remove((position, row))
                yield from record_differences(names, position, row, twin)
    for position, _ in new:
        yield Difference(position, None, None, "the logbook's version has no such row")
    for row in gone:
        cells = _unpacked(names, row, (None,) * len(names))
        had = ", ".join(f"{name} {_value(value)}" for name, value, _ in cells if value is not None)
        yield Difference(None, None, None, f"the logbook's version also has: {had}")


def record_differences(
    names: Sequence[str], position: int, row: Row, held: Row
) -> Iterator[Difference]:
    """What changed between two versions of one record, column by column."""
    for name, new, old in _unpacked(names, row, held):
        if new != old:
            says = f"the logbook has {_value(old) or 'nothing'}"
            yield Difference(position, name, _value(new), says)


def _unpacked(names: Sequence[str], row: Row, held: Row) -> Iterator[tuple[str, Any, Any]]:
    """Each column with both its cells; those that the format does not know by their own names."""
    yield from zip(names[:-1], row[:-1], held[:-1], strict=True)
    news, olds = json.loads(row[-1] or "{}"), json.loads(held[-1] or "{}")
    for own in dict.fromkeys([*news, *olds]):
        yield own, news.get(own), olds.get(own)


def _value(value: Any) -> str | None:
    if value is None:
        return None
    return f"{value:g}" if isinstance(value, float) else str(value)
