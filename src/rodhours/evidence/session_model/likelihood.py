"""Log-likelihood of the session model, with closed-form gradient and Hessian.

Parameters are the coefficients b, then s and t = sqrt(a), both without bounds (the likelihood is
even in each). The session effect is integrated by adaptive Gauss-Hermite quadrature; gradient and
Hessian use the posterior weights of the nodes (Louis 1982, JRSS B 44:226-233).
"""

from __future__ import annotations

import numpy as np

from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.evaluation import Evaluation, expected_fish
from rodhours.evidence.session_model.full import evaluate_full
from rodhours.evidence.session_model.no_clumps import evaluate_no_clumps
from rodhours.evidence.session_model.no_sessions import evaluate_no_sessions
from rodhours.evidence.session_model.quadrature import Centre

NODES = 15


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
            return evaluate_no_sessions(parts, t)
        if t == 0.0:
            return evaluate_no_clumps(parts, s, centre, nodes)
        return evaluate_full(parts, s, t, centre, nodes)
