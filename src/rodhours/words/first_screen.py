"""The first screen of the season page: question, answer, what it rests on, what settles it."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.evidence.results import ALL_TRIPS, ComparisonResult
from rodhours.planning.next_season import NextSeason
from rodhours.simulate.grounds import LOG
from rodhours.words.answer import MOST_NAMED
from rodhours.words.numbers import count, hours, listed, number, the_count, times, word
from rodhours.words.planning_hours import chances, roughly

_NOBODY = "more trips than anybody fishes"
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


def to_settle(plan: NextSeason) -> str | None:
    """What to do to settle it, and how far that goes, from `plan next`; None without a figure.

    `Fish pellet-20 and plain side by side on every trip. One more season of that ...`: one season
    leads, since it is what anybody can fish; the hours for the ratio of interest follow, to two
    figures, since more would be made up.
    """
    one, each_trip, season = plan.first, plan.grounds.rod_hours, plan.grounds.season_trips
    if not each_trip or (one is None and len(plan.sharing) < 2):
        return None
    together = "by turns" if plan.grounds.rods == 1 else "side by side"
    said = f"Fish {listed(plan.sharing)} {together} on every trip. "
    odds, about = chances(plan.power), roughly(plan.grounds)
    if one is None:
        return f"{said}If one truly catches {times(plan.ratio)} as fast, that takes {_NOBODY}."

    def if_it(fast: float) -> str:
        return f"if {one.variant} truly catches {times(fast)} as fast as {plan.reference}"

    trips, shows = one.trips_to_go or 0, one.season_shows
    long = _how_long(trips, each_trip, season, about)
    if not trips:
        said += f"The trips so far should mostly have settled it, {if_it(plan.ratio)}: look again."
    elif trips <= season:
        said += (
            f"{about.capitalize()} {_about(trips * each_trip)} rod-hours of that "
            f"({count(trips, 'trip')}) have {odds} of settling it, {if_it(plan.ratio)}."
        )
    elif shows is None:
        said += f"That takes {long}, {if_it(plan.ratio)}."
    else:
        said += (
            f"One more season of that ({count(season, 'trip')}) has {odds} of settling it, "
            f"{if_it(shows)}; for {times(plan.ratio)} it takes {long}."
        )
    if plan.grounds.source == LOG:
        return f"{said} That is by formula, and supposes that fish come as they did in this log."
    return f"{said} That is by formula and on stand-in figures, since this log holds too little."


def _about(rod_hours: float) -> str:
    return number(float(f"{rod_hours:.2g}"))


def _how_long(trips: int, each_trip: float, season: int, about: str) -> str:
    """Rod-hours, trips and seasons."""
    seasons = round(trips / season)
    such = f", {word(seasons)} such seasons" if seasons > 1 else ""
    if seasons > MOST_SEASONS:
        such = ", more seasons than anybody has"
    return f"{about} {_about(trips * each_trip)} rod-hours ({count(trips, 'trip')}{such})"
