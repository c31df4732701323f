"""What each session contributes to the gradient: how hard it pulls at the estimate.

At the maximum the contributions add up to 0. Minus the inverse Hessian times a session's own is,
to first order, how far the estimate would move if that session were left out (Cook & Weisberg
1982, Residuals and Influence in Regression, chapter 5).
"""

from __future__ import annotations

import numpy as np

from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.evaluation import expected_fish
from rodhours.evidence.session_model.fit import Point, free_parameters
from rodhours.evidence.session_model.full import block_sums
from rodhours.evidence.session_model.quadrature import nodes_for

_ALMOST_NOTHING = 1e-6
"""Stands for s = 0 and t = 0: the closed forms inside hold this near to the boundary."""


def session_scores(data: SessionData, point: Point) -> Floats:
    """Gradient of each distinct session over (b, s, t); (sessions, p+2)."""
    p = data.columns
    s, t = max(point.s, _ALMOST_NOTHING), max(point.t, _ALMOST_NOTHING)
    a = t * t
    parts = expected_fish(data, point.b)
    clump = 1.0 + a * data.cell_fish
    j = np.arange(len(data.above) + 1, dtype=np.float64)
    # Σ_{k<Y} k / (1 + a k), for every count Y.
    rising = np.concatenate(([0.0], np.cumsum(j / (1.0 + a * j))))
    if data.cell_of_row is None:
        fish_design = data.fish[:, None] * data.design
    else:
        size = len(data.cell_fish)
        fish_design = np.zeros((size, p))
        for k in range(p):
            fish_design[:, k] = np.bincount(data.cell_of_row, data.fish * data.design[:, k], size)
    scores = np.empty((len(data.weight), p + 2))
    for block in data.blocks:
        one = block_sums(parts, block, clump, s, a, None, nodes_for(s))
        c = block.places
        expected = (clump[block.cells] * one.mean_v)[:, None] * one.relative.reshape(-1, p)
        by_cell = fish_design[block.cells] - expected
        scores[block.sessions, :p] = by_cell.reshape(-1, c, p).sum(axis=1)
        scores[block.sessions, p] = one.score_s
        constant = rising[data.cell_fish[block.cells].astype(np.int64)].reshape(-1, c)
        scores[block.sessions, p + 1] = 2.0 * t * (one.in_a + constant.sum(axis=1))
    return scores


def shift_without(data: SessionData, point: Point, column: int) -> Floats:
    """First-order shift of one coefficient on leaving out each distinct session; (sessions,)."""
    free = free_parameters(data, point.branch, None)
    scores = session_scores(data, point)[:, free]
    hessian = point.evaluation.hessian[np.ix_(free, free)]
    wanted = (free == column).astype(np.float64)
    # The pseudo-inverse leaves out directions without curvature.
    return np.asarray(scores @ (np.linalg.pinv(hessian, rcond=1e-10, hermitian=True) @ wanted))
