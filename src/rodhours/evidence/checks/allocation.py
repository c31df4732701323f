"""Where two variants' rod-hours went: shares of levels, how far apart, and what chance does.

Levels are months, waters, rods. Sessions are the units of chance: a day is drawn once for all
rods out on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from scipy.special import betainc, gammaincc

from rodhours.evidence.dates import dates_of
from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.evidence.stints import session_codes

FAR = 0.5
"""A standardised difference above this is far apart."""
MOSTLY, CLEARLY_LESS = 0.8, 0.2
"""A variant is mostly in one level where it has more than the first share of its rod-hours there
and the reference's share is less by the second."""
FEWEST_IN_LEVEL = 3
YEAR = 365.25
FAMILY_CHANCE = 0.05
"""How often a log without any pattern may be named, over all that is looked at together."""


@dataclass(frozen=True)
class Coded:
    """A frame of stints as codes, one entry a row; `variant` is an index into `variants`."""

    session: Integers
    variant: Integers
    variants: tuple[str, ...]
    hours: Floats
    fish: Floats

    def take(self, kept: np.ndarray) -> Coded:
        """The rows of a mask."""
        own = self.session[kept], self.variant[kept], self.hours[kept], self.fish[kept]
        return Coded(*own[:2], self.variants, *own[2:])

    def weight(self, mine: np.ndarray) -> Floats:
        """Each row's part of the rod-hours of the rows of a mask; (rows,)."""
        own = self.hours * mine
        return np.asarray(own / own.sum())

    def code(self, name: str) -> int:
        """The code of a variant, -1 where it is not in the rows."""
        return self.variants.index(name) if name in self.variants else -1


def coded(stints: pd.DataFrame) -> Coded:
    """Sessions (by angler and session), variants, hours and fish of a checked frame."""
    variant, variants = codes(stints, "variant")
    return Coded(
        session_codes(stints),
        variant,
        tuple(str(one) for one in variants),
        stints["hours"].to_numpy(dtype=np.float64),
        stints["fish"].to_numpy(dtype=np.float64),
    )


def codes(stints: pd.DataFrame, column: str) -> tuple[Integers, np.ndarray]:
    """Codes of a column (-1 where nothing is logged) and the values they stand for."""
    found, values = pd.factorize(stints[column].to_numpy(dtype=object))
    return np.asarray(found, dtype=np.int64), np.asarray(values)


def days_of(stints: pd.DataFrame) -> np.ndarray:
    """The day of each row as datetime64[D], NaT where it is not logged or no date."""
    return np.asarray(dates_of(stints).to_numpy().astype("datetime64[D]"))


def sums(level: Integers, weights: np.ndarray, levels: int = 0) -> Floats:
    """Sums of `weights` by level, (levels,) or as many as there are."""
    return np.asarray(np.bincount(level, weights, levels), dtype=np.float64)


def standardised_difference(one: Floats, other: Floats) -> float | None:
    """How far apart two distributions over the same levels are; None where they share none.

    `one` and `other` (levels,) are shares that sum to 1. The Mahalanobis distance of the shares
    with the mean of the two multinomial covariances (Yang & Dalton 2012, SAS Global Forum, paper
    335); for two levels it is the usual standardised difference of proportions. With
    Q = Σ (p − q)² / ((p + q) / 2) the inverse has the closed form Q / (1 − Q/4).
    """
    both = one + other > 0
    gap, middle = (one - other)[both], 0.5 * (one + other)[both]
    q = float(np.sum(gap * gap / middle))
    return None if q > 4.0 - 1e-9 else float(np.sqrt(q / (1.0 - q / 4.0)))


def standardised_mean_difference(values: Floats, one: Floats, other: Floats) -> float | None:
    """Difference of two weighted means over the root mean of the two weighted variances.

    `one` and `other` are the weights of `values`. None where neither spreads but they differ.
    """
    mean_one, mean_other = np.average(values, weights=one), np.average(values, weights=other)
    variance = 0.5 * (
        np.average((values - mean_one) ** 2, weights=one)
        + np.average((values - mean_other) ** 2, weights=other)
    )
    gap = float(mean_one - mean_other)
    if variance <= 0:
        return None if gap else 0.0
    return gap / float(np.sqrt(variance))


@dataclass(frozen=True)
class Apart:
    """Two variants far apart: the level where they differ most, and the shares there and in all."""

    difference: float | None
    level: int
    share: float
    reference_share: float
    shares: tuple[Floats, Floats]


def far_apart(level: Integers, weights: tuple[Floats, Floats], levels: int) -> Apart | None:
    """How far apart two variants' rod-hours lie by level, by the weights of the rows, which add up
    to 1 for each; None where they do not: by the difference, or nearly all in one level."""
    one, other = (sums(level, weight, levels) for weight in weights)
    difference = standardised_difference(one, other)
    most = int(np.argmax(one - other))
    share, reference_share = (min(1.0, float(shares[most])) for shares in (one, other))
    if not is_apart(difference, share, reference_share):
        return None
    return Apart(difference, most, share, reference_share, (one, other))


def is_apart(difference: float | None, share: float, reference_share: float) -> bool:
    """Whether shares are far apart: by the difference, or nearly all in one level."""
    far = difference is None or difference > FAR
    return far or (share > MOSTLY and reference_share < share - CLEARLY_LESS)


def contrasts(
    session: Integers, level: Integers, weight: Floats
) -> tuple[Floats, Integers, Integers]:
    """Sums of `weight` for each level of each session that was fished, with session and level."""
    levels = int(level.max()) + 1
    cell = session * levels + level
    there = np.flatnonzero(np.bincount(cell))
    return sums(cell, weight)[there], there // levels, there % levels


def chance_between(contrast: Floats, level: Integers) -> float:
    """The chance that sessions dealt out at random differ so much by level; 1 where none can.

    `contrast` (sessions,) is the part of the variant's rod-hours that a session had less the
    reference's, `level` (sessions,) its level. The F test of a one-way analysis of variance:
    dealt at random over the sessions, its R² has mean (k − 1) / (G − 1), that of the beta
    distribution used. Levels of fewer than 3 sessions are taken together.
    """
    sessions = np.bincount(level)
    rare = sessions < FEWEST_IN_LEVEL
    if rare.any():
        level = np.where(rare[level], len(sessions), level)
        sessions = np.bincount(level)
    k, units = int((sessions > 0).sum()), len(contrast)
    centred = contrast - contrast.mean()
    total = float(centred @ centred)
    if k < 2 or units <= k or total <= 1e-12:
        return 1.0
    by_level = sums(level, centred)
    between = float(np.sum(by_level**2 / np.maximum(sessions, 1)))
    return _beta_tail(between / total, k - 1, units - k)


def chance_of_time(contrast: Floats, days: Floats) -> float:
    """The same for the day of each session: a straight line and a yearly wave.

    Months are too many for the trips of a season to be held apart one by one.
    """
    angle = 2.0 * np.pi * days / YEAR
    return chance_of_slope(contrast, np.column_stack((days, np.sin(angle), np.cos(angle))))


def chance_of_slope(contrast: Floats, columns: Floats) -> float:
    """The same for numbers of each session, (sessions, k): the F test of a line in them."""
    y = contrast - contrast.mean()
    x = columns - columns.mean(axis=0)
    x = x / np.maximum(np.sqrt(np.einsum("ij,ij->j", x, x)), 1e-300)
    values, vectors = np.linalg.eigh(x.T @ x)
    kept = values > 1e-9
    total, rest = float(y @ y), len(y) - 1 - int(kept.sum())
    if rest < 1 or not kept.any() or total <= 1e-12:
        return 1.0
    turned = vectors[:, kept].T @ (x.T @ y)
    return _beta_tail(float(np.sum(turned**2 / values[kept])) / total, int(kept.sum()), rest)


def _beta_tail(r_squared: float, model_df: int, rest_df: int) -> float:
    rest = min(max(1.0 - r_squared, 0.0), 1.0)
    return float(betainc(rest_df / 2.0, model_df / 2.0, rest))


def chance_within(contrast: Floats, session: Integers, level: Integers) -> float:
    """The chance that variants dealt out at random within each session differ so much by level.

    One entry for each level of each session that was fished: `contrast` as above, of that level.
    Within a session the contrasts are dealt over its levels; mean and covariance of the sums by
    level are exact, their quadratic form is held against chi-square.
    """
    sessions, levels = int(session.max()) + 1, int(level.max()) + 1
    count = np.bincount(session, minlength=sessions).astype(np.float64)
    centred = contrast - (sums(session, contrast, sessions) / np.maximum(count, 1))[session]
    spread = sums(session, centred**2, sessions) / np.maximum(count - 1, 1)
    by_level = sums(level, centred, levels)
    there = np.zeros((sessions, levels))
    there[session, level] = 1.0
    weight = np.where(count > 1, spread, 0.0)
    covariance = np.diag(weight @ there) - (there.T * (weight / np.maximum(count, 1))) @ there
    values, vectors = np.linalg.eigh(covariance)
    kept = values > 1e-9 * max(float(values[-1]), 1e-300)
    if not kept.any() or values[-1] <= 1e-12:
        return 1.0
    turned = vectors[:, kept].T @ by_level
    statistic = float(np.sum(turned**2 / values[kept]))
    return float(gammaincc(int(kept.sum()) / 2.0, statistic / 2.0))


def plain(value: Any) -> Any:
    """A level's value as text for a reader: rod 2.0 is rod 2."""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
