"""Are blanks missing from the log? The share of blank sessions that were written down.

A log without its blanks has too few sessions of no fish for the catches of the others. With a
session's chance P0 of a blank under the model, a share q of blanks logged gives each logged
session the likelihood l_g + [blank] log q − log(1 − (1 − q) P0), to be held against q = 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

import numpy as np
from scipy.optimize import minimize
from scipy.special import expit

from rodhours.evidence.basis import Basis
from rodhours.evidence.fitted import Headline
from rodhours.evidence.result import SERIOUS, Note
from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.evaluation import expected_fish
from rodhours.evidence.session_model.fit import NO_CLUMPS, POISSON, Fit, Point
from rodhours.evidence.session_model.quadrature import (
    nodes_for,
    of_rates,
    weighted,
)

MORE_THAN_CHANCE = 3.84
_WORTH_A_FIT = 2.0
"""Score statistics below this do not come with likelihood ratios above 3.84."""
_START_SPREAD = 0.3
_START_SHARE = 0.0
"""The logit of half the blanks logged."""
_FURTHEST = 14.0


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


def blank_logging(fitted: Fit, *, session_effects: bool = True) -> BlankLogging:
    """The maximum over b, s and q of the likelihood of the logged sessions.

    `fitted` holds the fit without clumps that q = 1 stands for; `session_effects=False` takes
    the Poisson one and holds s at 0.
    """
    wanted = NO_CLUMPS if session_effects else POISSON
    plain = next(one for one in fitted.branches if one.branch == wanted)
    data = fitted.data
    p = data.columns
    totals = session_sums(data, data.cell_fish)
    blank = totals == 0

    def loss(x: Floats) -> tuple[float, Floats]:
        s = float(x[p]) if session_effects else 0.0
        value, gradient = _logged(data, x[:p], s, float(x[-1]), totals, blank)
        kept = gradient if session_effects else np.delete(gradient, p)
        return -value, -kept

    spread = [max(plain.s, _START_SPREAD)] if session_effects else []
    begin = np.concatenate((plain.b, spread, [_START_SHARE]))
    best = minimize(loss, begin, method="BFGS", jac=True, options={"gtol": 1e-5})
    q = _share(float(best.x[-1]))
    s = float(best.x[p]) if session_effects else 0.0
    rate, _ = _session_rates(data, best.x[:p])
    chance = np.exp(_integral(rate, np.zeros(len(rate)), s)[0])
    unlogged = (1.0 - q) * chance / (1.0 - (1.0 - q) * chance)
    return BlankLogging(
        logged_share=q,
        missing=float(data.weight @ unlogged),
        likelihood_ratio=max(0.0, 2.0 * float(-best.fun - plain.value)),
        b=best.x[:p],
        plain=plain.b,
    )


def unlogged_blanks(everything: Basis, headlines: Sequence[Headline]) -> list[Note]:
    """A serious note where blanks are missing by more than chance, with what that does to a ratio.

    The fit is skipped where the log has as many blanks as the model expects, or where the score
    test of q = 1, which needs none, is far from what the likelihood ratio is held against.
    Numbers: `logged_share`, `missing`, `lr`; `rate_ratio` and `rate_ratio_corrected` of the
    variant whose ratio moves most, None where none has fish and the reference too.
    """
    start = next((one for one in everything.fitted.branches if one.branch == NO_CLUMPS), None)
    if start is None or not start.converged:
        return []
    if score_statistic(everything.fitted.data, start) < _WORTH_A_FIT:
        return []
    found = blank_logging(everything.fitted)
    if found.likelihood_ratio <= MORE_THAN_CHANCE:
        return []
    numbers: dict[str, float | None] = {
        "logged_share": found.logged_share,
        "missing": found.missing,
        "lr": found.likelihood_ratio,
        "rate_ratio": None,
        "rate_ratio_corrected": None,
    }
    caught = [one for one in headlines if everything.both_caught(one.variant)]
    if not caught:
        return [Note("unlogged_blanks", None, SERIOUS, numbers)]
    columns = [everything.column_of(one.variant) for one in caught]
    most = int(np.argmax(np.abs(found.b - found.plain)[columns]))
    plain, corrected = (exp(float(b[columns[most]])) for b in (found.plain, found.b))
    numbers |= {"rate_ratio": plain, "rate_ratio_corrected": corrected}
    return [Note("unlogged_blanks", caught[most].comparison.variant, SERIOUS, numbers)]


def score_statistic(data: SessionData, point: Point) -> float:
    """The score test of q = 1 at the fit without clumps; 0 where no blanks are missing.

    The score is the number of blanks less the expected one, Σ ([blank] − P0). Its variance is
    Σ P0 (1 − P0) less what fitting b and s to the same blanks takes up (Rao 1948).
    """
    rate, slope = _session_rates(data, point.b)
    log_blank, mean, in_s = _integral(rate, np.zeros(len(rate)), point.s)
    chance = np.exp(log_blank)
    weight = data.weight
    blanks = float(weight @ (session_sums(data, data.cell_fish) == 0))
    short = float(weight @ chance) - blanks
    if short <= 0.0:
        return 0.0
    pull = np.append(-slope.T @ (weight * chance * mean), float(weight @ (chance * in_s)))
    p = data.columns
    free = np.arange(p + 1) if point.s > 0.0 else np.arange(p)
    information = -point.evaluation.hessian[np.ix_(free, free)]
    taken = float(pull[free] @ np.linalg.lstsq(information, pull[free], rcond=1e-10)[0])
    variance = float(weight @ (chance * (1.0 - chance))) - taken
    return short**2 / variance if variance > 0.0 else np.inf


def session_sums(data: SessionData, values: Floats) -> Floats:
    """Sums over the cells of each distinct session."""
    return np.concatenate(
        [values[one.cells].reshape(-1, one.places).sum(axis=1) for one in data.blocks]
    )


def _session_rates(data: SessionData, b: Floats) -> tuple[Floats, Floats]:
    """Expected fish of each distinct session at z-mean 1, and its slope in b; (g,) and (g, p)."""
    parts = expected_fish(data, b)
    slope = [session_sums(data, parts.slope[:, j]) for j in range(len(b))]
    return session_sums(data, parts.rate), np.column_stack(slope)


def _share(x: float) -> float:
    """The share q from its logit, kept off 0 and 1 where a logarithm would have no value."""
    return float(expit(np.clip(x, -_FURTHEST, _FURTHEST)))


def _logged(
    data: SessionData, b: Floats, s: float, x: float, totals: Floats, blank: np.ndarray
) -> tuple[float, Floats]:
    """Log-likelihood of the logged sessions and its gradient over (b, s, logit q)."""
    q = _share(x)
    rate, slope = _session_rates(data, b)
    log_given, mean, score = _integral(rate, totals, s)
    log_blank, blank_mean, blank_score = _integral(rate, np.zeros(len(rate)), s)
    chance = np.exp(log_blank)
    logged = 1.0 - (1.0 - q) * chance
    weight = data.weight
    value = data.constant + float(data.weighted_fish_design @ b)
    value += float(weight @ (log_given + blank * np.log(q) - np.log(logged)))
    # d −log(1 − (1 − q) P0) = (1 − q) P0 / (1 − (1 − q) P0) · d log P0.
    pull = (1.0 - q) * chance / logged
    gradient = np.empty(len(b) + 2)
    gradient[:-2] = data.weighted_fish_design - slope.T @ (weight * (mean + pull * blank_mean))
    gradient[-2] = weight @ (score + pull * blank_score)
    gradient[-1] = q * (1.0 - q) * float(weight @ (blank / q - chance / logged))
    return value, gradient


def _integral(rate: Floats, fish: Floats, s: float) -> tuple[Floats, Floats, Floats]:
    """The logarithm of each session's integral, the posterior mean of e_z, the derivative in s."""
    if s == 0.0:
        return -rate, np.ones(len(rate)), np.zeros(len(rate))
    _, moved, e, value, w = of_rates(rate, fish, s, np.zeros(len(rate)), nodes_for(s))
    score = weighted(w, moved * (fish[:, None] - rate[:, None] * e))
    return value, weighted(w, e), score
