"""Did a variant's rod-hours go to other months, waters, rods or water than the reference's?

Few trips make such differences by chance, so a difference counts only where dealing the trips
out at random would seldom make it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.checks.allocation import (
    FAMILY_CHANCE,
    FAR,
    Coded,
    chance_between,
    chance_of_slope,
    chance_of_time,
    chance_within,
    coded,
    codes,
    days_of,
    is_apart,
    plain,
    standardised_difference,
    standardised_mean_difference,
    sums,
)
from rodhours.evidence.result import CAUTION, SERIOUS, Note, order_notes
from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.evidence.trips import FEWEST_SESSIONS

CATEGORIES = ("month", "venue", "rod")
TEMPERATURE = "water_temp_c"
TWO_SIDED = 1.96
"""The normal quantile of 95 % limits."""
MOST_UNSHARED = 0.2
"""More than this share of a variant's rod-hours where no other was: nothing can be said of them."""


@dataclass(frozen=True)
class _Pair:
    """What one dimension is looked at with: rows where it is logged, and the two variants."""

    rows: Coded
    variant: int
    reference: int

    def weights(self) -> tuple[Floats, Floats]:
        """Each row's part of the variant's rod-hours, and of the reference's."""
        hours, which = self.rows.hours, self.rows.variant
        one, other = hours * (which == self.variant), hours * (which == self.reference)
        return one / max(one.sum(), 1e-300), other / max(other.sum(), 1e-300)

    @property
    def enough(self) -> bool:
        session, which = self.rows.session, self.rows.variant
        return all(
            np.count_nonzero(np.bincount(session, which == code)) >= FEWEST_SESSIONS
            for code in (self.variant, self.reference)
        )


def confounded(stints: pd.DataFrame, reference: str, variant: str) -> list[Note]:
    """Notes on where the variant's rod-hours went against the reference's, worst first.

    By `month` (of a year), `venue`, `rod` and `water_temp_c`, each where it is logged. A
    category is named where the standardised difference of the two distributions of rod-hours is
    above 0.5, or more than 80 % of the variant's are in one level and the reference has at least
    20 points less there; water temperature where the means differ by more than 0.5 of its
    spread; and in both cases only where sessions dealt out at random would do it in fewer than
    5 % of logs, over all dimensions and variants of the frame together.

    Numbers: `by`; `difference` (None: they share no level at all); `level` with `share` and
    `reference_share` of the rod-hours (None for temperature); `mean` and `reference_mean` (None
    for categories); `constant_within_trips`; `unshared`, the share of the variant's rod-hours in
    levels that had no other variant; and `mix_ratio`, how many times as fast the variant would
    look by where it was fished alone, going by what all other variants caught there, with
    `mix_low` and `mix_high` as its 95 % limits. These are None where the others caught nothing,
    and where more than a fifth is unshared: then nothing can be said, and it is serious.
    """
    rows = coded(stints)
    pair = _Pair(rows, rows.code(variant), rows.code(reference))
    if pair.variant < 0 or pair.reference < 0 or pair.variant == pair.reference:
        return []
    days = days_of(stints)
    looked_at = {
        by: levels for by in CATEGORIES if (levels := _levels(stints, by, days)) is not None
    }
    temperature = _temperature(stints)
    dimensions = len(looked_at) + (temperature is not None)
    if not dimensions:
        return []
    chance = FAMILY_CHANCE / (dimensions * max(len(rows.variants) - 1, 1))
    found = [
        _by_category(pair, by, level, names, variant, chance, days)
        for by, (level, names) in looked_at.items()
    ]
    if temperature is not None:
        found.append(_by_temperature(pair, temperature, variant, chance))
    notes = [note for note in found if note is not None]
    notes.sort(key=lambda note: -abs(note.numbers["difference"] or np.inf))
    return list(order_notes(notes))


def _levels(stints: pd.DataFrame, by: str, days: np.ndarray) -> tuple[Integers, np.ndarray] | None:
    """Codes and names of a category, None where fewer than two are logged."""
    if by == "month":
        months = days.astype("datetime64[M]")
        names, level = np.unique(months, return_inverse=True)
        level = np.where(np.isnat(months), -1, level)
        names = names[~np.isnat(names)]
    elif by in stints.columns:
        level, names = codes(stints, by)
    else:
        return None
    return (level, names) if len(names) > 1 else None


def _temperature(stints: pd.DataFrame) -> Floats | None:
    if TEMPERATURE not in stints.columns or not pd.api.types.is_numeric_dtype(stints[TEMPERATURE]):
        return None
    values: Floats = stints[TEMPERATURE].to_numpy(dtype=np.float64, na_value=np.nan)
    known = values[np.isfinite(values)]
    return values if known.size and known.min() < known.max() else None


def _by_category(
    pair: _Pair,
    by: str,
    level: Integers,
    names: np.ndarray,
    variant: str,
    chance: float,
    days: np.ndarray,
) -> Note | None:
    known = level >= 0
    pair, level = _known(pair, level, known)
    if not pair.enough:
        return None
    one, other = pair.weights()
    shares = sums(level, one, len(names)), sums(level, other, len(names))
    difference = standardised_difference(*shares)
    most = int(np.argmax(shares[0] - shares[1]))
    share, reference_share = (min(1.0, float(one[most])) for one in shares)
    if not is_apart(difference, share, reference_share):
        return None
    contrast, session, where, constant = _contrast(pair, level, one - other)
    if not constant:
        test = chance_within(contrast, session, where)
    elif by == "month":
        day = np.zeros(int(pair.rows.session.max()) + 1)
        day[pair.rows.session] = days[known].astype(np.int64)
        # Two tests, one for a drift over the season and one for a single month.
        test = 2.0 * min(chance_of_time(contrast, day[session]), chance_between(contrast, where))
    else:
        test = chance_between(contrast, where)
    if test >= chance:
        return None
    numbers = {
        "by": by,
        "difference": difference,
        "level": plain(names[most]),
        "share": share,
        "reference_share": reference_share,
        "mean": None,
        "reference_mean": None,
        "constant_within_trips": constant,
    }
    return _note(variant, numbers, pair, level, shares)


def _note(
    variant: str,
    numbers: dict[str, Any],
    pair: _Pair,
    level: Integers,
    shares: tuple[Floats, Floats],
) -> Note:
    """The note, with what the variant's levels would do by themselves."""
    others = pair.rows.variant != pair.variant
    unshared = float(shares[0][sums(level, others, len(shares[0])) == 0].sum())
    nothing = unshared > MOST_UNSHARED
    mix = None if nothing else mix_ratio(pair.rows, pair.variant, level, *shares)
    numbers["unshared"] = unshared
    numbers["mix_ratio"], numbers["mix_low"], numbers["mix_high"] = mix or (None, None, None)
    severity = SERIOUS if nothing or numbers["difference"] is None else CAUTION
    return Note("confounded", variant, severity, numbers)


def _by_temperature(pair: _Pair, values: Floats, variant: str, chance: float) -> Note | None:
    pair, values = _known(pair, values, np.isfinite(values))
    if not pair.enough:
        return None
    one, other = pair.weights()
    difference = standardised_mean_difference(values, one, other)
    if difference is not None and abs(difference) <= FAR:
        return None
    session, taking_part = _sessions_of(pair)
    count = np.bincount(session)
    mean = sums(session, values) / np.maximum(count, 1)
    contrast = sums(session, one - other)
    if chance_of_slope(contrast[taking_part], mean[taking_part]) >= chance:
        return None
    warm = (values > np.median(mean[taking_part])).astype(np.int64)
    numbers = {
        "by": TEMPERATURE,
        "difference": difference,
        "level": None,
        "share": None,
        "reference_share": None,
        "mean": float(values @ one),
        "reference_mean": float(values @ other),
        "constant_within_trips": bool(np.allclose(values, mean[session])),
    }
    return _note(variant, numbers, pair, warm, (sums(warm, one, 2), sums(warm, other, 2)))


def mix_ratio(
    rows: Coded, variant: int, level: Integers, share: Floats, reference_share: Floats
) -> tuple[float, float, float] | None:
    """How many times as fast the levels of the variant were as those of the reference, with limits.

    Direct standardisation: the rates of all other variants by level, weighted by the two shares;
    each level counts with one fish at the average rate added. The 95 % limits take sessions as
    the units of chance (linearised, each residual over 1 less its part of the level's hours, as
    MacKinnon & White 1985, Journal of Econometrics 29:305-325, HC3; and that one fish's own
    Poisson variance in each level).
    None where no other variant caught anything.
    """
    others = rows.variant != variant
    level, session = level[others], rows.session[others]
    fish, hours = rows.fish[others], rows.hours[others]
    if not fish.sum():
        return None
    pseudo = hours.sum() / fish.sum()
    exposure = sums(level, hours, len(share)) + pseudo
    rate = (sums(level, fish, len(share)) + 1.0) / exposure
    one, other = share @ rate, reference_share @ rate
    # The derivative of the log ratio by the fish of each level.
    pull = (share / one - reference_share / other) / exposure
    cell = session * len(share) + level
    weight = 1.0 - sums(cell, hours)[cell] / exposure[level]
    of_session = sums(session, pull[level] * (fish - rate[level] * hours) / weight)
    spread = float(np.sqrt(of_session @ of_session + pull @ pull))
    mix, reach = float(one / other), float(np.exp(TWO_SIDED * spread))
    return mix, mix / reach, mix * reach


def _known(pair: _Pair, values: np.ndarray, kept: np.ndarray) -> tuple[_Pair, np.ndarray]:
    return replace(pair, rows=pair.rows.take(kept)), values[kept]


def _sessions_of(pair: _Pair) -> tuple[Integers, np.ndarray]:
    """Session codes, and which sessions had either of the two in the water."""
    session, which = pair.rows.session, pair.rows.variant
    either = (which == pair.variant) | (which == pair.reference)
    return session, np.bincount(session, either) > 0


def _contrast(
    pair: _Pair, level: Integers, weight: Floats
) -> tuple[Floats, Integers, Integers, bool]:
    """Contrasts of sessions, or of the levels of each session where one had several.

    Returns the contrasts with the session and the level of each, and whether a session had one
    level throughout.
    """
    session, taking_part = _sessions_of(pair)
    levels = int(level.max()) + 1
    cell = session * levels + level
    there = np.flatnonzero(np.bincount(cell) > 0)
    contrast = sums(cell, weight)[there]
    of_session, of_level = there // levels, there % levels
    kept = taking_part[of_session]
    of_session, of_level = of_session[kept], of_level[kept]
    constant = bool((np.bincount(of_session) <= 1).all())
    return contrast[kept], of_session, of_level, constant
