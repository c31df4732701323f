"""The words of planned hours: what a ratio needs, what a season can and cannot settle.

Works from the machine form of a plan. Chances are said of 100, simulated ones with their give or
take (two Monte-Carlo standard errors); a formula's figure never stands without its name.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from rodhours.wording.fish_counted import counted_here
from rodhours.wording.numbers import (
    MISSING,
    confidence_level,
    count,
    exists,
    fish_every,
    hours,
    number,
    rate,
    rate_limits,
    ratio,
)

TOGETHER, APART = "all variants on every trip", "one variant a trip"
FORMULA_ALONE = (
    "By formula alone (--quick). Below 22 trips the formula is too hopeful by 7 to 30 points of "
    "100, above it by up to 4; without --quick, seasons are simulated and judged by the interval "
    "that compare uses, and the answer is theirs."
)
LIMITS = (
    "All this supposes trips as uneven as those it rests on, a bait that is better by the same "
    "factor on every trip, baits that take turns on rods and spots, and every blank written down. "
    "Trips with one bait each also leave the log unable to tell bait from day, however many they "
    "are."
)
_FEW_DIFFERENCES, _NO_CLUMPS = 0.05, 0.01
_MUCH_THE_SAME = 0.1
_STAND_INS = (
    "These are stand-ins, no one’s water: the figures of the invented seasons on which the "
    "intervals of this program were tried."
)
_WHY = {
    "no log": "There is no log to take them from.",
    "too little": "The log holds too little to take them from ({trips}, {fish}).",
    "no fish": "The log holds no fish on {reference} yet to take them from.",
    "no fit": "The log’s catches cannot be fitted, so they cannot be taken from it.",
}


def plan_lines(plan: Mapping[str, Any]) -> list[str]:
    """The answer, above the table of `HoursPlan.to_dict()`."""
    answer = season_shows(plan) if plan["ratio"] is None else needed(plan)
    return [one for one in (counted_here(plan.get("filters", {})), answer) if one]


def foot_lines(plan: Mapping[str, Any]) -> list[str]:
    """All sentences beneath the table: what a season shows, what it rests on, and the limits."""
    parts = ["" if plan["ratio"] is None else season_shows(plan)]
    if plan["quick"]:
        parts.append(FORMULA_ALONE)
    parts += [supposed(plan), other_rates(plan), how_shared(plan), how_found(plan), LIMITS]
    return [one for one in parts if one]


def needed(plan: Mapping[str, Any]) -> str:
    """What it takes to settle the ratio asked for, in both designs."""
    together, apart = by_design(plan)
    opening = (
        f"To settle, with {chances(plan['power'])}, that a bait catches {ratio(plan['ratio'])} "
        f"times as fast as {_reference(plan)} takes{', by formula,' if plan['quick'] else ''}"
    )
    if together["trips"] is None:
        return f"{opening} more trips than anybody fishes, however they are fished."
    said = f"{opening} {_trips(together)} with {TOGETHER}"
    if apart["trips"] is None:
        return f"{said}; with {APART}, more than anybody fishes."
    times_as_many = apart["trips"] / together["trips"]
    said += f", and {_trips(apart)} with {APART}"
    return f"{said}: {ratio(times_as_many)} times as many." if times_as_many > 1 else f"{said}."


def season_shows(plan: Mapping[str, Any]) -> str:
    """What a season can and cannot settle."""
    trips = plan["season_trips"]
    whose = {
        "asked for": "",
        "log": ", as many as in the last year of your log,",
        "stand-in": ", a stand-in for yours (--trips),",
    }[plan["season_trips_from"]]
    together, apart = by_design(plan)
    settles = "by formula settles" if plan["quick"] else "settles"
    said = f"A season of {count(trips, 'trip')}{whose} {settles} with {chances(plan['power'])} "
    if together["smallest_ratio"] is None:
        said += f"no difference at all, not even with {TOGETHER}."
    else:
        said += (
            f"a bait that catches {ratio(together['smallest_ratio'])} times as fast or faster"
            f"{_slower(together)}, with {TOGETHER}; with {APART} "
        )
        said += (
            "no difference at all."
            if apart["smallest_ratio"] is None
            else f"it takes {ratio(apart['smallest_ratio'])} times{_slower(apart)}."
        )
        said += " Baits nearer to each other than that it cannot be relied on to tell apart."
    if plan["season_trips_from"] == "asked for" and not exists(together["largest_ratio_below"]):
        said += (
            " A bait that is worse gives fewer fish to tell it by: so few trips cannot be relied "
            "on to show even one that catches next to nothing."
        )
    return said + _chance_of_ratio(plan, together, apart)


def _chance_of_ratio(
    plan: Mapping[str, Any], together: Mapping[str, Any], apart: Mapping[str, Any]
) -> str:
    if plan["ratio"] is None or together["season_power"] is None:
        return ""
    by = "" if together["season_power_error"] is not None else ", by formula,"
    return (
        f" Its chance to settle a bait that is {ratio(plan['ratio'])} times as fast is{by} "
        f"{of_100(together['season_power'])} in 100 with {TOGETHER} and "
        f"{of_100(apart['season_power'])} in 100 with {APART}."
    )


def supposed(plan: Mapping[str, Any]) -> str:
    """What the seasons are supposed to be like, where that comes from, and how unsure it is."""
    s, a = plan["session_sd"], plan["clumping"]
    uneven = (
        "trips hardly differ"
        if s < _FEW_DIFFERENCES
        else f"one trip in six is more than {ratio(math.exp(s))} times as good as a usual one"
    )
    clumps = (
        "one bait’s fish of a trip come in clumps beside that"
        if a > _NO_CLUMPS
        else "beside that, fish come one by one"
    )
    each = hours(plan["rod_hours_a_trip"])
    where = {
        "log": " (your log’s usual trip)",
        "asked for": "",
        "stand-in": " (3 rods for 24 hours, unless --rods and --trip-hours say otherwise)",
    }[plan["rod_hours_a_trip_from"]]
    said = (
        f"Supposed: {_reference(plan)} takes {fish_every(plan['rate_per_100'])} "
        f"({rate(plan['rate_per_100'])} fish per 100{_limits(plan)}); {uneven}; {clumps}; "
        f"a trip is {each}{where}."
    )
    if plan["from"] == "log":
        return (
            f"{said} That is the fit of the {count(plan['trips'], 'trip')} and "
            f"{count(plan['fish'], 'fish')} of your log, all baits together; how uneven trips are "
            f"is known no better than so many trips can tell.{plain_rate(plan)}"
        )
    why = _WHY[plan["why_stand_in"]].format(
        trips=count(plan["trips"], "trip"),
        fish=count(plan["fish"], "fish"),
        reference=plan["reference"],
    )
    return f"{said} {_STAND_INS} {why}"


def other_rates(plan: Mapping[str, Any]) -> str:
    """What the ends of the rate's limits would mean for the trips."""
    if plan["ratio"] is None:
        return ""
    together, apart = by_design(plan)
    if together["trips_at_low_rate"] is None or together["trips_at_high_rate"] is None:
        return ""
    also = ""
    if apart["trips_at_low_rate"] is not None and apart["trips_at_high_rate"] is not None:
        also = (
            f" (with {APART}: {number(apart['trips_at_low_rate'])} and "
            f"{number(apart['trips_at_high_rate'])})"
        )
    return (
        f"At {rate(plan['rate_per_100_low'])} fish per 100 rod-hours, the lower limit, it would "
        f"take about {count(together['trips_at_low_rate'], 'trip')} with {TOGETHER}, at "
        f"{rate(plan['rate_per_100_high'])} about {number(together['trips_at_high_rate'])}{also}; "
        "these two are scaled by the formula."
    )


def plain_rate(grounds: Mapping[str, Any]) -> str:
    """What fish over rod-hours gives, where the fit says something else; else nothing."""
    plain, fitted = grounds["plain_rate_per_100"], grounds["rate_per_100"]
    if plain is None or abs(math.log(fitted / plain)) < _MUCH_THE_SAME:
        return ""
    return (
        f" Its fish over its rod-hours are {rate(plain)} per 100; the fit allows for the trips "
        "they came from."
    )


def how_shared(plan: Mapping[str, Any]) -> str:
    """How the rod-hours are shared, and the family."""
    variants = plan["variants"]
    said = (
        f"With {TOGETHER}, the {variants:,} variants share the rod-hours of each trip equally, "
        f"by changing baits during the trip where there are fewer rods; with {APART}, they take "
        "turns."
    )
    if plan["family"] > 1:
        said += (
            f" The {plan['family']:,} comparisons are held to "
            f"{confidence_level(plan['confidence'])} together, and the chance is that of each one."
        )
    return said


def how_found(plan: Mapping[str, Any]) -> str:
    """Where the powers come from."""
    if plan["quick"]:
        return ""
    said = (
        f"Simulated: {number(plan['simulated_seasons'])} seasons for each number of trips or ratio "
        "looked at, judged by the interval that compare uses; the line through them gives the "
        "answer, and give or take is two Monte-Carlo standard errors"
    )
    if any(one["simulated_power"] is None and one["trips"] is not None for one in plan["designs"]):
        said += ". Where nothing is simulated, the formula stands alone"
    return f"{said}."


def table_rows(plan: Mapping[str, Any]) -> list[list[str]]:
    """The table: a heading, and a row for each design."""
    if plan["ratio"] is None:
        heading = ["", "trips", "rod-hours", "smallest ratio", "largest below 1"]
        return [heading, *([*_start(one), *_ratios(one)] for one in plan["designs"])]
    heading = [
        "",
        "trips",
        "give or take",
        "rod-hours",
        "power by formula",
        "power simulated",
    ]
    rows = []
    for one in plan["designs"]:
        design, trips, rod_hours = _start(one)
        off = one["trips_error"]
        rows.append(
            [
                design,
                trips,
                MISSING if off is None else number(max(1, math.ceil(2 * off))),
                rod_hours,
                _share(one["predicted_power"]),
                _share(one["simulated_power"], one["monte_carlo_error"]),
            ]
        )
    return [heading, *rows]


def by_design(plan: Mapping[str, Any]) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    """The two designs: all on every trip, and one a trip."""
    named = {one["design"]: one for one in plan["designs"]}
    return named[TOGETHER], named[APART]


def of_100(share: float) -> str:
    """A share as a number of 100; one that is not 0 or 1 never reads so."""
    value = 100 * share
    if 0 < value < 1:
        return "under 1"
    if 99 < value < 100:
        return "over 99"
    return f"{value:.0f}"


def chances(power: float) -> str:
    """A power in words: `80 chances in 100`, `97.5 chances in 100`."""
    return f"{round(100 * power, 4):g} chances in 100"


def _share(share: float | None, error: float | None = None) -> str:
    if share is None:
        return MISSING
    off = "" if error is None else f" ± {max(1, math.ceil(200 * error - 0.5))}"
    return f"{of_100(share)}{off} of 100"


def _start(one: Mapping[str, Any]) -> list[str]:
    if one["trips"] is None:
        return [one["design"], "over 20,000", MISSING]
    return [one["design"], f"{one['trips']:,}", hours(one["rod_hours"]).split()[0]]


def _ratios(one: Mapping[str, Any]) -> list[str]:
    return [ratio(one["smallest_ratio"]), ratio(one["largest_ratio_below"])]


def _trips(one: Mapping[str, Any]) -> str:
    return f"about {count(one['trips'], 'trip')} ({hours(one['rod_hours'])})"


def _slower(one: Mapping[str, Any]) -> str:
    below = one["largest_ratio_below"]
    return "" if below is None else f", or {ratio(below)} times or slower"


def _limits(plan: Mapping[str, Any]) -> str:
    low, high = plan["rate_per_100_low"], plan["rate_per_100_high"]
    if not exists(low) and not exists(high):
        return ""
    return f"; {confidence_level(plan['confidence'])} limits {rate_limits(low, high)}"


def _reference(plan: Mapping[str, Any]) -> str:
    return plan["reference"] or "the reference"
