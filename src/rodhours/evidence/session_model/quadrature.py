"""Adaptive quadrature over each session's effect.

Nodes are placed around the mode of the session's integrand and scaled by the curvature there
(Liu & Pierce 1994, Biometrika 81:624-629). Where effects are wide the integrand has an edge, which
Gauss-Hermite nodes see badly: there the trapezoidal rule is taken, its places stretched to the ends
by a hyperbolic sine (Trefethen & Weideman 2014, SIAM Review 56:385-458).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rodhours.evidence.session_model.data import Floats

NODES = 15
_NODES_BELOW = ((1.2, NODES), (2.5, 41), (4.0, 81), (6.0, 161), (np.inf, 321))
"""Spreads of effects, and how many nodes are enough below each."""
_REACH = 6.8
"""The prior alone leaves less than 1e-10 beyond so far from the mode."""
_MODE_STEPS = 40
_MODE_TOLERANCE = 1e-4
_LARGEST_MODE_STEP = 2.0
_LARGEST_EXPONENT = 50.0


@dataclass
class Centre:
    """Where each session's integrand had its mode; a warm start for the next evaluation."""

    z: Floats


def nodes_for(s: float) -> int:
    """How many nodes leave a session's log-likelihood exact to 1e-6 at a spread of effects."""
    return next(nodes for spread, nodes in _NODES_BELOW if s < spread)


@lru_cache(maxsize=8)
def hermite(nodes: int) -> tuple[Floats, Floats]:
    """Nodes x·sqrt(2) and log weights log w + x² − log(pi)/2, for a standard normal weight."""
    x, w = np.polynomial.hermite.hermgauss(nodes)
    return np.sqrt(2.0) * x, np.log(w) + x**2 - 0.5 * np.log(np.pi)


@lru_cache(maxsize=8)
def _evenly(nodes: int) -> Floats:
    return np.linspace(-1.0, 1.0, nodes)


def modes(z: Floats, newton_step: Callable[[Floats], Floats]) -> Floats:
    """Where each session's integrand has its mode, by Newton steps from `z`."""
    for _ in range(_MODE_STEPS):
        step = newton_step(z)
        # Plain ufuncs: numpy's clip costs as much as the step itself.
        step = np.maximum(np.minimum(step, _LARGEST_MODE_STEP), -_LARGEST_MODE_STEP)
        z = z + step
        if np.abs(step).max() < _MODE_TOLERANCE:
            break
    return z


def weighted(weights: Floats, values: Floats) -> Floats:
    """Posterior mean over the nodes; both (sessions, nodes)."""
    return np.asarray(np.einsum("gk,gk->g", weights, values))


def nodes_at(z: Floats, curvature: Floats, s: float, nodes: int) -> tuple[Floats, Floats, Floats]:
    """z − s at the nodes, log(e_z) and the log weights less z²/2 for each session; (g, nodes)."""
    spread = 1.0 / np.sqrt(curvature)[:, None]
    if nodes <= NODES:
        places, log_weights = hermite(nodes)
        at = z[:, None] + spread * places
        log_weight = log_weights - 0.5 * at * at + np.log(spread)
    else:
        end = np.arcsinh(0.5 * _REACH / spread)
        # Twice the hyperbolic sine and cosine, of one exponential.
        up = np.exp(end * _evenly(nodes))
        down = 1.0 / up
        at = z[:, None] + spread * (up - down)
        width = spread * (up + down) * (2.0 / (nodes - 1) * end)
        log_weight = np.log(width) - 0.5 * at * at - 0.5 * np.log(2.0 * np.pi)
    return at - s, s * at - 0.5 * s * s, log_weight


def of_rates(
    rate: Floats, fish: Floats, s: float, z: Floats, nodes: int
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Of log ∫ φ(z) exp(fish · log e_z − rate · e_z) dz of each session, e_z = exp(s z − s²/2).

    The modes, found from `z`; z − s and e_z at the nodes; the integrals; and the weights.
    """
    half = 0.5 * s * s

    def newton_step(z: Floats) -> Floats:
        u = rate * np.exp(np.minimum(s * z - half, _LARGEST_EXPONENT))
        return (s * (fish - u) - z) / (1.0 + s * s * u)

    z = modes(z, newton_step)
    curvature = 1.0 + s * s * rate * np.exp(s * z - half)
    moved, log_e, log_weight = nodes_at(z, curvature, s, nodes)
    e = np.exp(log_e)
    value, weights = normalise(log_weight + fish[:, None] * log_e - rate[:, None] * e)
    return z, moved, e, value, weights


def normalise(log_terms: Floats) -> tuple[Floats, Floats]:
    """Log of the row sums of exp(log_terms), and the rows as weights that add up to 1."""
    top = log_terms.max(axis=1)
    weights = np.exp(log_terms - top[:, None])
    total = weights.sum(axis=1)
    weights /= total[:, None]
    return top + np.log(total), weights
