"""Did a variant's rod-hours go to other months, waters, rods or water than the reference's?

Few trips make such differences by chance, so a difference counts only where dealing the trips
out at random would seldom make it.
"""

from __future__ import annotations

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
    contrasts,
    days_of,
    far_apart,
    plain,
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


_Found = tuple[float, dict[str, Any], Integers, tuple[Floats, Floats]]
"""How often chance would put rod-hours so far apart, what is told of it, the level of each row (of
a number cold or warm), and the two shares by level."""


def confounded(stints: pd.DataFrame, reference: str, variant: str) -> list[Note]:
    """Notes on where the variant's rod-hours went against the reference's, worst first.

    By `month` (of a year), `venue`, `rod` and `water_temp_c`, each where it is logged. A category
    is named where the standardised difference of the two distributions of rod-hours is above 0.5,
    or more than 80 % of the variant's are in one level and the reference has at least 20 points
    less there; water temperature where the means differ by more than 0.5 of its spread; and only
    where sessions dealt out at random would do it in fewer than 5 % of logs, over all dimensions
    and variants of the frame together.

    Numbers: `by`; `difference` (None: they share no level at all); `level` with `share` and
    `reference_share` of the rod-hours (None for temperature); `mean` and `reference_mean` (None
    for categories); `constant_within_trips`; `unshared`, the share of the variant's rod-hours in
    levels that had no other variant; and `mix_ratio`, how many times as fast the variant would
    look by where it was fished alone, going by what all other variants caught there, with
    `mix_low` and `mix_high` as its 95 % limits. These are None where the others caught nothing,
    and where more than a fifth is unshared: then nothing can be said, and it is serious.
    """
    rows = coded(stints)
    one, other = rows.code(variant), rows.code(reference)
    if one < 0 or other < 0 or one == other:
        return []
    days = days_of(stints)
    looked_at = {
        by: levels
        for by in (*CATEGORIES, TEMPERATURE)
        if (levels := _levels(stints, by, days)) is not None
    }
    notes = []
    for by, (level, names) in looked_at.items():
        known = np.isfinite(level) if by == TEMPERATURE else level >= 0
        part, level = rows.take(known), level[known]
        mine = [part.variant == code for code in (one, other)]
        if any(len(np.unique(part.session[own])) < FEWEST_SESSIONS for own in mine):
            continue
        weights = part.weight(mine[0]), part.weight(mine[1])
        either = np.unique(part.session[mine[0] | mine[1]])
        if by == TEMPERATURE:
            found = _by_temperature(part, level, weights, either)
        else:
            day = days[known] if by == "month" else None
            found = _by_category(part, level, names, weights, either, day)
        allowed = FAMILY_CHANCE / (len(looked_at) * max(len(rows.variants) - 1, 1))
        if found is not None and found[0] < allowed:
            notes.append(_note(variant, by, found, part))
    notes.sort(key=lambda note: -abs(note.numbers["difference"] or np.inf))
    return list(order_notes(notes))


def _levels(
    stints: pd.DataFrame, by: str, days: np.ndarray
) -> tuple[np.ndarray, np.ndarray] | None:
    """Codes and names of a category, temperatures and their values; None for fewer than two."""
    if by == "month":
        months = days.astype("datetime64[M]")
        names, level = np.unique(months, return_inverse=True)
        level = np.where(np.isnat(months), -1, level)
        names = names[~np.isnat(names)]
    elif by not in stints.columns:
        return None
    elif by == TEMPERATURE:
        if not pd.api.types.is_numeric_dtype(stints[by]):
            return None
        level = stints[by].to_numpy(dtype=np.float64, na_value=np.nan)
        names = np.unique(level[np.isfinite(level)])
    else:
        level, names = codes(stints, by)
    return (level, names) if len(names) > 1 else None


def _by_category(
    rows: Coded,
    level: Integers,
    names: np.ndarray,
    weights: tuple[Floats, Floats],
    either: Integers,
    days: np.ndarray | None,
) -> _Found | None:
    """How far apart by level; `either` are the sessions of the two, `days` those of the rows where
    levels are months."""
    apart = far_apart(level, weights, len(names))
    if apart is None:
        return None
    contrast, session, where = contrasts(rows.session, level, weights[0] - weights[1])
    kept = np.isin(session, either)
    contrast, session, where = contrast[kept], session[kept], where[kept]
    constant = not (np.bincount(session) > 1).any()
    if not constant:
        chance = chance_within(contrast, session, where)
    else:
        chance = chance_between(contrast, where)
        if days is not None:
            day = np.zeros(int(rows.session.max()) + 1)
            day[rows.session] = days.astype(np.int64)
            # Two tests, one for a drift over the season and one for a single month.
            chance = 2.0 * min(chance_of_time(contrast, day[session]), chance)
    told = {
        "difference": apart.difference,
        "level": plain(names[apart.level]),
        "share": apart.share,
        "reference_share": apart.reference_share,
        "constant_within_trips": constant,
    }
    return chance, told, level, apart.shares


def _by_temperature(
    rows: Coded, values: Floats, weights: tuple[Floats, Floats], either: Integers
) -> _Found | None:
    """How far apart the temperatures are; `either` are the sessions of the two."""
    difference = standardised_mean_difference(values, *weights)
    if difference is not None and abs(difference) <= FAR:
        return None
    session = rows.session
    mean = sums(session, values) / np.maximum(np.bincount(session), 1)
    contrast = sums(session, weights[0] - weights[1])
    warm = (values > np.median(mean[either])).astype(np.int64)
    told = {
        "difference": difference,
        "mean": float(values @ weights[0]),
        "reference_mean": float(values @ weights[1]),
        "constant_within_trips": bool(np.allclose(values, mean[session])),
    }
    shares = sums(warm, weights[0], 2), sums(warm, weights[1], 2)
    return chance_of_slope(contrast[either], mean[either, None]), told, warm, shares


def _note(variant: str, by: str, found: _Found, rows: Coded) -> Note:
    """The note, with what the variant's levels would do by themselves."""
    _, told, level, (share, reference_share) = found
    one = rows.code(variant)
    others = sums(level, rows.variant != one, len(share))
    unshared = float(share[others == 0].sum())
    nothing = unshared > MOST_UNSHARED
    mix = None if nothing else mix_ratio(rows, one, level, share, reference_share)
    names = ("difference", "level", "share", "reference_share", "mean", "reference_mean")
    numbers = {"by": by, **dict.fromkeys(names), **told, "unshared": unshared}
    mixed = zip(("mix_ratio", "mix_low", "mix_high"), mix or (None,) * 3, strict=True)
    severity = SERIOUS if nothing or told["difference"] is None else CAUTION
    return Note("confounded", variant, severity, numbers | dict(mixed))


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
