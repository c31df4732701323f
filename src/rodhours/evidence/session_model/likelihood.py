"""Log-likelihood of the session model, with closed-form gradient and Hessian.

Parameters are the coefficients b, then s and t = sqrt(a), both without bounds (the likelihood is
even in each). The session effect is integrated by adaptive quadrature; gradient and
Hessian use the posterior weights of the nodes (Louis 1982, JRSS B 44:226-233).
"""

from __future__ import annotations

import numpy as np

from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.evaluation import (
    Evaluation,
    Parts,
    clump_constant,
    expected_fish,
    in_clumping,
)
from rodhours.evidence.session_model.full import evaluate_full
from rodhours.evidence.session_model.quadrature import (
    NODES,
    Centre,
    of_rates,
    weighted,
)


def evaluate(
    data: SessionData,
    b: Floats,
    s: float,
    t: float,
    centre: Centre | None = None,
    nodes: int = NODES,
) -> Evaluation:
    """Evaluate the log-likelihood (with its log y! terms) and its two derivatives.

    `b` is (p,); the gradient is (p+2,) and the Hessian (p+2, p+2) in the order b, s, t. Where s
    or t is 0 the closed form of that boundary is used, and the derivatives in the parameter that
    is 0 are those of the boundary: gradient 0 and the true second derivative.
    """
    parts = expected_fish(data, b)
    # A step too far gives no number, which the search sees for itself.
    with np.errstate(over="ignore", invalid="ignore"):
        if s == 0.0:
            return _no_sessions(parts, t)
        if t == 0.0:
            return _no_clumps(parts, s, centre, nodes)
        return evaluate_full(parts, s, t, centre, nodes)


def _no_clumps(parts: Parts, s: float, centre: Centre | None, nodes: int) -> Evaluation:
    """At t = 0, the normal random-intercept Poisson: only session sums matter."""
    data = parts.data
    p = data.columns
    value = parts.start
    gradient, hessian = np.zeros(p + 2), np.zeros((p + 2, p + 2))
    gradient[:p] = data.weighted_fish_design
    cell_share = np.empty(len(data.cell_fish))
    # Second derivative in t at t = 0: 2 dl/da, with dl/da = Σ_cells Y(Y−1)/2 − Y u + u²/2.
    in_a = float(data.above @ np.arange(len(data.above)))
    for block in data.blocks:
        shape = (-1, block.places)
        weight = data.weight[block.sessions]
        cell_rate = parts.rate[block.cells].reshape(shape)
        cell_fish = data.cell_fish[block.cells].reshape(shape)
        rate = cell_rate.sum(axis=1)
        fish = cell_fish.sum(axis=1)
        slope = parts.slope[block.cells].reshape(*shape, p).sum(axis=1)
        z = np.zeros(len(rate)) if centre is None else centre.z[block.sessions]
        z, moved, e, value_g, w = of_rates(rate, fish, s, z, nodes)
        if centre is not None:
            centre.z[block.sessions] = z
        value += float(weight @ value_g)
        u = rate[:, None] * e
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


def _no_sessions(parts: Parts, t: float) -> Evaluation:
    """At s = 0: negative binomial cells, Poisson where t = 0 too; no integral."""
    data, u = parts.data, parts.rate
    p, a, weight, fish = data.columns, t * t, data.cell_weight, data.cell_fish
    gradient, hessian = np.zeros(p + 2), np.zeros((p + 2, p + 2))
    if t == 0.0:
        value = parts.start - float(weight @ u)
        scale, clump = np.ones_like(u), fish
        gradient[:p] = data.weighted_fish_design - parts.slope.T @ weight
        hessian[:p, :p] = -parts.row_curvature(scale)
        in_a = float(data.above @ np.arange(len(data.above))) + float(
            weight @ (0.5 * u**2 - fish * u)
        )
        hessian[p + 1, p + 1] = 2.0 * in_a
        residual, steep = fish - u, u
    else:
        constant, constant_a, constant_aa = clump_constant(data, a)
        x = a * u
        log1, v = np.log1p(x), u / (1.0 + x)
        clump = 1.0 + a * fish
        value = parts.start + constant - float(weight @ (log1 * (fish + 1.0 / a)))
        scale = clump / (1.0 + x)
        gradient[:p] = data.weighted_fish_design - parts.slope.T @ (weight * scale)
        hessian[:p, :p] = -parts.row_curvature(scale)
        tail = (weight * clump * a / (1.0 + x) ** 2)[:, None] * parts.slope
        hessian[:p, :p] += parts.slope.T @ tail
        first, second = in_clumping(u, x, log1, v, a)
        in_a = constant_a + float(weight @ (first - fish * v))
        in_aa = constant_aa + float(weight @ (second + fish * v * v))
        gradient[p + 1] = 2.0 * t * in_a
        hessian[p + 1, p + 1] = 2.0 * in_a + 4.0 * a * in_aa
        # d/da of −(1 + aY) v, per unit of the cell's expected fish.
        mixed = (clump * v - fish) / (1.0 + x)
        hessian[:p, p + 1] = hessian[p + 1, :p] = 2.0 * t * (parts.slope.T @ (weight * mixed))
        residual, steep = fish - clump * v, clump * v / (1.0 + x)
    in_ss = 0.0
    for block in data.blocks:
        shape = (-1, block.places)
        whole = residual[block.cells].reshape(shape).sum(axis=1)
        curve = steep[block.cells].reshape(shape).sum(axis=1)
        in_ss += float(data.weight[block.sessions] @ (whole * whole - whole - curve))
    hessian[p, p] = in_ss
    return Evaluation(value, gradient, hessian)
