"""Did the variants take turns on rods, on spots and by night? No same-trip answer sees that.

A rod or spot that catches twice the others does no harm while every variant gets its share of it.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.checks.allocation import (
    FAMILY_CHANCE,
    Coded,
    chance_within,
    coded,
    codes,
    contrasts,
    far_apart,
    plain,
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
    known = rod >= 0
    both = _both(rows.take(known), pair)
    if len(names) < 2 or both is None:
        return []
    rows, rod = rows.take(known), rod[known]
    session, which = rows.session, rows.variant
    cells = np.unique(session * len(names) + rod)
    several = np.bincount(cells // len(names)) >= 2
    kept = [own & several[session] for own in both]
    if len(np.unique(session[kept[0]])) < FEWEST_SESSIONS:
        return []
    weights = rows.weight(kept[0]), rows.weight(kept[1])
    apart = far_apart(rod, weights, len(names))
    if apart is None:
        return []
    there = np.isin(session, session[kept[0]])
    of = session[there], rod[there], (weights[0] - weights[1])[there]
    if chance_within(*(contrasts(*of))) >= allowed:
        return []
    on_it = rod == apart.level
    had = np.isin(session, session[on_it])
    ratio = rod_ratio(which[had], on_it[had], rows.hours[had], rows.fish[had])
    numbers = {"by": by, "level": plain(names[apart.level])}
    shares = apart.share, apart.reference_share
    return [_note("rods_not_rotated", pair[1], numbers, shares, ("level_ratio", ratio))]


def _both(rows: Coded, pair: tuple[str, str]) -> list[np.ndarray] | None:
    """The rows of the variant, and of the reference, in sessions that had both; None without."""
    other, one = (rows.code(name) for name in pair)
    if one < 0 or other < 0 or one == other:
        return None
    mine = [rows.variant == code for code in (one, other)]
    sessions = np.intersect1d(*(rows.session[own] for own in mine))
    return [own & np.isin(rows.session, sessions) for own in mine]


def _note(
    code: str,
    variant: str,
    numbers: dict[str, Any],
    shares: tuple[float, float],
    known_by: tuple[str, float | None],
) -> Note:
    """The note, with how fast the variant would look by such shares alone."""
    (share, reference_share), (name, ratio) = shares, known_by
    mix = None if ratio is None else (1 + share * (ratio - 1)) / (1 + reference_share * (ratio - 1))
    serious = ratio is not None and not 1 / TWICE < ratio < TWICE
    numbers |= {"share": share, "reference_share": reference_share, name: ratio, "mix_ratio": mix}
    return Note(code, variant, SERIOUS if serious else CAUTION, numbers)


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
    both = _both(rows, (reference, variant))
    if both is None or len(sessions := np.unique(rows.session[both[0]])) < FEWEST_SESSIONS:
        return []
    weights = [rows.weight(own) for own in both]
    shares = float(weights[0] @ night), float(weights[1] @ night)
    if abs(shares[0] - shares[1]) <= FAR:
        return []
    dark, all_hours = (
        [sums(rows.session, weight * part)[sessions] for weight in weights]
        for part in (night, np.ones(len(night)))
    )
    pull = dark[0] / all_hours[0] - dark[1] / all_hours[1]
    places = np.arange(len(pull))
    swapped = np.append(pull, -pull), np.tile(places, 2), np.repeat([0, 1], len(pull))
    if chance_within(*swapped) >= FAMILY_CHANCE / max(len(rows.variants) - 1, 1):
        return []
    there = np.isin(rows.session, sessions)
    of = rows.variant[there], night[there] > 0.5, rows.hours[there], rows.fish[there]
    return [_note("night_and_day", variant, {}, shares, ("night_ratio", rod_ratio(*of)))]
