"""Coefficients that run off: stints without fish that the likelihood empties are left out exactly.

A direction d of the coefficients along which no stint with fish changes (x'd = 0) and some without
fish fall (x'd <= 0) has no maximum: the likelihood rises as long as one goes on, whatever the
spreads, and in the limit those stints expect nothing (separation; Albert & Anderson 1984,
Biometrika 71:1-10). What is left determines every other coefficient.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.linalg import qr

from rodhours.evidence.session_model.data import Floats, SessionData

_NOTHING = 1e-9
"""Singular values below this part of the largest are rounding."""
_CLEARLY = 1e-6
_DIGITS = 9


def settled(data: SessionData, held: int | None = None) -> SessionData:
    """The stints that every maximum expects fish on; the same data where nothing runs off.

    `held` is a coefficient that is kept where it is. A stint that is emptied keeps its place
    without hours; columns that the stints left can spare are pinned, so that no search strays.
    """
    columns = np.array([j for j in range(data.columns) if j != held])
    inside = data.hours > 0
    design = data.design[:, columns]
    free = _kernel(design[inside & (data.fish > 0)])
    if not free.shape[1]:
        return data
    bare = inside & (data.fish == 0)
    emptied = _emptied(design[bare] @ free)
    if not emptied.any():
        return data
    hours = data.hours.copy()
    hours[np.flatnonzero(bare)[emptied]] = 0.0
    loose = _kernel(design[hours > 0])
    _, spare = qr(loose.T, mode="r", pivoting=True)
    pinned = columns[spare[: loose.shape[1]]]
    return replace(data, hours=hours, pinned=tuple(int(one) for one in pinned))


def determined(rows: Floats) -> np.ndarray:
    """Which coefficients rows of a design (rows, p) determine; a mask (p,)."""
    kernel = _kernel(rows)
    return np.asarray(np.abs(kernel).max(axis=1, initial=0.0) < 1e-6)


def _kernel(rows: Floats) -> Floats:
    """An orthonormal basis of the directions in which no row changes; (p, k)."""
    if not len(rows):
        return np.eye(rows.shape[1])
    size = np.abs(rows).max(axis=0)
    # A column of nothing has no size: divided by a tiny one it would drown the other directions.
    size[size == 0] = 1.0
    scaled = rows / size
    # Far from singular by the quick way, whose digits are half as many.
    if np.linalg.eigvalsh(scaled.T @ scaled)[0] > _CLEARLY * len(rows):
        return np.empty((rows.shape[1], 0))
    _, values, vectors = np.linalg.svd(np.unique(scaled, axis=0))
    rank = int((values > _NOTHING * values[0]).sum())
    # Back from columns of one size; only the directions' span matters.
    kernel, _ = np.linalg.qr(vectors[rank:].T / size[:, None])
    return np.asarray(kernel)


def _emptied(slopes: Floats) -> np.ndarray:
    """Which rows some direction takes down while it takes none up; a mask.

    By linear programmes, max Σ u over slopes · c + u <= 0, 0 <= u, |c| <= 1, each on the rows that
    those before did not take down. Rows have length 1, so that a fall is told from rounding.
    """
    from scipy.optimize import linprog

    size = np.linalg.norm(slopes, axis=1)
    still = size < _NOTHING
    rows = slopes / np.where(still, 1.0, size)[:, None]
    rows[still] = 0.0
    rows, place = np.unique(np.round(rows, _DIGITS), axis=0, return_inverse=True)
    many, columns = rows.shape
    fallen = np.zeros(many, dtype=bool)
    while True:
        best = linprog(
            np.concatenate((np.zeros(columns), -1.0 * ~fallen)),
            A_ub=np.column_stack((rows, np.eye(many))),
            b_ub=np.zeros(many),
            bounds=[(-1.0, 1.0)] * columns + [(0.0, None)] * many,
        )
        new = ~fallen & (best.x[columns:] > _CLEARLY)
        if not new.any():
            return np.asarray(fallen[place.ravel()])
        fallen |= new
