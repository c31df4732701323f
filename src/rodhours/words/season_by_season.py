"""The words around this season beside earlier ones: heading, opening, caption, what changed."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.evidence.results import Comparison
from rodhours.evidence.season_by_season import Change, SeasonBySeason
from rodhours.words.numbers import (
    confidence_level,
    count,
    exists,
    has_lower,
    limits,
    limits_short,
    listed,
    ratio,
    times,
)
from rodhours.words.parts import alternative

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


def sentences(result: SeasonBySeason) -> list[str]:
    """What the seasons are, what changed of each variant, and how to read that."""
    return [f"{heading(result)}.", opening(result), *beneath(result)]


def heading(result: SeasonBySeason) -> str:
    """Whether anything changed, as a finding."""
    season = result.seasons[-1].season
    moved = {one.variant: one.ratio_of_ratios or 0 for one in result.changes if one.changed}
    if not result.changes:
        return f"{season} has no earlier season to be held against"
    if not moved:
        return f"What the baits do in {season} is not told apart from earlier seasons"
    said = [
        f"{listed(names)} did {how}"
        for how, names in (
            ("better", [variant for variant, change in moved.items() if change > 1]),
            ("worse", [variant for variant, change in moved.items() if change < 1]),
        )
        if names
    ]
    return f"{listed(said)} in {season} than before"


def opening(result: SeasonBySeason) -> str:
    """What the seasons are, the oldest first."""
    *earlier, last = result.seasons
    parts = [
        f"{one.season} ({count(one.total.sessions, 'trip')}, {count(one.total.fish, 'fish')})"
        for one in earlier
    ]
    text = (
        f"This season is {last.season}, with {count(last.total.sessions, 'trip')} and "
        f"{count(last.total.fish, 'fish')}; beside it {listed(parts)}."
    )
    if result.undated_sessions:
        undated = count(result.undated_sessions, "trip").capitalize()
        text += f" {undated} without a date belong to no season."
    return text


def beneath(result: SeasonBySeason) -> list[str]:
    """What changed of each variant, and how to read that."""
    changes = [_change(one, result.reference) for one in result.changes]
    return [*(changes or [NO_CHANGE_TO_ASK]), HOW_TO_READ]


def _change(one: Change, reference: str) -> str:
    """One variant now and before, in a sentence."""
    if one.ratio_of_ratios is None:
        return (
            f"{one.variant} against {reference}: {times(one.now)} this season, "
            f"{times(one.before)} before; no figure for the change."
        )
    text = (
        f"{one.variant} caught {ratio(one.now)} times as fast as {reference} this season and "
        f"{ratio(one.before)} times before: {ratio(one.ratio_of_ratios)} times that, "
        f"{limits(one.conf_low, one.conf_high)}, so "
        f"{'it has changed' if one.changed else 'no change can be told'}."
    )
    return text if one.basis is not None else f"{text} {NOT_LIKE_AGAINST_LIKE}"


def caption(result: SeasonBySeason) -> str:
    """Under the picture."""
    helped = any(note.code == "earlier_seasons" for note in result.notes)
    alone = "(one of few trips takes how uneven trips are from those before it too)"
    return (
        f"How many times as fast each bait caught as {result.reference}, season by season, the "
        f"oldest on top; each line is a {confidence_level(result.confidence)} interval from that "
        f"season’s stints {alone if helped else 'alone'}, the last season’s the "
        "thickest. An arrow means that the line goes on. Whether a bait changed is said beneath."
    )


def alt(reference: str, answers: Sequence[tuple[str, Comparison]]) -> str:
    """What the picture shows: each answer with the season that it is of."""
    parts = [
        f"{one.variant} in {season} "
        + (
            f"{ratio(one.rate_ratio)} times as fast as {reference} "
            f"({limits_short(one.conf_low, one.conf_high)})"
            if exists(one.rate_ratio) or has_lower(one.conf_low) or exists(one.conf_high)
            else "without an answer"
        )
        for season, one in answers
    ]
    return alternative("Rate ratios by season", parts)
