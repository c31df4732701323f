"""The Poisson rate model of statsmodels: where the session model's fit starts.

It is also the column 'as if every fish came by itself', whose interval is never the answer.
"""

from __future__ import annotations

import warnings

import numpy as np
from statsmodels.genmod.families import Poisson
from statsmodels.genmod.generalized_linear_model import GLM

from rodhours.evidence.session_model.data import Floats, SessionData
from rodhours.evidence.session_model.fit import poisson_start


def poisson_rates(data: SessionData) -> Floats:
    """Coefficients (p,) of the Poisson rate model with hours as exposure.

    Where a slope runs off (a column that separates the blanks), the overall rate is returned:
    it is a start, and the session model's own steps go on from there.
    """
    rows = data.hours > 0
    start = poisson_start(data)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            fitted = GLM(
                data.fish[rows],
                data.design[rows],
                family=Poisson(),
                exposure=data.hours[rows],
                freq_weights=data.row_weight[rows],
            ).fit(start_params=start)
        except (ValueError, np.linalg.LinAlgError):
            return start
    found = np.asarray(fitted.params, dtype=np.float64)
    return found if np.isfinite(found).all() and np.abs(found).max() < 30 else start
