"""The first screen of the season page: question, answer, what it rests on, what settles it."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.evidence.results import ALL_TRIPS, ComparisonResult
from rodhours.planning.next_season import NextSeason, VariantPlan
from rodhours.simulate.grounds import LOG
from rodhours.words.answer import MOST_NAMED
from rodhours.words.numbers import count, hours, listed, number, the_count, times, word
from rodhours.words.planning_hours import chances

MOST_SEASONS = 20
"""More seasons than these are not counted."""
WHAT_LIMITS = "What limits it most."
WHAT_SETTLES = "What would settle it."


def question(result: ComparisonResult) -> str:
    """What the page answers: `How did pellet-20 catch against plain?`"""
    if not result.comparisons:
        return "What does this trip log say?"
    who = _named_or_counted([one.variant for one in result.comparisons])
    return f"How did {who} catch against {result.reference}?"


def _named_or_counted(names: Sequence[str]) -> str:
    return listed(names) if len(names) <= MOST_NAMED else f"{word(len(names))} baits"


def rest_on(result: ComparisonResult) -> str:
    """What several answers rest on: fish, rod-hours, trips, how many had both in the water.

    Counted are the reference and the baits whose answers have the better basis: the same trips,
    where there are such answers, else all trips.
    """
    reference = result.reference
    same = [one for one in result.comparisons if one.basis != ALL_TRIPS]
    told = same or list(result.comparisons)
    first = told[0]
    fish = first.reference_fish + sum(one.fish for one in told)
    spent = first.reference_rod_hours + sum(one.rod_hours for one in told)
    text = f"This rests on {count(fish, 'fish')} in {hours(spent)} on "
    if same:
        text += (
            f"{the_count(first.sessions, 'trip')} that had two or more of the compared baits "
            "in the water. "
        )
    else:
        text += f"{count(first.sessions, 'trip')}, all there are, which cannot tell bait from day. "
    shared = {one.variant: one.shared_sessions for one in told}
    fewest, most = min(shared.values()), max(shared.values())
    if len(shared) > MOST_NAMED and fewest < most:
        text += f"{reference} was beside each other bait on {fewest:,} to {most:,} of them."
    elif len(shared) > MOST_NAMED:
        text += f"{reference} was beside each other bait on {_number(most)} of them."
    else:
        each = listed(f"{name} on {_number(trips)}" for name, trips in shared.items())
        text += f"Beside {reference} was {each} of them."
    alone = [one.variant for one in result.comparisons if one.basis == ALL_TRIPS]
    if same and alone:
        text += (
            f" The answer for {_named_or_counted(alone)} comes from all trips, which cannot tell "
            "bait from day."
        )
    return text


def _number(trips: int) -> str:
    return f"{trips:,}" if trips else "none"


def to_settle(one: VariantPlan, plan: NextSeason) -> str | None:
    """What to do to settle it, and how far that goes, from `plan next`; None without a figure.

    `Fish pellet-20 and plain, and nothing else, side by side on every trip. One more season of that
    ...`: one season leads, since it is what anybody can fish; the hours for the ratio of interest
    follow, to two figures, since more would be made up.
    """
    reference, season, trips = plan.reference, plan.grounds.season_trips, one.trips_to_go_alone
    each_trip, shows = plan.grounds.rod_hours, one.season_shows_alone
    if (trips is None and shows is None) or not each_trip:
        return None
    only = ", and nothing else," if len(plan.sharing) > 2 else ""
    odds = chances(plan.power)
    interest = f"one truly catches {times(plan.ratio)} as fast as the other"
    said = f"Fish {one.variant} and {reference}{only} side by side on every trip. "
    if trips == 0:
        said += (
            f"If {interest}, the trips so far should mostly have settled it: look again as you go "
            "on."
        )
    elif trips is not None and trips <= season:
        said += (
            f"About {_about(trips * each_trip)} rod-hours of that ({count(trips, 'trip')}) have "
            f"{odds} of settling it, if {interest}."
        )
    elif shows is None:
        said += f"If {interest}, that takes {_how_long(trips, each_trip, season)}."
    else:
        said += (
            f"One more season of that ({count(season, 'trip')}) has {odds} of settling it, if "
            f"one truly catches {times(shows)} as fast as the other; for {times(plan.ratio)} "
            f"it takes {_how_long(trips, each_trip, season)}."
        )
    if plan.grounds.source == LOG:
        return f"{said} That is by formula, and supposes that fish come as they did in this log."
    return f"{said} That is by formula and on stand-in figures, since this log holds too little."


def _about(rod_hours: float) -> str:
    return number(float(f"{rod_hours:.2g}"))


def _how_long(trips: int | None, each_trip: float, season: int) -> str:
    """Rod-hours, trips and seasons, or that nobody fishes so many."""
    if trips is None:
        return "more trips than anybody fishes"
    seasons = round(trips / season)
    such = f", {word(seasons)} such seasons" if seasons > 1 else ""
    if seasons > MOST_SEASONS:
        such = ", more seasons than anybody has"
    return f"about {_about(trips * each_trip)} rod-hours ({count(trips, 'trip')}{such})"
