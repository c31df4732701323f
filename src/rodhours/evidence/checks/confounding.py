"""Did a variant's rod-hours go to other months, waters or rods than the reference's?

Few trips make such differences by chance, so a difference counts only where dealing the trips
out at random would seldom make it.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.evidence.checks.allocation import (
    FAMILY_CHANCE,
    Apart,
    Coded,
    chance_between,
    chance_of_time,
    chance_within,
    coded,
    codes,
    contrasts,
    days_of,
    far_apart,
    plain,
    sums,
)
from rodhours.evidence.result import CAUTION, SERIOUS, Note, order_notes
from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.evidence.trips import FEWEST_SESSIONS

CATEGORIES = ("month", "venue", "rod")
TWO_SIDED = 1.96
"""The normal quantile of 95 % limits."""
MOST_UNSHARED = 0.2
"""More than this share of a variant's rod-hours where no other was: nothing can be said of them."""


def confounded(stints: pd.DataFrame, reference: str, variant: str) -> list[Note]:
    """Notes on where the variant's rod-hours went against the reference's, worst first.

    By `month` (of a year), `venue` and `rod`, each where it is logged. Named where the standardised
    difference of the two distributions of rod-hours is above 0.5, or more than 80 % of the
    variant's are in one level and the reference has at least 20 points less there; and only where
    sessions dealt out at random would do it in fewer than 5 % of logs, over all dimensions and
    variants of the frame together.

    Numbers: `by`; `difference` (None: they share no level at all); `level` with `share` and
    `reference_share` of the rod-hours; `constant_within_trips`; `unshared`, the share of the
    variant's rod-hours in levels that had no other variant; and `mix_ratio`, how many times as
    fast the variant would look by where it was fished alone, going by what all other variants
    caught there, with `mix_low` and `mix_high` as its 95 % limits. These are None where the others
    caught nothing, and where more than a fifth is unshared: then nothing can be said, and it is
    serious.
    """
    rows = coded(stints)
    one, other = rows.code(variant), rows.code(reference)
    if one < 0 or other < 0 or one == other:
        return []
    days = days_of(stints)
    looked_at = {
        by: levels for by in CATEGORIES if (levels := _levels(stints, by, days)) is not None
    }
    notes = []
    for by, (level, names) in looked_at.items():
        known = level >= 0
        part, level = rows.take(known), level[known]
        mine = [part.variant == code for code in (one, other)]
        if any(len(np.unique(part.session[own])) < FEWEST_SESSIONS for own in mine):
            continue
        weights = part.weight(mine[0]), part.weight(mine[1])
        apart = far_apart(level, weights, len(names))
        if apart is None:
            continue
        day = days[known] if by == "month" else None
        chance, constant = _chance(part, level, weights, mine[0] | mine[1], day)
        if chance < FAMILY_CHANCE / (len(looked_at) * max(len(rows.variants) - 1, 1)):
            where = {"by": by, "level": plain(names[apart.level])}
            notes.append(_note(variant, where, constant, apart, part, level))
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


def _chance(
    rows: Coded,
    level: Integers,
    weights: tuple[Floats, Floats],
    either: np.ndarray,
    days: np.ndarray | None,
) -> tuple[float, bool]:
    """The chance of such a contrast, and whether each session of either had one level throughout.

    `days` are those of the rows where levels are months.
    """
    contrast, session, where = contrasts(rows.session, level, weights[0] - weights[1])
    kept = np.isin(session, rows.session[either])
    contrast, session, where = contrast[kept], session[kept], where[kept]
    if (np.bincount(session) > 1).any():
        return chance_within(contrast, session, where), False
    if days is None:
        return chance_between(contrast, where), True
    day = np.zeros(int(rows.session.max()) + 1)
    day[rows.session] = days.astype(np.int64)
    # Two tests, one for a drift over the season and one for a single month.
    return 2.0 * min(chance_of_time(contrast, day[session]), chance_between(contrast, where)), True


def _note(
    variant: str,
    where: dict[str, str],
    constant: bool,
    apart: Apart,
    rows: Coded,
    level: Integers,
) -> Note:
    """The note, with what the variant's levels would do by themselves."""
    one, (share, reference_share) = rows.code(variant), apart.shares
    unshared = float(share[sums(level, rows.variant != one, len(share)) == 0].sum())
    nothing = unshared > MOST_UNSHARED
    mix = None if nothing else mix_ratio(rows, one, level, share, reference_share)
    ratio, low, high = mix or (None, None, None)
    numbers = {
        "by": where["by"],
        "difference": apart.difference,
        "level": where["level"],
        "share": apart.share,
        "reference_share": apart.reference_share,
        "constant_within_trips": constant,
        "unshared": unshared,
        "mix_ratio": ratio,
        "mix_low": low,
        "mix_high": high,
    }
    severity = SERIOUS if nothing or apart.difference is None else CAUTION
    return Note("confounded", variant, severity, numbers)


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
