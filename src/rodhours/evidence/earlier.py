"""Earlier seasons: they tell how uneven an angler's trips are, and take no other part.

Few trips cannot tell how uneven trips are, and their intervals pay for it. The session model is
fitted to this season and the earlier ones together: each has rates, ratios and shares of its own,
the spread of trips and the clumping are shared. Coverage and width on simulated seasons stand with
`tests/evidence/test_earlier.py`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
from scipy.special import chdtrc

from rodhours.errors import UsageError
from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.dates import dates_of
from rodhours.evidence.result import CAUTION, INFORMATION, Note
from rodhours.evidence.results import Comparison
from rodhours.evidence.stints import Stints, prepare, require_frame
from rodhours.evidence.trips import same_trip_rows, session_table

COLUMN = "earlier"
"""A column of the stint frame: true on stints of earlier seasons."""
MOST_TRIPS, FEWEST_EARLIER = 10, 12
"""From so many trips on a season is its own best witness; fewer earlier trips are none."""
AGREES = 0.2
"""Seasons are taken for equally uneven where p of their likelihood ratio is above this. A test
sees little in few trips: at 5 % it would let nearly every season pass."""


def with_earlier(stints: pd.DataFrame, earlier: pd.DataFrame) -> pd.DataFrame:
    """One frame of the stints asked about and of those of earlier seasons, marked as such."""
    if earlier.empty:
        return stints
    return pd.concat([stints.assign(**{COLUMN: False}), earlier.assign(**{COLUMN: True})])


def apart(stints: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame | None]:
    """The stints that are asked about, and those of earlier seasons, None where there are none."""
    require_frame(stints, "Stints")
    if COLUMN not in stints.columns:
        return stints, None
    is_earlier = stints[COLUMN].fillna(False).to_numpy(dtype=bool)
    rest = stints.drop(columns=COLUMN)
    return rest[~is_earlier], rest[is_earlier] if is_earlier.any() else None


def by_season(earlier: pd.DataFrame, adjust: tuple[str, ...]) -> Stints | None:
    """The earlier stints, baits of each year by themselves; None where a column lacks on all."""
    year = dates_of(earlier).dt.year.fillna(0).astype(int).astype(str)
    try:
        return prepare(earlier.assign(variant=earlier["variant"].astype(str) + " " + year), adjust)
    except UsageError:
        return None


def joined(basis: Basis, earlier: Stints) -> Basis:
    """The basis with the earlier seasons beside it, where they agree; the same basis else.

    Used for seasons of under 10 trips beside at least 12 earlier ones, where cells are the same
    in both and the likelihood ratio of common against own spread and clumping (2 df) has p > 0.2.
    """
    if not basis.fish.any() or basis.df < FEWEST_DF or basis.sessions >= MOST_TRIPS:
        return basis
    if basis.same_trips:
        table = session_table(earlier)
        everyone = np.ones(len(earlier.variants), dtype=bool)
        earlier = earlier.take(same_trip_rows(earlier, table, everyone))
    if not earlier.fish.any():
        return basis
    other = Basis.of(earlier, int(earlier.variant[0]), same_trips=basis.same_trips)
    alike = other.one_cell_a_stint == basis.one_cell_a_stint
    if not alike or other.sessions < FEWEST_EARLIER or other.df < FEWEST_DF:
        return basis
    both = replace(basis, earlier=other)
    if not all(one.fitted.converged for one in (basis, other, both)):
        return basis
    apart = basis.fitted.best.value + other.fitted.best.value - both.fitted.best.value
    return both if chdtrc(2, max(0.0, 2.0 * apart)) > AGREES else basis


def earlier_seasons(one: Comparison, alone: Comparison, trips: int) -> Note:
    """The note on an answer that so many earlier trips had part in, with the one without them."""
    numbers = {
        "trips": trips,
        "rate_ratio": alone.rate_ratio,
        "conf_low": alone.conf_low,
        "conf_high": alone.conf_high,
        "verdict": one.verdict,
        "verdict_alone": alone.verdict,
    }
    severity = INFORMATION if alone.verdict == one.verdict else CAUTION
    return Note("earlier_seasons", one.variant, severity, numbers)
