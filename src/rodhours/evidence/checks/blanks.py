"""Are blanks missing from the log? The share of blank sessions that were written down.

A log without its blanks has too few sessions of no fish for the catches of the others. With a
session's chance P0 of a blank under the model, a share q of blanks logged gives each logged
session the likelihood l_g + [blank] log q − log(1 − (1 − q) P0), to be held against q = 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize
from scipy.special import expit

from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.evaluation import expected_fish
from rodhours.evidence.session_model.fit import NO_CLUMPS, POISSON, Fit
from rodhours.evidence.session_model.likelihood import NODES
from rodhours.evidence.session_model.quadrature import (
    MODE_STEPS,
    mode_step,
    nodes_at,
    normalise,
    weighted,
)

MORE_THAN_CHANCE = 3.84
_NOT_WORTH_A_FIT = -0.8
"""In binomial standard errors of the number of blanks: nearer to the expected one needs no fit.

The true error is smaller, since the model was fitted to the same blanks, but not by so much that
1.96 of them would pass as 0.8.
"""
_START_SPREAD = 0.3
_START_SHARES = (-2.0, 2.0)
_FURTHEST = 14.0
_LARGEST_EXPONENT = 50.0


@dataclass(frozen=True)
class BlankLogging:
    """The share of blanks that was logged, and what the fit is when that is allowed for.

    `missing` estimates the blank sessions that were not logged; `b` (p,) are the coefficients
    with the correction, `plain` (p,) those without it, both without clumps by cell.
    """

    logged_share: float
    missing: float
    likelihood_ratio: float
    b: Floats
    plain: Floats


def blank_logging(data: SessionData, fitted: Fit, *, session_effects: bool = True) -> BlankLogging:
    """The maximum over b, s and q of the likelihood of the logged sessions.

    `fitted` holds the fit without clumps that q = 1 stands for; `session_effects=False` takes
    the Poisson one and holds s at 0.
    """
    wanted = NO_CLUMPS if session_effects else POISSON
    plain = next(one for one in fitted.branches if one.branch == wanted)
    p = data.columns
    totals = session_sums(data, data.cell_fish)
    blank = totals == 0

    def loss(x: Floats) -> tuple[float, Floats]:
        s = float(x[p]) if session_effects else 0.0
        value, gradient = _logged(data, x[:p], s, float(x[-1]), totals, blank)
        kept = gradient if session_effects else np.delete(gradient, p)
        return -value, -kept

    spread = [max(plain.s, _START_SPREAD)] if session_effects else []
    best = None
    for share in _START_SHARES:
        begin = np.concatenate((plain.b, spread, [share]))
        found = minimize(loss, begin, method="BFGS", jac=True, options={"gtol": 1e-6})
        if best is None or found.fun < best.fun:
            best = found
    assert best is not None
    q = _share(float(best.x[-1]))
    s = float(best.x[p]) if session_effects else 0.0
    chance = _blank_chance(data, best.x[:p], s)
    unlogged = (1.0 - q) * chance / (1.0 - (1.0 - q) * chance)
    return BlankLogging(
        logged_share=q,
        missing=float(data.weight @ unlogged),
        likelihood_ratio=max(0.0, 2.0 * float(-best.fun - plain.value)),
        b=best.x[:p],
        plain=plain.b,
    )


def unlogged_blanks(data: SessionData, fitted: Fit) -> BlankLogging | None:
    """Whether blanks are missing by more than chance; None where they are not.

    The fit is skipped where the log has as many blanks as the model expects, or nearly.
    """
    start = next((one for one in fitted.branches if one.branch == NO_CLUMPS), None)
    if start is None or not start.converged:
        return None
    chance = _blank_chance(data, start.b, start.s)
    blanks = float(data.weight @ (session_sums(data, data.cell_fish) == 0))
    variance = float(data.weight @ (chance * (1.0 - chance)))
    short = blanks - float(data.weight @ chance)
    if variance <= 0.0 or short > _NOT_WORTH_A_FIT * variance**0.5:
        return None
    found = blank_logging(data, fitted)
    return found if found.likelihood_ratio > MORE_THAN_CHANCE else None


def session_sums(data: SessionData, values: Floats) -> Floats:
    """Sums over the cells of each distinct session."""
    return np.concatenate(
        [values[one.cells].reshape(-1, one.places).sum(axis=1) for one in data.blocks]
    )


def _share(x: float) -> float:
    """The share q from its logit, kept off 0 and 1 where a logarithm would have no value."""
    return float(expit(np.clip(x, -_FURTHEST, _FURTHEST)))


def _blank_chance(data: SessionData, b: Floats, s: float) -> Floats:
    """The chance of a blank under the model, for each distinct session."""
    rate = session_sums(data, expected_fish(data, b).rate)
    return np.exp(_integral(rate, np.zeros(len(rate)), s)[0])


def _logged(
    data: SessionData, b: Floats, s: float, x: float, totals: Floats, blank: np.ndarray
) -> tuple[float, Floats]:
    """Log-likelihood of the logged sessions and its gradient over (b, s, logit q)."""
    q = _share(x)
    parts = expected_fish(data, b)
    rate = session_sums(data, parts.rate)
    slope = np.column_stack([session_sums(data, parts.slope[:, j]) for j in range(len(b))])
    log_given, mean, score = _integral(rate, totals, s)
    log_blank, blank_mean, blank_score = _integral(rate, np.zeros(len(rate)), s)
    chance = np.exp(log_blank)
    logged = 1.0 - (1.0 - q) * chance
    weight = data.weight
    value = parts.start + float(weight @ (log_given + blank * np.log(q) - np.log(logged)))
    # d −log(1 − (1 − q) P0) = (1 − q) P0 / (1 − (1 − q) P0) · d log P0.
    pull = (1.0 - q) * chance / logged
    gradient = np.empty(len(b) + 2)
    gradient[:-2] = data.weighted_fish_design - slope.T @ (weight * (mean + pull * blank_mean))
    gradient[-2] = weight @ (score + pull * blank_score)
    gradient[-1] = q * (1.0 - q) * float(weight @ (blank / q - chance / logged))
    return value, gradient


def _integral(rate: Floats, fish: Floats, s: float) -> tuple[Floats, Floats, Floats]:
    """log ∫ φ(z) exp(fish · log e_z − rate · e_z) dz of each session, e_z = exp(s z − s²/2).

    With it the posterior mean of e_z, and the derivative of the logarithm in s.
    """
    if s == 0.0:
        return -rate, np.ones(len(rate)), np.zeros(len(rate))
    half = 0.5 * s * s
    z = np.zeros(len(rate))
    for _ in range(MODE_STEPS):
        u = rate * np.exp(np.minimum(s * z - half, _LARGEST_EXPONENT))
        step, last = mode_step((s * (fish - u) - z) / (1.0 + s * s * u))
        z = z + step
        if last:
            break
    curvature = 1.0 + s * s * rate * np.exp(s * z - half)
    moved, log_e, log_weight = nodes_at(z, curvature, s, NODES)
    e = np.exp(log_e)
    value, w = normalise(log_weight + fish[:, None] * log_e - rate[:, None] * e)
    score = weighted(w, moved * (fish[:, None] - rate[:, None] * e))
    return value, weighted(w, e), score
