"""The boundary s = 0: negative binomial cells, or Poisson where t = 0 too; no integral."""

from __future__ import annotations

import numpy as np

from rodhours.evidence.session_model.clumping import clump_constant, in_clumping
from rodhours.evidence.session_model.evaluation import Evaluation, Parts


def evaluate_no_sessions(parts: Parts, t: float) -> Evaluation:
    """Value and derivatives at s = 0; the second derivative in s is the true one."""
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
