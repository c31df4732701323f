"""This season beside earlier ones: the same question asked of each season by itself.

A season of another year has other weather and other fish, so ratios are never pooled here (earlier
seasons tell a short one how uneven trips are, no more); what changed between them is asked of the
ratios, within which both baits met the same season.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from typing import Any, ClassVar

import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.compare import compare
from rodhours.evidence.dates import season_names
from rodhours.evidence.earlier import with_earlier
from rodhours.evidence.result import Result
from rodhours.evidence.results import Comparison, RateRow
from rodhours.evidence.stints import DERIVED
from rodhours.evidence.summary import summarise


@dataclass(frozen=True)
class OneSeason:
    """One season's own answer; `comparisons` is empty where it had nothing to compare."""

    season: str
    first: str
    last: str
    rates: tuple[RateRow, ...]
    total: RateRow
    comparisons: tuple[Comparison, ...]


@dataclass(frozen=True)
class Change:
    """A variant's ratio this season against its ratio in the earlier seasons together.

    `ratio_of_ratios` above 1: further ahead of the reference now than before. None where one of
    the two has no figure; a limit is None where one that it needs does not exist. `basis` is
    that of both, None where they differ and so are no like against like.
    """

    variant: str
    now: float | None
    before: float | None
    basis: str | None
    ratio_of_ratios: float | None
    conf_low: float | None
    conf_high: float | None

    @property
    def changed(self) -> bool:
        """Whether both limits lie on one side of 1."""
        low, high = self.conf_low, self.conf_high
        return (low is not None and low > 1) or (high is not None and high < 1)


@dataclass(frozen=True, kw_only=True, repr=False)
class SeasonBySeason(Result):
    """The seasons of a log, oldest first; the last one is this season."""

    reference: str
    confidence: float
    seasons: tuple[OneSeason, ...]
    changes: tuple[Change, ...]
    undated_sessions: int

    ROWS: ClassVar[str] = "seasons"
    KEYS: ClassVar[tuple[str, ...]] = (
        "reference",
        "confidence",
        "seasons",
        "changes",
        "undated_sessions",
    )

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame, one row a season and variant.

        Columns: season, variant, sessions, blanks, rod_hours, fish, per_100_rod_hours, basis,
        rate_ratio, conf_low, conf_high, verdict; the last five are those of the rate ratio,
        missing for the reference and where a season has no answer.
        """
        counts = ("sessions", "blanks", "rod_hours", "fish", "per_100_rod_hours")
        ratio = ("basis", "rate_ratio", "conf_low", "conf_high", "verdict")
        rows: list[dict[str, Any]] = []
        for one in self.seasons:
            answers = {answer.variant: answer for answer in one.comparisons}
            for rate in one.rates:
                row = {"season": one.season, "variant": rate.group}
                row |= {name: getattr(rate, name) for name in counts}
                answer = answers.get(rate.group)
                rows.append(row | {name: getattr(answer, name, None) for name in ratio})
        return pd.DataFrame(rows)


def season_by_season(
    stints: pd.DataFrame,
    reference: str,
    *,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    margin: float = 1.25,
    starts: tuple[int, int] = (1, 1),
) -> SeasonBySeason:
    """Compare the variants of each season, and this season's ratios with the earlier ones'.

    `stints` is the stint frame of all seasons, with `date`; stints without a date are counted in
    `undated_sessions` and belong to no season. `starts` is the month and day on which a season
    starts. Each season's intervals hold for all its variants together; those of the changes hold
    for all changes together. A change's interval is made from the two ratios' own limits by the
    method of variance estimates recovery (Zou & Donner 2008, Statistics in Medicine
    27:1693-1702), on the log scale. Raises UsageError where fewer than two seasons have a date.
    """
    names = season_names(stints["date"], starts)
    known = sorted(names.dropna().unique())
    if len(known) < 2:
        raise UsageError(
            "There is no earlier season to compare with: the dates of the log lie within "
            f"{known[0] if known else 'no season at all'}."
        )
    options: dict[str, Any] = {"confidence": confidence, "margin": margin, "checks": False}
    seasons, notes = [], []
    for place, name in enumerate(known):
        own, earlier = stints[names == name], stints[names.isin(known[:place])]
        comparisons: tuple[Comparison, ...] = ()
        if _can_compare(own, reference):
            rows = with_earlier(own, earlier)
            found = compare(rows, reference, adjust=_there(own, adjust), **options)
            comparisons = found.comparisons
            notes += [note for note in found.notes if note.code == "earlier_seasons"]
        days = own["date"].dt.strftime("%Y-%m-%d")
        rates = summarise(own, "variant", confidence)
        part = days.min(), days.max(), rates.rows, rates.total, comparisons
        seasons.append(OneSeason(name, *part))
    trip = [name for name in ("session", "angler") if name in stints]
    now, before = names == known[-1], names.notna() & (names != known[-1])
    return SeasonBySeason(
        reference=reference,
        confidence=confidence,
        seasons=tuple(seasons),
        notes=tuple(notes),
        changes=_changes(stints[now], stints[before], reference, adjust, confidence),
        undated_sessions=len(stints.loc[names.isna(), trip].drop_duplicates()),
    )


def _can_compare(stints: pd.DataFrame, reference: str) -> bool:
    fished = set(stints["variant"])
    return reference in fished and len(fished) > 1


def _there(stints: pd.DataFrame, adjust: Sequence[str]) -> tuple[str, ...]:
    """Those columns to adjust for that were filled in for these stints at all."""
    return tuple(one for one in adjust if one in DERIVED or stints[one].notna().any())


def _changes(
    now: pd.DataFrame,
    before: pd.DataFrame,
    reference: str,
    adjust: Sequence[str],
    confidence: float,
) -> tuple[Change, ...]:
    if not (_can_compare(now, reference) and _can_compare(before, reference)):
        return ()
    shared = (set(now["variant"]) & set(before["variant"])) - {reference}
    if not shared:
        return ()
    # Limits of single ratios at this confidence, so that all changes hold together (Bonferroni).
    each = 1 - (1 - confidence) / len(shared)
    answers = []
    for part in (now, before):
        fit: dict[str, Any] = {"adjust": _there(part, adjust), "confidence": each}
        found = compare(part, reference, checks=False, **fit).comparisons
        answers.append({one.variant: one for one in found})
    changes = []
    for variant in sorted(shared):
        one, other = (found[variant] for found in answers)
        limits = ratio_of_ratios_limits(
            (one.rate_ratio, one.alone.conf_low, one.alone.conf_high),
            (other.rate_ratio, other.alone.conf_low, other.alone.conf_high),
        )
        basis = one.basis if one.basis == other.basis else None
        change = one.rate_ratio / other.rate_ratio if one.rate_ratio and other.rate_ratio else None
        changes.append(Change(variant, one.rate_ratio, other.rate_ratio, basis, change, *limits))
    return tuple(changes)


Limited = tuple[float | None, float | None, float | None]
"""A ratio with its lower and its upper limit."""


def ratio_of_ratios_limits(one: Limited, other: Limited) -> tuple[float | None, float | None]:
    """Limits of `one / other` from the limits of each, on the log scale.

    With d = log one - log other: d - sqrt((log one - log its lower)^2 + (log other's upper - log
    other)^2) below, and the like above (Zou & Donner 2008, equation 3). With limits that lie
    evenly about their estimates this is the usual interval of a difference. None where a figure
    that the limit needs does not exist, or is 0.
    """
    (estimate, low, high), (against, low_against, high_against) = one, other
    if not estimate or not against:
        return None, None
    difference = log(estimate / against)
    down = _reach(estimate, low), _reach(against, high_against)
    up = _reach(estimate, high), _reach(against, low_against)
    ends = [
        None if one is None or other is None else exp(difference + sign * sqrt(one**2 + other**2))
        for sign, (one, other) in ((-1, down), (1, up))
    ]
    return ends[0], ends[1]


def _reach(estimate: float, limit: float | None) -> float | None:
    return abs(log(limit / estimate)) if limit else None
