"""Lays stints out for the session model: rows, cells and sessions as dense blocks.

Every session of a block has the same number of cell places; unused places have no hours and no
fish and add exactly nothing. Sessions of identical content are held once, with a weight.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

CELLS_A_BLOCK = 1500
"""Blocks this large keep the node arrays of one evaluation in the processor's cache."""

SESSIONS_WORTH_FOLDING = 300
"""Below this many sessions, looking for identical ones costs more than it saves."""


@dataclass(frozen=True)
class Block:
    """Sessions with `places` cell places each; cells `first` to `last` of the layout."""

    sessions: slice
    cells: slice
    places: int


@dataclass(frozen=True)
class SessionData:
    """Stints ready for the likelihood.

    `design` (rows, p), `hours` and `fish` (rows,) are per row; `cell_of_row` is None where each
    row is a cell of its own. `cell_fish` and `cell_weight` have one entry a cell place, `weight`
    one a distinct session, and `session_code` the code of the first session of that content.
    `above[j]` is the weighted number of cells with more than j fish.
    `constant` holds Σ y log h − Σ log y! of all stints. `pinned` are columns of the design that
    stay where they are, since the others already span them.
    """

    design: Floats
    hours: Floats
    fish: Floats
    cell_of_row: Integers | None
    cell_fish: Floats
    cell_weight: Floats
    row_weight: Floats
    weight: Floats
    blocks: tuple[Block, ...]
    above: Floats
    constant: float
    weighted_fish_design: Floats
    session_code: Integers
    sessions: int
    cells: int
    pinned: tuple[int, ...] = ()

    @property
    def columns(self) -> int:
        """Number of design columns."""
        return int(self.design.shape[1])

    @property
    def total_fish(self) -> float:
        """Fish of all stints."""
        return float(self.row_weight @ self.fish)


def lay_out(
    session: Integers, cell: Integers, hours: Floats, fish: Floats, design: Floats
) -> SessionData:
    """Lay rows out for the likelihood.

    Parameters are per row (stint): `session` and `cell` are codes (a cell belongs to one
    session), `hours` > 0, `fish` whole numbers >= 0, `design` has one column a coefficient.
    Rows of one cell with equal design are added up; the constant keeps their own log y!.
    """
    constant = float(fish @ np.log(hours) - gammaln(fish + 1.0).sum())
    order = np.lexsort((*design.T[::-1], cell, session))
    session, cell = session[order], cell[order]
    hours, fish, design = hours[order], fish[order], design[order]
    new_cell = np.empty(len(cell), dtype=bool)
    new_cell[0] = True
    new_cell[1:] = (cell[1:] != cell[:-1]) | (session[1:] != session[:-1])
    new_row = new_cell.copy()
    new_row[1:] |= (design[1:] != design[:-1]).any(axis=1)
    start = np.flatnonzero(new_row)
    if len(start) < len(session):
        hours, fish = np.add.reduceat(hours, start), np.add.reduceat(fish, start)
        session, design, new_cell = session[start], design[start], new_cell[start]
    cell_number = np.cumsum(new_cell) - 1
    cell_start = np.flatnonzero(new_cell)
    cell_session = session[cell_start]
    new_session = np.empty(len(cell_session), dtype=bool)
    new_session[0] = True
    new_session[1:] = cell_session[1:] != cell_session[:-1]
    session_number = np.cumsum(new_session) - 1
    session_start = np.flatnonzero(new_session)
    places = np.diff(np.append(session_start, len(cell_session)))
    sessions, cells = len(session_start), len(cell_start)
    place = np.arange(cells) - session_start[session_number]
    one_row_a_cell = cells == len(session)

    # Sessions are sorted by their number of cells, so that blocks waste few places.
    by_size = np.argsort(places, kind="stable")
    weight = np.ones(sessions)
    if one_row_a_cell and sessions >= SESSIONS_WORTH_FOLDING:
        by_size, weight = _fold(
            by_size, places, session_start, np.column_stack((hours, fish, design))
        )
    blocks, first_cell = _blocks(places[by_size])

    session_code = cell_session[session_start][by_size]
    kept = np.full(sessions, -1)
    kept[by_size] = np.arange(len(by_size))
    new_number = kept[session_number]
    in_use = new_number >= 0
    cell_place = np.where(in_use, first_cell[new_number] + place, -1)
    size = blocks[-1].cells.stop

    columns = design.shape[1]
    if one_row_a_cell:
        rows = cell_place[in_use]
        padded_design = np.zeros((size, columns))
        padded_hours, padded_fish = np.zeros(size), np.zeros(size)
        padded_design[rows] = design[in_use]
        padded_hours[rows], padded_fish[rows] = hours[in_use], fish[in_use]
        design, hours, fish = padded_design, padded_hours, padded_fish
        cell_of_row, cell_fish = None, padded_fish
    else:
        cell_of_row = cell_place[cell_number]
        cell_fish = np.bincount(cell_of_row, fish, size)
    cell_weight = np.concatenate([np.repeat(weight[one.sessions], one.places) for one in blocks])
    row_weight = cell_weight if cell_of_row is None else cell_weight[cell_of_row]
    counts = np.bincount(cell_fish.astype(np.int64), cell_weight)
    above = counts[::-1].cumsum()[::-1][1:]
    return SessionData(
        design=design,
        hours=hours,
        fish=fish,
        cell_of_row=cell_of_row,
        cell_fish=cell_fish,
        cell_weight=cell_weight,
        row_weight=row_weight,
        weight=weight,
        blocks=blocks,
        above=above,
        constant=constant,
        weighted_fish_design=design.T @ (row_weight * fish),
        session_code=session_code,
        sessions=sessions,
        cells=cells,
    )


def _fold(
    by_size: Integers, places: Integers, session_start: Integers, content: Floats
) -> tuple[Integers, Floats]:
    """One session of each distinct content, and how many there are of it."""
    keep, weights = [], []
    sizes = places[by_size]
    for size in np.unique(sizes):
        members = by_size[sizes == size]
        rows = session_start[members][:, None] + np.arange(size)
        key = np.ascontiguousarray(content[rows].reshape(len(members), -1))
        # Bytes compare faster than columns of floats; equal content has equal bytes here,
        # since hours, fish and design never hold a negative zero beside a positive one.
        as_bytes = key.view(np.dtype((np.void, key.dtype.itemsize * key.shape[1]))).ravel()
        _, first, count = np.unique(as_bytes, return_index=True, return_counts=True)
        keep.append(members[first])
        weights.append(count.astype(float))
    return np.concatenate(keep), np.concatenate(weights)


def _blocks(places: Integers) -> tuple[tuple[Block, ...], Integers]:
    """Cut sessions, sorted by their number of cells, into blocks; first cell place of each."""
    blocks: list[Block] = []
    first_cell = np.empty(len(places), dtype=np.int64)
    begin = cell = 0
    while begin < len(places):
        end = begin + 1
        if len(places) * int(places[-1]) <= CELLS_A_BLOCK:
            end = len(places)
        else:
            end = min(len(places), begin + max(1, CELLS_A_BLOCK // int(places[begin])))
            end = int(np.searchsorted(places[:end], places[begin], side="right"))
        width = int(places[end - 1])
        first_cell[begin:end] = cell + width * np.arange(end - begin)
        stop = cell + width * (end - begin)
        blocks.append(Block(slice(begin, end), slice(cell, stop), width))
        begin, cell = end, stop
    return tuple(blocks), first_cell
