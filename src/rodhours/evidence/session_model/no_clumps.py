"""The boundary t = 0: the normal random-intercept Poisson; only session sums matter."""

from __future__ import annotations

import numpy as np

from rodhours.evidence.session_model.evaluation import Evaluation, Parts
from rodhours.evidence.session_model.quadrature import (
    Centre,
    modes_of_rates,
    nodes_at,
    normalise,
    weighted,
)


def evaluate_no_clumps(parts: Parts, s: float, centre: Centre | None, nodes: int) -> Evaluation:
    """Value and derivatives at t = 0; the second derivative in t is the true one."""
    data = parts.data
    p = data.columns
    value = parts.start
    gradient, hessian = np.zeros(p + 2), np.zeros((p + 2, p + 2))
    gradient[:p] = data.weighted_fish_design
    cell_share = np.empty(len(data.cell_fish))
    # Second derivative in t at t = 0: 2 dl/da, with dl/da = Σ_cells Y(Y−1)/2 − Y u + u²/2.
    in_a = float(data.above @ np.arange(len(data.above)))
    half = 0.5 * s * s
    for block in data.blocks:
        shape = (-1, block.places)
        weight = data.weight[block.sessions]
        cell_rate = parts.rate[block.cells].reshape(shape)
        cell_fish = data.cell_fish[block.cells].reshape(shape)
        rate = cell_rate.sum(axis=1)
        fish = cell_fish.sum(axis=1)
        slope = parts.slope[block.cells].reshape(*shape, p).sum(axis=1)
        z = np.zeros(len(rate)) if centre is None else centre.z[block.sessions]
        z = modes_of_rates(rate, fish, s, z)
        if centre is not None:
            centre.z[block.sessions] = z
        curvature = 1.0 + s * s * rate * np.exp(s * z - half)
        moved, log_e, log_weight = nodes_at(z, curvature, s, nodes)
        e = np.exp(log_e)
        u = rate[:, None] * e
        log_e *= fish[:, None]
        log_weight += log_e
        log_weight -= u
        value_g, w = normalise(log_weight)
        value += float(weight @ value_g)

        residual = fish[:, None] - u
        score_s = moved * residual
        we = w * e
        mean_e, mean_ee = we.sum(axis=1), weighted(we, e)
        mean_s = weighted(w, score_s)
        # Second derivative in s of the integrand: −(z − s)² u − (fish − u).
        second_s = weighted(w, score_s**2 - moved * moved * u) - fish + rate * mean_e
        mixed = weighted(we, moved + score_s) - mean_e * mean_s
        gradient[:p] -= slope.T @ (weight * mean_e)
        gradient[p] += weight @ mean_s
        hessian[:p, :p] += slope.T @ ((weight * (mean_ee - mean_e**2))[:, None] * slope)
        hessian[:p, p] -= slope.T @ (weight * mixed)
        hessian[p, p] += weight @ (second_s - mean_s**2)
        cell_share[block.cells] = np.repeat(mean_e, block.places)
        squares = (cell_rate * cell_rate).sum(axis=1)
        crosses = (cell_fish * cell_rate).sum(axis=1)
        in_a += float(weight @ (0.5 * mean_ee * squares - mean_e * crosses))
    hessian[:p, :p] -= parts.row_curvature(cell_share)
    hessian[p, :p] = hessian[:p, p]
    hessian[p + 1, p + 1] = 2.0 * in_a
    return Evaluation(value, gradient, hessian)
