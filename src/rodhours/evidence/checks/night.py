"""Was a bait fished more by night than the reference on the same trips?"""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.evidence.checks.allocation import FAMILY_CHANCE, chance_within, coded, sums
from rodhours.evidence.checks.rods import TWICE, rod_ratio
from rodhours.evidence.darkness import NIGHT
from rodhours.evidence.result import CAUTION, SERIOUS, Note
from rodhours.evidence.trips import FEWEST_SESSIONS

FAR = 0.2
"""Shares of darkness further apart than this are named."""


def night_and_day(stints: pd.DataFrame, reference: str, variant: str) -> list[Note]:
    """A note where the variant had more, or less, darkness than the reference on the same trips.

    Looks at the sessions that had both, and at stints whose share of darkness (`night`) is known.
    Named where the shares of their rod-hours in darkness differ by more than 0.2, and only where
    swapping the two trip by trip at random would do it in fewer than 5 % of logs over all
    variants. Numbers: `share` and `reference_share` of the rod-hours in darkness; `night_ratio`,
    how many times as fast stints mostly in darkness caught as the others with the same variant
    (Mantel-Haenszel over variants; None where none had both); `mix_ratio`, how many times as fast
    the variant would look by that alone.
    """
    if NIGHT not in stints.columns:
        return []
    night = stints[NIGHT].to_numpy(dtype=np.float64)
    known = np.isfinite(night)
    rows, night = coded(stints[known]), night[known]
    one, other = rows.code(variant), rows.code(reference)
    if one < 0 or other < 0 or one == other:
        return []
    had = [np.bincount(rows.session, rows.variant == code) > 0 for code in (one, other)]
    both = (had[0] & had[1])[rows.session]
    if len(np.unique(rows.session[both])) < FEWEST_SESSIONS:
        return []
    weights = [rows.hours * (both & (rows.variant == code)) for code in (one, other)]
    share, reference_share = (float(part @ night / part.sum()) for part in weights)
    if abs(share - reference_share) <= FAR:
        return []
    count = int(rows.session.max()) + 1
    dark = [
        sums(rows.session, part * night, count) / np.maximum(sums(rows.session, part), 1e-300)
        for part in weights
    ]
    pull = (dark[0] - dark[1])[np.unique(rows.session[both])]
    levels = np.tile([0, 1], len(pull))
    chance = chance_within(
        np.column_stack((pull, -pull)).ravel(), np.repeat(np.arange(len(pull)), 2), levels
    )
    if chance >= FAMILY_CHANCE / max(len(rows.variants) - 1, 1):
        return []
    ratio = rod_ratio(rows.variant[both], night[both] > 0.5, rows.hours[both], rows.fish[both])
    mix = None if ratio is None else (1 + share * (ratio - 1)) / (1 + reference_share * (ratio - 1))
    serious = ratio is not None and not 1 / TWICE < ratio < TWICE
    numbers = {
        "share": share,
        "reference_share": reference_share,
        "night_ratio": ratio,
        "mix_ratio": mix,
    }
    return [Note("night_and_day", variant, SERIOUS if serious else CAUTION, numbers)]
