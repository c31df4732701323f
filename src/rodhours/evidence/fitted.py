"""A comparison as its checks look at it, and a fit as a result."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.results import Comparison, FittedModel
from rodhours.evidence.stints import Stints

if TYPE_CHECKING:
    from rodhours.evidence.response.line import Line


@dataclass(frozen=True)
class Headline:
    """One comparison with the code of its variant, the basis and the answer it was made from."""

    comparison: Comparison
    variant: int
    basis: Basis
    answer: Answer


@dataclass(frozen=True, eq=False)
class Subject:
    """A comparison as the checks look at it.

    `frame` is what `stints` was prepared from, `everything` the all-trips basis, 1 − `alpha` the
    confidence of each interval of the family.
    """

    frame: pd.DataFrame
    stints: Stints
    headlines: tuple[Headline, ...]
    everything: Basis
    alpha: float
    margin: float


def fitted_model(name: str, part: Basis | Line) -> FittedModel:
    """The fit of a basis as a result; without a fish there is none, and without a maximum no
    figures."""
    if part.stints.fish.sum() == 0:
        return FittedModel(name, (), part.sessions, None, None, None, None, None)
    best = part.fitted.best
    return FittedModel(
        basis=name,
        adjusted_for=tuple(dict.fromkeys(part.adjusted_columns)),
        sessions=part.sessions,
        cells=part.fitted.data.cells,
        df=part.df,
        session_sd=best.s if best.converged else None,
        clumping=best.t**2 if best.converged else None,
        log_likelihood=best.value if best.converged else None,
    )
