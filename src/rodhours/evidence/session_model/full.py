"""Inside, s > 0 and t > 0: session effects and clumps both, cells within sessions.

Covariances of a session's scores are taken between its cells first and carried to the
coefficients afterwards, so that the work at the nodes does not grow with the design.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rodhours.evidence.session_model.data import Block, Floats
from rodhours.evidence.session_model.evaluation import (
    Evaluation,
    Parts,
    clump_constant,
    in_clumping,
)
from rodhours.evidence.session_model.quadrature import (
    Centre,
    modes,
    nodes_at,
    normalise,
)

_NEXT_TO_NOTHING = 1e-150


def evaluate_full(
    parts: Parts, s: float, t: float, centre: Centre | None, nodes: int
) -> Evaluation:
    """Value and derivatives inside, s > 0 and t > 0."""
    data = parts.data
    p, a = data.columns, t * t
    constant, constant_a, constant_aa = clump_constant(data, a)
    value = parts.start + constant
    gradient, hessian = np.zeros(p + 2), np.zeros((p + 2, p + 2))
    in_a, in_aa = constant_a, constant_aa
    clump = 1.0 + a * data.cell_fish
    size = len(data.cell_fish)
    mean_v, mean_vv = np.empty(size), np.empty(size)
    for block in data.blocks:
        one = block_sums(parts, block, clump, s, a, centre, nodes)
        weight = data.weight[block.sessions]
        value += float(weight @ one.value)
        mean_v[block.cells], mean_vv[block.cells] = one.mean_v, one.mean_vv
        gradient[p] += weight @ one.score_s
        hessian[p, p] += weight @ one.second_s
        in_a += float(weight @ one.in_a)
        in_aa += float(weight @ one.in_aa)
        # Covariances of the session's scores, from the cells' to the coefficients'.
        c = block.places
        relative = one.relative
        cov = one.covariance
        cov *= weight[:, None, None]
        flat = relative.reshape(-1, p)
        hessian[:p, :p] += flat.T @ (cov[:, :c, :c] @ relative).reshape(-1, p)
        hessian[:p, p] += flat.T @ (cov[:, :c, c].ravel() - one.mixed_s * weight.repeat(c))
        hessian[:p, p + 1] += (
            2.0 * t * (flat.T @ (cov[:, :c, c + 1].ravel() + one.mixed_a * weight.repeat(c)))
        )
        hessian[p, p + 1] += 2.0 * t * (cov[:, c, c + 1].sum() + weight @ one.mixed_sa)
        hessian[p + 1, p + 1] += 4.0 * a * cov[:, c + 1, c + 1].sum()
    # Without fish or hours a cell place has rate 0: its slope is 0 too.
    share = clump * np.divide(mean_v, parts.rate, out=np.zeros(size), where=parts.rate > 0)
    gradient[:p] = data.weighted_fish_design - parts.slope.T @ (data.cell_weight * share)
    gradient[p + 1] = 2.0 * t * in_a
    hessian[:p, :p] -= parts.row_curvature(share)
    tail = np.divide(
        data.cell_weight * clump * a * mean_vv,
        parts.rate**2,
        out=np.zeros(size),
        # The square of next to nothing is nothing.
        where=parts.rate > _NEXT_TO_NOTHING,
    )
    hessian[:p, :p] += parts.slope.T @ (tail[:, None] * parts.slope)
    hessian[p + 1, p + 1] += 2.0 * in_a + 4.0 * a * in_aa
    hessian[p:, :p] = hessian[:p, p:].T
    hessian[p + 1, p] = hessian[p, p + 1]
    return Evaluation(value, gradient, hessian)


@dataclass
class BlockSums:
    """Posterior means of one block; arrays are (sessions,) or flat (sessions · places,)."""

    value: Floats
    mean_v: Floats
    mean_vv: Floats
    score_s: Floats
    second_s: Floats
    in_a: Floats
    in_aa: Floats
    mixed_s: Floats
    mixed_a: Floats
    mixed_sa: Floats
    covariance: Floats
    relative: Floats


def block_sums(
    parts: Parts,
    block: Block,
    clump_all: Floats,
    s: float,
    a: float,
    centre: Centre | None,
    nodes: int,
) -> BlockSums:
    """The posterior means of one block at the current parameters."""
    data = parts.data
    c = block.places
    m = parts.rate[block.cells].reshape(-1, c)
    y = data.cell_fish[block.cells].reshape(-1, c)
    clump = clump_all[block.cells].reshape(-1, c)
    power = y + 1.0 / a
    total = y.sum(axis=1)
    z = np.zeros(len(m)) if centre is None else centre.z[block.sessions]
    half = 0.5 * s * s
    am, cm = a * m, clump * m

    def newton_step(z: Floats) -> Floats:
        e = np.exp(s * z - half)[:, None]
        inverse = 1.0 / (1.0 + am * e)
        pull = cm * e * inverse
        slope = s * (total - pull.sum(axis=1)) - z
        return np.asarray(slope / (1.0 + s * s * (pull * inverse).sum(axis=1)))

    z = modes(z, newton_step)
    if centre is not None:
        centre.z[block.sessions] = z
    e = np.exp(s * z - half)[:, None]
    inverse = 1.0 / (1.0 + am * e)
    curvature = 1.0 + s * s * (cm * e * inverse * inverse).sum(axis=1)
    moved, log_e, log_weight = nodes_at(z, curvature, s, nodes)

    u = m[:, :, None] * np.exp(log_e)[:, None, :]
    x = a * u
    log1 = np.log1p(x)
    inverse = 1.0 / (1.0 + x)
    v = u * inverse
    inner = total[:, None] * log_e - (power[:, None, :] @ log1)[:, 0, :]
    value, w = normalise(log_weight + inner)

    wv = clump[:, :, None] * v
    steep = wv * inverse
    first, second = in_clumping(u, x, log1, v, a)
    scores = np.empty((len(m), c + 2, nodes))
    np.negative(wv, out=scores[:, :c])
    scores[:, c] = moved * (total[:, None] - wv.sum(axis=1))
    scores[:, c + 1] = (first - y[:, :, None] * v).sum(axis=1)
    column = w[:, :, None]
    means = (scores @ column)[:, :, 0]
    scores -= means[:, :, None]
    covariance = (scores * w[:, None, :]) @ scores.transpose(0, 2, 1)

    # Posterior means of a cell's v, v² and slope, bare and with z − s and its square.
    moved_w = w * moved
    powers = np.stack((w, moved_w, moved_w * moved), axis=2)
    of_v, of_vv, of_steep = v @ powers, (v * v) @ powers, steep @ powers
    mean_v, mean_vv = of_v[:, :, 0], of_vv[:, :, 0]
    # d/da of −(1 + aY) v: −Y v + (1 + aY) v².
    of_mixed = clump[:, :, None] * of_vv - y[:, :, None] * of_v
    second_s = covariance[:, c, c] - total + (clump * mean_v - of_steep[:, :, 2]).sum(axis=1)
    # d²l/da² of a cell less its constant: second + Y v².
    in_aa = ((second @ column)[:, :, 0] + y * mean_vv).sum(axis=1)
    slope_rows = parts.slope[block.cells].reshape(len(m), c, -1)
    relative = np.divide(
        slope_rows, m[:, :, None], out=np.zeros_like(slope_rows), where=m[:, :, None] > 0
    )
    return BlockSums(
        value=value,
        mean_v=mean_v.ravel(),
        mean_vv=mean_vv.ravel(),
        score_s=means[:, c],
        second_s=second_s,
        in_a=means[:, c + 1],
        in_aa=in_aa,
        mixed_s=of_steep[:, :, 1].ravel(),
        mixed_a=of_mixed[:, :, 0].ravel(),
        mixed_sa=of_mixed[:, :, 1].sum(axis=1),
        covariance=covariance,
        relative=relative,
    )
