"""Was a bait fished more on the better or the poorer trips? The all-trips answer is off then."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import copysign, log, sqrt

import numpy as np

from rodhours.evidence.basis import Basis
from rodhours.evidence.checks.allocation import FAMILY_CHANCE
from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.result import CAUTION, Note
from rodhours.evidence.results import Comparison
from rodhours.evidence.trips import FEWEST_SAME_TRIP_DF


def favourite_conditions(everything: Basis, asked: Mapping[int, Comparison]) -> list[Note]:
    """Notes on variants whose trips were better or poorer than chance would make them.

    `everything` is the all-trips basis, `asked` holds the comparisons by the code of the variant.
    All stints are fitted with each variant's share of the session's rod-hours beside it (Mundlak
    1978, Econometrica 46:69-85): a share whose coefficient is not 0 says that sessions with more
    of the variant caught more, or less, on every bait. Named where the likelihood ratio of that
    coefficient is beyond 95 % by the t quantile, over all variants asked about together. A spread
    of sessions fitted by maximum likelihood is too small by what the coefficients of sessions take
    up, in a linear model (G − p) / G, and the ratio too large by as much. Numbers: the two ratios,
    and `z`, the signed root of the likelihood ratio.
    """
    basis = Basis.of(everything.stints, everything.reference, same_trips=True)
    if not basis.fish.sum() or basis.df < FEWEST_SAME_TRIP_DF or not everything.fitted.converged:
        return []
    best, further = everything.fitted.best, basis.data.columns - everything.data.columns
    if further > 0:
        basis = replace(basis, near=replace(best, b=np.append(best.b, np.zeros(further))))
    if not basis.fitted.converged:
        return []
    alpha = FAMILY_CHANCE / max(1, len(asked))
    taken = basis.data.columns
    cut = Cutoff(basis.df).at(alpha, 1) * basis.sessions / max(1, basis.sessions - taken)
    notes = []
    for variant, one in asked.items():
        same, all_trips = one.rate_ratio, one.all_trips.rate_ratio
        statistic = basis.share_statistic(variant)
        if same and all_trips and statistic is not None and statistic > cut:
            z = copysign(sqrt(statistic), log(all_trips / same))
            numbers = {"same_trips_ratio": same, "all_trips_ratio": all_trips, "z": float(z)}
            notes.append(Note("favourite_conditions", one.variant, CAUTION, numbers))
    return notes
