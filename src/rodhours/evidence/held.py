"""Limits of a rate of few trips, how uneven trips are being taken from the whole log.

Few trips cannot say how uneven trips are; the whole log can. Its spread s and clumping t are held
and the group's own log rate alone is profiled, at the t quantile of the whole log's fit. Simulated
coverage stands with `tests/evidence/test_rates_of_few_trips.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.session_model.data import lay_out
from rodhours.evidence.session_model.evaluation import Evaluation
from rodhours.evidence.session_model.likelihood import evaluate
from rodhours.evidence.session_model.quadrature import Centre
from rodhours.evidence.stints import Stints

_REACH = 12.0
"""A limit further than this from the plain log rate is none."""
_NODES = 31


@dataclass(frozen=True)
class Unevenness:
    """How uneven a log's trips are: spread s and clumping t of its fit, and that fit's df.

    Cells are session x variant, or single stints where no session had two variants.
    """

    s: float
    t: float
    df: int
    sessions: int
    one_cell_a_stint: bool

    @classmethod
    def of(cls, stints: Stints) -> Unevenness | None:
        """That of all trips, variants as indicators; None where they are too few to tell."""
        basis = Basis.of(stints, int(stints.variant[0]), same_trips=False)
        if not stints.fish.any() or basis.df < FEWEST_DF or not basis.fitted.converged:
            return None
        best = basis.fitted.best
        return cls(best.s, best.t, basis.df, basis.sessions, basis.one_cell_a_stint)

    def limits(self, group: Stints, cut_low: float, cut_high: float) -> tuple[float, float | None]:
        """Limits of the group's rate, fish per hour, at two cutoffs of L; None: no upper one.

        In the log rate the likelihood is log-concave, so it has one top and one limit a side.
        """
        cell = np.arange(len(group)) if self.one_cell_a_stint else group.variant
        ones = np.ones((len(group), 1))
        data = lay_out(group.session, cell, group.hours, group.fish, ones)
        centre = Centre(np.zeros(len(data.weight)))

        def at(theta: float) -> Evaluation:
            return evaluate(data, np.array([theta]), self.s, self.t, centre, _NODES)

        fish = float(group.fish.sum())
        plain = float(np.log(max(fish, 0.5) / group.hours.sum()))
        ends = plain - _REACH, plain + _REACH
        # Without a fish the likelihood rises for ever as the rate falls.
        top = ends[0] if not fish else brentq(lambda one: float(at(one).gradient[0]), *ends)
        height = at(top).value

        def limit(end: float, cut: float) -> float | None:
            def short(theta: float) -> float:
                return 2.0 * (height - at(theta).value) - cut

            return None if short(end) < 0.0 else float(np.exp(brentq(short, top, end)))

        low = limit(ends[0], cut_low) if fish else None
        return low or 0.0, limit(ends[1], cut_high)
