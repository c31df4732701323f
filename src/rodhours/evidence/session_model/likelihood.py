"""Log-likelihood of the session model, with closed-form gradient and Hessian.

Parameters are the coefficients b, then s and t = sqrt(a), both without bounds (the likelihood is
even in each). The session effect is integrated by adaptive Gauss-Hermite quadrature; gradient and
Hessian use the posterior weights of the nodes (Louis 1982, JRSS B 44:226-233).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rodhours.evidence.session_model.data import Block, Floats, SessionData

NODES = 15
SMALL_T = 0.01
"""Below this t the closed forms of the derivatives in a lose digits; a series takes over."""

_SERIES_LIMIT = 0.02
_MODE_STEPS = 40
_MODE_TOLERANCE = 1e-4
_LARGEST_MODE_STEP = 2.0
_LARGEST_EXPONENT = 500.0


@dataclass
class Centre:
    """Where each session's integrand had its mode; a warm start for the next evaluation."""

    z: Floats


@dataclass(frozen=True)
class Evaluation:
    """Value, gradient and Hessian over (b, s, t)."""

    value: float
    gradient: Floats
    hessian: Floats


@lru_cache(maxsize=8)
def hermite(nodes: int) -> tuple[Floats, Floats]:
    """Nodes x·sqrt(2) and log weights log w + x² − log(pi)/2, for a standard normal weight."""
    x, w = np.polynomial.hermite.hermgauss(nodes)
    return np.sqrt(2.0) * x, np.log(w) + x**2 - 0.5 * np.log(np.pi)


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
    eta = data.design @ b
    rate = data.hours * np.exp(np.minimum(eta, _LARGEST_EXPONENT))
    if data.cell_of_row is None:
        cell_rate: Floats = rate
        cell_slope: Floats = rate[:, None] * data.design
    else:
        size = len(data.cell_fish)
        cell_rate = np.asarray(np.bincount(data.cell_of_row, rate, size), dtype=np.float64)
        cell_slope = np.stack(
            [
                np.bincount(data.cell_of_row, rate * data.design[:, j], size)
                for j in range(data.columns)
            ],
            axis=1,
        )
    start = data.constant + float(data.weighted_fish_design @ b)
    parts = _Parts(data, rate, cell_rate, cell_slope)
    if s == 0.0:
        return _without_sessions(parts, start, t)
    if t == 0.0:
        return _without_clumps(parts, start, s, centre, nodes)
    return _full(parts, start, s, t, centre, nodes)


@dataclass(frozen=True)
class _Parts:
    """Per-row and per-cell expected fish at the current coefficients.

    `slope` (cells, p) is the derivative of a cell's expected fish in b.
    """

    data: SessionData
    row_rate: Floats
    rate: Floats
    slope: Floats

    def row_curvature(self, cell_factor: Floats) -> Floats:
        """Σ_rows factor of its cell · expected fish · x x', with session weights; (p, p)."""
        data = self.data
        factor = data.cell_weight * cell_factor
        if data.cell_of_row is None:
            return self.slope.T @ (factor[:, None] * data.design)
        scaled = (factor[data.cell_of_row] * self.row_rate)[:, None] * data.design
        return data.design.T @ scaled


def _clump_constant(data: SessionData, a: float) -> tuple[float, float, float]:
    """Σ_cells Σ_{j<Y} log(1 + a j), and its first and second derivative in a."""
    j = np.arange(len(data.above), dtype=np.float64)
    ratio = j / (1.0 + a * j)
    return (
        float(data.above @ np.log1p(a * j)),
        float(data.above @ ratio),
        -float(data.above @ ratio**2),
    )


def _in_clumping(u: Floats, x: Floats, log1: Floats, v: Floats, a: float) -> tuple[Floats, Floats]:
    """Parts of the derivatives in a of −(Y + 1/a) log(1 + a u) that do not depend on Y.

    First: log(1 + x)/a² − v/a; second: −2 log(1 + x)/a³ + 2 v/a² + v²/a, with x = a u.
    """
    if a > SMALL_T**2:
        first = (log1 / a - v) / a
        return first, (v * v - 2.0 * first) / a
    y = np.minimum(x, _SERIES_LIMIT)
    first = u**2 * (1 / 2 + y * (-2 / 3 + y * (3 / 4 + y * (-4 / 5 + y * (5 / 6 - y * 6 / 7)))))
    second = u**3 * (
        -2 / 3 + y * (3 / 2 + y * (-12 / 5 + y * (10 / 3 + y * (-30 / 7 + y * 21 / 4))))
    )
    large = x > _SERIES_LIMIT
    if large.any():
        q, r = log1[large], v[large]
        exact = (q / a - r) / a
        first[large] = exact
        second[large] = (r * r - 2.0 * exact) / a
    return first, second


def _without_sessions(parts: _Parts, start: float, t: float) -> Evaluation:
    """s = 0: negative binomial cells, or Poisson where t = 0 too."""
    data, u = parts.data, parts.rate
    p, a, weight, fish = data.columns, t * t, data.cell_weight, data.cell_fish
    gradient, hessian = np.zeros(p + 2), np.zeros((p + 2, p + 2))
    if t == 0.0:
        value = start - float(weight @ u)
        scale, clump = np.ones_like(u), fish
        gradient[:p] = data.weighted_fish_design - parts.slope.T @ weight
        hessian[:p, :p] = -parts.row_curvature(scale)
        in_a = float(data.above @ np.arange(len(data.above))) + float(
            weight @ (0.5 * u**2 - fish * u)
        )
        hessian[p + 1, p + 1] = 2.0 * in_a
        residual, steep = fish - u, u
    else:
        constant, constant_a, constant_aa = _clump_constant(data, a)
        x = a * u
        log1, v = np.log1p(x), u / (1.0 + x)
        clump = 1.0 + a * fish
        value = start + constant - float(weight @ (log1 * (fish + 1.0 / a)))
        scale = clump / (1.0 + x)
        gradient[:p] = data.weighted_fish_design - parts.slope.T @ (weight * scale)
        hessian[:p, :p] = -parts.row_curvature(scale)
        tail = (weight * clump * a / (1.0 + x) ** 2)[:, None] * parts.slope
        hessian[:p, :p] += parts.slope.T @ tail
        first, second = _in_clumping(u, x, log1, v, a)
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


def _nodes_at(z: Floats, curvature: Floats, s: float, nodes: int) -> tuple[Floats, Floats, Floats]:
    """z − s at the nodes, log(e_z) and the log weights less z²/2 for each session; (g, nodes)."""
    places, log_weights = hermite(nodes)
    spread = 1.0 / np.sqrt(curvature)
    at = z[:, None] + spread[:, None] * places
    log_weight = (log_weights - 0.5 * at * at) + np.log(spread)[:, None]
    return at - s, s * at - 0.5 * s * s, log_weight


def _normalise(log_terms: Floats) -> tuple[Floats, Floats]:
    """Log of the row sums of exp(log_terms), and the rows as weights that add up to 1."""
    top = log_terms.max(axis=1)
    weights = np.exp(log_terms - top[:, None])
    total = weights.sum(axis=1)
    weights /= total[:, None]
    return top + np.log(total), weights


def _without_clumps(
    parts: _Parts, start: float, s: float, centre: Centre | None, nodes: int
) -> Evaluation:
    """t = 0: the normal random-intercept Poisson; only session sums matter."""
    data = parts.data
    p = data.columns
    rate, fish, slope = [], [], []
    for block in data.blocks:
        shape = (-1, block.places)
        rate.append(parts.rate[block.cells].reshape(shape).sum(axis=1))
        fish.append(data.cell_fish[block.cells].reshape(shape).sum(axis=1))
        slope.append(parts.slope[block.cells].reshape(*shape, p).sum(axis=1))
    rates, totals, slopes = (
        one[0] if len(one) == 1 else np.concatenate(one) for one in (rate, fish, slope)
    )
    z = np.zeros(len(rates)) if centre is None else centre.z
    half = 0.5 * s * s
    for _ in range(_MODE_STEPS):
        u = rates * np.exp(s * z - half)
        step = (s * (totals - u) - z) / (1.0 + s * s * u)
        np.maximum(step, -_LARGEST_MODE_STEP, out=step)
        np.minimum(step, _LARGEST_MODE_STEP, out=step)
        z = z + step
        if np.abs(step).max() < _MODE_TOLERANCE:
            break
    if centre is not None:
        centre.z = z
    e = rates * np.exp(s * z - half)
    moved, log_e, log_weight = _nodes_at(z, 1.0 + s * s * e, s, nodes)
    u = rates[:, None] * np.exp(log_e)
    value_g, w = _normalise(log_weight + totals[:, None] * log_e - u)
    weight = data.weight
    value = start + float(weight @ value_g)
    residual = totals[:, None] - u
    score_s = moved * residual
    mean_u = (w * u).sum(axis=1)
    mean_s = (w * score_s).sum(axis=1)
    gradient, hessian = np.zeros(p + 2), np.zeros((p + 2, p + 2))
    share = mean_u / rates
    gradient[:p] = data.weighted_fish_design - slopes.T @ (weight * share)
    gradient[p] = weight @ mean_s
    wu = w * u
    var_u = (wu * u).sum(axis=1) - mean_u**2
    cov = (wu * score_s).sum(axis=1) - mean_u * mean_s
    second_s = (w * (score_s * score_s - moved * moved * u - residual)).sum(axis=1) - mean_s**2
    moved_u = (wu * moved).sum(axis=1)
    cell_share = (
        np.repeat(share, data.blocks[0].places)
        if len(data.blocks) == 1
        else np.concatenate([np.repeat(share[one.sessions], one.places) for one in data.blocks])
    )
    relative = slopes / rates[:, None]
    hessian[:p, :p] = relative.T @ ((weight * var_u)[:, None] * relative) - parts.row_curvature(
        cell_share
    )
    hessian[:p, p] = hessian[p, :p] = -(relative.T @ (weight * (moved_u + cov)))
    hessian[p, p] = weight @ second_s
    # Second derivative in t at t = 0: 2 dl/da, with dl/da = Σ_cells Y(Y−1)/2 − Y u + u²/2.
    in_a = float(data.above @ np.arange(len(data.above)))
    mean_e = share
    mean_ee = (wu * u).sum(axis=1) / rates**2
    for block in data.blocks:
        shape = (-1, block.places)
        m = parts.rate[block.cells].reshape(shape)
        y = data.cell_fish[block.cells].reshape(shape)
        here = block.sessions
        in_a += float(
            weight[here]
            @ (0.5 * mean_ee[here] * (m * m).sum(axis=1) - mean_e[here] * (y * m).sum(axis=1))
        )
    hessian[p + 1, p + 1] = 2.0 * in_a
    return Evaluation(value, gradient, hessian)


def _full(
    parts: _Parts, start: float, s: float, t: float, centre: Centre | None, nodes: int
) -> Evaluation:
    """Session effects and clumps both."""
    data = parts.data
    p, a = data.columns, t * t
    constant, constant_a, constant_aa = _clump_constant(data, a)
    value = start + constant
    gradient, hessian = np.zeros(p + 2), np.zeros((p + 2, p + 2))
    in_a, in_aa = constant_a, constant_aa
    clump = 1.0 + a * data.cell_fish
    size = len(data.cell_fish)
    mean_v, mean_vv = np.empty(size), np.empty(size)
    for block in data.blocks:
        one = _full_block(parts, block, clump, s, a, centre, nodes)
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
        where=parts.rate > 0,
    )
    hessian[:p, :p] += parts.slope.T @ (tail[:, None] * parts.slope)
    hessian[p + 1, p + 1] += 2.0 * in_a + 4.0 * a * in_aa
    hessian[p:, :p] = hessian[:p, p:].T
    hessian[p + 1, p] = hessian[p, p + 1]
    return Evaluation(value, gradient, hessian)


@dataclass
class _BlockSums:
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


def _full_block(
    parts: _Parts,
    block: Block,
    clump_all: Floats,
    s: float,
    a: float,
    centre: Centre | None,
    nodes: int,
) -> _BlockSums:
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
    # Newton for the mode; the integrand is log-concave in z.
    for _ in range(_MODE_STEPS):
        e = np.exp(s * z - half)[:, None]
        inverse = 1.0 / (1.0 + am * e)
        pull = cm * e * inverse
        slope = s * (total - pull.sum(axis=1)) - z
        step = slope / (1.0 + s * s * (pull * inverse).sum(axis=1))
        np.maximum(step, -_LARGEST_MODE_STEP, out=step)
        np.minimum(step, _LARGEST_MODE_STEP, out=step)
        z = z + step
        if np.abs(step).max() < _MODE_TOLERANCE:
            break
    if centre is not None:
        centre.z[block.sessions] = z
    e = np.exp(s * z - half)[:, None]
    inverse = 1.0 / (1.0 + am * e)
    curvature = 1.0 + s * s * (cm * e * inverse * inverse).sum(axis=1)
    moved, log_e, log_weight = _nodes_at(z, curvature, s, nodes)

    u = m[:, :, None] * np.exp(log_e)[:, None, :]
    x = a * u
    log1 = np.log1p(x)
    inverse = 1.0 / (1.0 + x)
    v = u * inverse
    inner = total[:, None] * log_e - (power[:, None, :] @ log1)[:, 0, :]
    value, w = _normalise(log_weight + inner)

    wv = clump[:, :, None] * v
    residual = total[:, None] - wv.sum(axis=1)
    steep = wv * inverse
    first, second = _in_clumping(u, x, log1, v, a)
    cell_a = first - y[:, :, None] * v
    vv = v * v
    # d²l/da² of a cell less its constant: second + Y v².
    score_a = cell_a.sum(axis=1)
    second_a = second.sum(axis=1) + (y[:, None, :] @ vv)[:, 0, :]
    # d/da of −(1 + aY) v: −Y v + (1 + aY) v².
    mixed_a_nodes = wv * v - y[:, :, None] * v

    scores = np.empty((len(m), c + 2, nodes))
    np.negative(wv, out=scores[:, :c])
    scores[:, c] = moved * residual
    scores[:, c + 1] = score_a
    column = w[:, :, None]
    means = (scores @ column)[:, :, 0]
    scores -= means[:, :, None]
    weighted = scores * w[:, None, :]
    covariance = weighted @ scores.transpose(0, 2, 1)

    w_moved = w * moved
    steep_sum = steep.sum(axis=1)
    second_s = -(w * residual).sum(axis=1) - (w_moved * moved * steep_sum).sum(axis=1)
    second_s += covariance[:, c, c]
    mean_v = (v @ column)[:, :, 0]
    mean_vv = (vv @ column)[:, :, 0]
    slope_rows = parts.slope[block.cells].reshape(len(m), c, -1)
    relative = np.divide(
        slope_rows, m[:, :, None], out=np.zeros_like(slope_rows), where=m[:, :, None] > 0
    )
    return _BlockSums(
        value=value,
        mean_v=mean_v.ravel(),
        mean_vv=mean_vv.ravel(),
        score_s=means[:, c],
        second_s=second_s,
        in_a=means[:, c + 1],
        in_aa=(w * second_a).sum(axis=1),
        mixed_s=(steep @ w_moved[:, :, None]).ravel(),
        mixed_a=(mixed_a_nodes @ column).ravel(),
        mixed_sa=(w_moved * mixed_a_nodes.sum(axis=1)).sum(axis=1),
        covariance=covariance,
        relative=relative,
    )
