"""The words around this season beside earlier ones: heading, opening, caption, what changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.wording.numbers import (
    confidence_level,
    count,
    exists,
    has_lower,
    limits,
    limits_short,
    listed,
    ratio,
)

NO_CHANGE_TO_ASK = (
    "No bait was fished beside the reference both this season and before, so nothing can be said "
    "about a change."
)
NOT_LIKE_AGAINST_LIKE = (
    "One of the two rests on same trips and the other on all trips, so a difference may lie in "
    "that alone."
)
HOW_TO_READ = (
    "Ratios move from season to season by luck alone, since each season by itself knows little: a "
    "bait has changed only where both limits of its change lie on one side of 1. For one answer "
    "from several seasons together, compare on all of them."
)


def heading(changes: Sequence[Mapping[str, Any]], season: str) -> str:
    """Whether anything changed, as a finding; `changes` in the machine form."""
    moved = [one for one in changes if _changed(one)]
    if not changes:
        return f"{season} has no earlier season to be held against"
    if not moved:
        return f"What the baits do in {season} is not told apart from earlier seasons"
    better = [one["variant"] for one in moved if one["ratio_of_ratios"] > 1]
    worse = [one["variant"] for one in moved if one["ratio_of_ratios"] < 1]
    parts = []
    if better:
        parts.append(f"{listed(better)} did better in {season} than before")
    if worse:
        parts.append(f"{listed(worse)} did worse" + ("" if better else f" in {season} than before"))
    return ", ".join(parts)


def _changed(change: Mapping[str, Any]) -> bool:
    low, high = change["conf_low"], change["conf_high"]
    return bool((exists(low) and low > 1) or (exists(high) and high < 1))


def opening(seasons: Sequence[Mapping[str, Any]], undated: int) -> str:
    """What the seasons are, from the machine form, the oldest first."""
    *earlier, last = seasons
    parts = [
        f"{one['season']} ({count(one['total']['sessions'], 'trip')}, "
        f"{count(one['total']['fish'], 'fish')})"
        for one in earlier
    ]
    says = (
        f"This season is {last['season']}, with {count(last['total']['sessions'], 'trip')} and "
        f"{count(last['total']['fish'], 'fish')}; beside it {listed(parts)}."
    )
    if undated:
        says += f" {count(undated, 'trip').capitalize()} without a date belong to no season."
    return says


def change(one: Mapping[str, Any], reference: str) -> str:
    """One variant now and before, in a sentence."""
    now, before = one["now"], one["before"]
    if one["ratio_of_ratios"] is None:
        return (
            f"{one['variant']} against {reference}: {_times(now)} this season, {_times(before)} "
            "before; no figure for the change."
        )
    says = (
        f"{one['variant']} caught {ratio(now)} times as fast as {reference} this season and "
        f"{ratio(before)} times before: {ratio(one['ratio_of_ratios'])} times that, "
        f"{limits(one['conf_low'], one['conf_high'])}"
    )
    says += ", so it has changed." if _changed(one) else ", so no change can be told."
    return says if one["basis"] is not None else f"{says} {NOT_LIKE_AGAINST_LIKE}"


def _times(value: float | None) -> str:
    if not exists(value):
        return "no answer"
    return "no fish" if value == 0 else f"{ratio(value)} times"


def caption(reference: str, confidence: float) -> str:
    """Under the picture."""
    return (
        f"How many times as fast each bait caught as {reference}, season by season, the oldest on "
        f"top; each line is a {confidence_level(confidence)} interval from that season’s stints "
        "alone, the last season’s the thickest. An arrow means that the line goes on. Whether a "
        "bait changed is said beneath."
    )


def alt(reference: str, rows: Sequence[Mapping[str, Any]]) -> str:
    """What the picture shows; rows are those of the tidy frame that have an answer."""
    said = [
        f"{row['variant']} in {row['season']} "
        + (
            f"{ratio(row['estimate'])} times as fast as {reference} "
            f"({limits_short(row['conf_low'], row['conf_high'])})"
            if exists(row["estimate"]) or has_lower(row["conf_low"]) or exists(row["conf_high"])
            else "without an answer"
        )
        for row in rows
    ]
    return f"Rate ratios by season: {'; '.join(said)}."
