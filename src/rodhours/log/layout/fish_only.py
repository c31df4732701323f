"""Logs with one row for each fish and none for blanks: recognised, so that they can be refused.

The rod-hours that caught nothing are not in there, and without them there is no catch rate.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rodhours.log.cells.numbers import COUNT_WORDS

FEWEST_ROWS = 4
"""With fewer rows nothing is said: any few stints may have had one fish each."""
MOST = 0.8
OFTEN_MISSING = 0.75
"""Where fewer rows than this share have hours, they stand with the first fish of a trip alone."""
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
    rows = max((len(cells) for cells in columns.values()), default=0)
    if rows < FEWEST_ROWS:
        return False
    fish = columns.get("fish")
    if fish is not None and any(_text(cell) not in ("1", "1.0", "") for cell in fish):
        return False
    told = [columns[name] for name in OF_A_FISH if name in columns] + list(fish_like())
    if any(COUNT_WORDS.get(_text(cell).lower()) == 0 for cells in told for cell in cells):
        return False
    marked = any(_filled(cells) >= MOST * rows for cells in told)
    ones = fish is not None and _filled(fish) == rows
    if not marked and not ones:
        return False
    timed = [columns[name] for name in ("hours", "cast_in") if name in columns]
    if not any(_filled(cells) for cells in timed):
        # Stints without any hours are another matter, unless the rows are plainly fish.
        return marked
    if not marked and rows < 3 * FEWEST_ROWS:
        return False
    if all(_filled(cells) <= OFTEN_MISSING * rows for cells in timed):
        return marked
    return _repeated(columns, rows, timed[0])


def _repeated(columns: Mapping[str, Sequence[object]], rows: int, hours: Sequence[object]) -> bool:
    """Whether fish of one stint repeat its hours: never twice the same stint with other hours."""
    keys = [columns[name] for name in ("angler", "session", "rod", "variant") if name in columns]
    if not keys or ("rod" not in columns and rows < 2 * FEWEST_ROWS):
        return False
    held: dict[tuple[object, ...], set[str]] = {}
    for key, cell in zip(zip(*keys, strict=True), hours, strict=True):
        held.setdefault(key, set()).add(_text(cell))
    return len(held) < rows and all(len(texts) == 1 for texts in held.values())


def _filled(cells: Sequence[object]) -> int:
    return sum(1 for cell in cells if _text(cell))


def _text(cell: object) -> str:
    return "" if cell is None else str(cell).strip()
