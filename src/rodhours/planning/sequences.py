"""Latin squares of Williams: every variant on every rod, every order equally often.

Scope: variants as numbers from 0; which label is which variant is not known here.
"""

from __future__ import annotations

Square = tuple[tuple[int, ...], ...]
"""Rows are trips (or parts of one), columns rods; every row and column holds each variant once."""


def zigzag(size: int) -> tuple[int, ...]:
    """0, 1, n-1, 2, n-2, …: steps between neighbours that are all different (modulo n, n even).

    The first sequence of Williams (1949), Australian Journal of Scientific Research A 2, 149-168.
    """
    return tuple((i + 1) // 2 if i % 2 else (size - i // 2) % size for i in range(size))


def williams_squares(size: int) -> tuple[Square, ...]:
    """One square for an even number of variants, two for an odd one.

    Down the columns of all of them together, each variant follows each other one equally often:
    once where the number is even, twice where it is odd. The second square of an odd number is
    the first with its columns read upwards.
    """
    base = zigzag(size)
    square = tuple(tuple((step + rod) % size for rod in range(size)) for step in base)
    return (square,) if size % 2 == 0 else (square, square[::-1])


def williams_trips(size: int, trips: int) -> list[tuple[int, ...]]:
    """Squares one after the other, cut at so many trips.

    Each further square starts from the shift of its labels that leaves the orders most even where
    the squares meet, so that no variant stays on its rod there.
    """
    squares = williams_squares(size)
    followed = [[0] * size for _ in range(size)]
    rows: list[tuple[int, ...]] = []
    turn = 0
    while len(rows) < trips:
        square = squares[turn % len(squares)]
        shifts = range(size) if rows else range(1)
        best = min(shifts, key=lambda shift: _meeting_cost(rows, square, shift, followed))
        for row in square:
            shifted = tuple((variant + best) % size for variant in row)
            if rows:
                for before, after in zip(rows[-1], shifted, strict=True):
                    followed[before][after] += 1
            rows.append(shifted)
        turn += 1
    return rows[:trips]


def williams_parts(size: int, trips: int, parts: int) -> list[tuple[tuple[int, ...], ...]]:
    """For trips with swaps: each trip some neighbouring rows of a square, its labels moved on.

    The squares take turns from trip to trip, and so do the rows that a trip begins with.
    """
    squares = williams_squares(size)
    windows = max(size - parts + 1, 1)
    plan = []
    for trip in range(trips):
        square = squares[trip % len(squares)]
        start = trip // len(squares) % windows
        rows = [square[(start + part) % size] for part in range(parts)]
        plan.append(tuple(tuple((one + trip) % size for one in row) for row in rows))
    return plan


def _meeting_cost(
    rows: list[tuple[int, ...]],
    square: Square,
    shift: int,
    followed: list[list[int]],
) -> tuple[int, int]:
    """How badly a square shifted so would go on from the last row: stays, then unevenness."""
    if not rows:
        return (0, 0)
    size = len(followed)
    pairs = [
        (before, (after + shift) % size) for before, after in zip(rows[-1], square[0], strict=True)
    ]
    stays = sum(before == after for before, after in pairs)
    return stays, sum(followed[before][after] for before, after in pairs)
