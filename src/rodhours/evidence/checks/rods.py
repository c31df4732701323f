"""Did the variants take turns on rods, on spots and by night? No same-trip answer sees that.

A rod or spot that catches twice the others does no harm while every variant gets its share of it.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.evidence.checks.allocation import (
    FAMILY_CHANCE,
    Coded,
    chance_within,
    coded,
    codes,
    is_apart,
    plain,
    standardised_difference,
    sums,
)
from rodhours.evidence.darkness import NIGHT
from rodhours.evidence.result import CAUTION, SERIOUS, Note
from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.evidence.trips import FEWEST_SESSIONS

TWICE = 2.0
"""A rod or spot that catches this many times as fast as the others makes the matter serious."""
WITHIN_TRIPS = ("rod", "spot")
FAR = 0.2
"""Shares of darkness further apart than this are named."""


def rods_not_rotated(stints: pd.DataFrame, reference: str, variant: str) -> list[Note]:
    """Notes where the variant and the reference did not take turns on the rods, or the spots.

    Looks at the sessions that had both and at least two rods. The two are held to be on
    different rods where their rod-hours by rod have a standardised difference above 0.5, or more
    than 80 % of the variant's are on one rod and the reference has at least 20 points less
    there; and only where dealing the baits to the rods at random, trip by trip, would do it in
    fewer than 5 % of logs over all variants, rods and spots together. The same for spots.

    Numbers: `by` (rod or spot); `level`, which one, with `share` and `reference_share` of the
    rod-hours on those trips; `level_ratio`, how many times as fast that one caught as the others
    on the trips that had it, with the same variant on them (Mantel-Haenszel over variants; None
    where no variant was on both); `mix_ratio`, how many times as fast the variant would look by
    that alone (None likewise).
    """
    rows = coded(stints)
    logged = [by for by in WITHIN_TRIPS if by in stints.columns and stints[by].notna().any()]
    chance = FAMILY_CHANCE / max((len(rows.variants) - 1) * len(logged), 1)
    return [
        note
        for by in logged
        for note in _not_rotated(rows, by, codes(stints, by), (reference, variant), chance)
    ]


def _not_rotated(
    rows: Coded,
    by: str,
    levels: tuple[Integers, np.ndarray],
    pair: tuple[str, str],
    allowed: float,
) -> list[Note]:
    """The note about rods, or about spots, where chance would do it less often than `allowed`."""
    rod, names = levels
    reference, variant = pair
    one, other = rows.code(variant), rows.code(reference)
    if len(names) < 2 or one < 0 or other < 0 or one == other:
        return []
    known = rod >= 0
    rows, rod = rows.take(known), rod[known]
    session, which, hours, fish = rows.session, rows.variant, rows.hours, rows.fish
    cell = session * len(names) + rod
    both = _sessions_with_both(session, which, (one, other), cell, len(names))
    if both.sum() < FEWEST_SESSIONS:
        return []
    kept = both[session]
    weight_one, weight_other = (_part(hours, kept & (which == code)) for code in (one, other))
    share = sums(rod, weight_one, len(names))
    reference_share = sums(rod, weight_other, len(names))
    most = int(np.argmax(share - reference_share))
    there, there_reference = (min(1.0, float(one[most])) for one in (share, reference_share))
    if not is_apart(standardised_difference(share, reference_share), there, there_reference):
        return []
    cells = np.flatnonzero(np.bincount(cell[kept]))
    contrast = sums(cell[kept], (weight_one - weight_other)[kept])[cells]
    chance = chance_within(contrast, cells // len(names), cells % len(names))
    if chance >= allowed:
        return []
    had = (np.bincount(session, rod == most) > 0)[session]
    ratio = rod_ratio(which[had], (rod == most)[had], hours[had], fish[had])
    mix = None if ratio is None else (1 + there * (ratio - 1)) / (1 + there_reference * (ratio - 1))
    serious = ratio is not None and not 1 / TWICE < ratio < TWICE
    return [
        Note(
            "rods_not_rotated",
            variant,
            SERIOUS if serious else CAUTION,
            {
                "by": by,
                "level": plain(names[most]),
                "share": there,
                "reference_share": there_reference,
                "level_ratio": ratio,
                "mix_ratio": mix,
            },
        )
    ]


def _sessions_with_both(
    session: Integers, which: Integers, pair: tuple[int, int], cell: Integers, rods: int
) -> np.ndarray:
    """Which sessions had both variants in the water and at least two rods; a mask.

    `cell` numbers the rods of all sessions, `rods` to each.
    """
    rods_of = np.bincount(
        np.flatnonzero(np.bincount(cell)) // rods, minlength=int(session.max()) + 1
    )
    one, other = (np.bincount(session, which == code) > 0 for code in pair)
    return np.asarray(one & other & (rods_of >= 2))


def rod_ratio(variant: Integers, on_rod: np.ndarray, hours: Floats, fish: Floats) -> float | None:
    """How many times as fast one rod caught as the others, variant by variant.

    Mantel-Haenszel rate ratio with the variants as strata (Rothman & Greenland, Modern
    Epidemiology, chapter on stratified analysis): Σ y1 h0 / H over Σ y0 h1 / H. None where no
    variant was on that rod and on another, or where either side caught nothing.
    """
    strata = int(variant.max()) + 1
    y1 = sums(variant, fish * on_rod, strata)
    h1 = sums(variant, hours * on_rod, strata)
    y0 = sums(variant, fish * ~on_rod, strata)
    h0 = sums(variant, hours * ~on_rod, strata)
    total = np.maximum(h1 + h0, 1e-300)
    above, below = float(np.sum(y1 * h0 / total)), float(np.sum(y0 * h1 / total))
    return above / below if above > 0 and below > 0 else None


def _part(hours: Floats, mine: np.ndarray) -> Floats:
    own = hours * mine
    return np.asarray(own / own.sum())


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
    rows, night = coded(stints).take(known), night[known]
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
