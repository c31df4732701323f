"""The words of planned hours: what a ratio needs, what a season can and cannot settle.

Chances are said of 100, simulated ones with their give or take (two Monte-Carlo standard errors);
a formula's figure never stands without its name.
"""

from __future__ import annotations

import math

from rodhours.simulate.formulas import APART
from rodhours.simulate.grounds import (
    ASKED_FOR,
    LOG,
    NO_FIT,
    NO_LOG,
    NO_REFERENCE,
    STAND_IN,
    TOO_LITTLE,
    Grounds,
)
from rodhours.simulate.hours import DesignPlan, HoursPlan
from rodhours.words.fish_counted import counted_here
from rodhours.words.numbers import (
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
from rodhours.words.rehearsal import NO_CLUMPS, how_uneven, of_100

FORMULA_ALONE = (
    "By formula alone (--quick). With the baits side by side on 5 to 20 trips it is 6 to 16 points "
    "of 100 too hopeful where trips differ as much as s = 1 or more, about right where they differ "
    "less; with one bait a trip it is 2 to 4 too pessimistic. Without --quick, "
    "seasons are simulated and judged by the interval that compare uses, and the answer is theirs."
)
LIMITS = (
    "All this supposes trips as uneven as those it rests on, a bait that is better by the same "
    "factor on every trip, baits that take turns on rods and spots, and every blank written down. "
    "Trips with one bait each also leave the log unable to tell bait from day, however many they "
    "are."
)
_MUCH_THE_SAME = 0.1
_STAND_INS = (
    "These are stand-ins, no one’s water: the figures of the invented seasons on which the "
    "intervals of this program were tried."
)
_WHY = {
    NO_LOG: "There is no log to take them from.",
    TOO_LITTLE: "The log holds too little to take them from ({trips}, {fish}).",
    NO_REFERENCE: "The log holds no fish on {reference} yet to take them from.",
    NO_FIT: "The log’s catches cannot be fitted, so they cannot be taken from it.",
}


def plan_lines(plan: HoursPlan) -> list[str]:
    """The answer, above the table."""
    return [line for line in (counted_here(plan.filters), sentences(plan)[0]) if line]


def sentences(plan: HoursPlan) -> list[str]:
    """The answer, the first by itself."""
    parts = [] if plan.ratio is None else [needed(plan)]
    return [*parts, season_shows(plan), *([FORMULA_ALONE] if plan.quick else [])]


def foot_lines(plan: HoursPlan) -> list[str]:
    """All sentences beneath the table: what a season shows, what it rests on, and the limits."""
    parts = [*sentences(plan)[1:], supposed(plan), how_shared(plan)]
    return [part for part in [*parts, how_found(plan), LIMITS] if part]


def needed(plan: HoursPlan) -> str:
    """What it takes to settle the ratio asked for, in both designs."""
    together, apart = plan.together, plan.apart
    opening = (
        f"To settle, with {chances(plan.power)}, that a bait catches {ratio(plan.ratio)} "
        f"times as fast as {_reference(plan)} takes{', by formula,' if plan.quick else ''}"
    )
    if together.trips is None:
        return f"{opening} more trips than anybody fishes, however they are fished."
    about = roughly(plan.grounds)
    said = f"{opening} {about} {_trips(together)} with {together.design}"
    if apart.trips is None:
        return f"{said}; with {APART}, more than anybody fishes."
    times_as_many = apart.trips / together.trips
    said += f", and {about} {_trips(apart)} with {APART}"
    return f"{said}: {ratio(times_as_many)} times as many." if times_as_many > 1 else f"{said}."


def season_shows(plan: HoursPlan) -> str:
    """What a season can and cannot settle."""
    trips = plan.season_trips
    whose = {
        ASKED_FOR: "",
        LOG: ", as many as in the last year of your log,",
        STAND_IN: ", a stand-in for yours (--trips),",
    }[plan.season_trips_from]
    together, apart = plan.together, plan.apart
    settles = "by formula settles" if plan.quick else "settles"
    said = f"A season of {count(trips, 'trip')}{whose} {settles} with {chances(plan.power)} "
    if together.smallest_ratio is None:
        said += f"no difference at all, not even with {together.design}."
    else:
        said += (
            f"a bait that catches {ratio(together.smallest_ratio)} times as fast or faster"
            f"{_slower(together)}, with {together.design}; with {APART} "
        )
        said += (
            "no difference at all."
            if apart.smallest_ratio is None
            else f"it takes {ratio(apart.smallest_ratio)} times{_slower(apart)}."
        )
        said += " Baits nearer to each other than that it cannot be relied on to tell apart."
    if plan.season_trips_from == ASKED_FOR and not exists(together.largest_ratio_below):
        said += (
            " A bait that is worse gives fewer fish to tell it by: so few trips cannot be relied "
            "on to show even one that catches next to nothing."
        )
    return said + _chance_of_ratio(plan, together, apart)


def _chance_of_ratio(plan: HoursPlan, together: DesignPlan, apart: DesignPlan) -> str:
    if plan.ratio is None or together.season_power is None or apart.season_power is None:
        return ""
    by = "" if together.season_power_error is not None else ", by formula,"
    return (
        f" Its chance to settle a bait that is {ratio(plan.ratio)} times as fast is{by} "
        f"{of_100(together.season_power)} in 100 with {together.design} and "
        f"{of_100(apart.season_power)} in 100 with {APART}."
    )


def supposed(plan: HoursPlan) -> str:
    """What the seasons are supposed to be like, where that comes from, and how unsure it is."""
    grounds = plan.grounds
    clumps = (
        "one bait’s fish of a trip come in clumps beside that"
        if grounds.clumping > NO_CLUMPS
        else "beside that, fish come one by one"
    )
    each = hours(grounds.rod_hours)
    where = {
        LOG: " (your log’s usual trip)",
        ASKED_FOR: "",
        STAND_IN: " (3 rods for 24 h, unless --rods and --trip-hours say otherwise)",
    }[grounds.hours_source]
    said = (
        f"Supposed: {_reference(plan)} takes {fish_every(grounds.per_100)} "
        f"({rate(grounds.per_100)} fish per 100{_limits(plan)}); "
        f"{how_uneven(grounds.session_sd)}; {clumps}; a trip is {each}{where}."
    )
    if grounds.source == LOG:
        return (
            f"{said} That is the fit of the {count(grounds.trips, 'trip')} and "
            f"{count(grounds.fish, 'fish')} of your log, all baits together; how uneven trips are "
            f"is known no better than so many trips can tell.{plain_rate(grounds)}"
        )
    why = _WHY[grounds.reason or NO_LOG].format(
        trips=count(grounds.trips, "trip"),
        fish=count(grounds.fish, "fish"),
        reference=grounds.reference,
    )
    if grounds.at_most:
        why += (
            f" The rate is no stand-in but the highest that the hours of {grounds.reference} "
            "without a fish leave, so it may well take more trips."
        )
    return f"{said} {_STAND_INS} {why}"


def plain_rate(grounds: Grounds) -> str:
    """What fish over rod-hours gives, where the fit says something else; else nothing."""
    plain, fitted = grounds.plain_per_100, grounds.per_100
    if plain is None or abs(math.log(fitted / plain)) < _MUCH_THE_SAME:
        return ""
    return (
        f" Its fish over its rod-hours are {rate(plain)} per 100; the fit allows for the trips "
        "they came from."
    )


def how_shared(plan: HoursPlan) -> str:
    """How the rod-hours are shared, and the family."""
    together, variants = plan.together.design, plan.variants
    said = (
        f"With {together}, the {variants:,} variants share the rod-hours of each trip equally, by "
        "changing baits during the trip where there is one rod"
        if plan.on_a_trip == variants
        else f"With {together}, the reference is on each and the others take turns beside it, as "
        "rodhours plan rotation --reference deals them out"
    )
    said += f"; with {APART}, they take turns."
    if plan.family > 1:
        said += (
            f" The {plan.family:,} comparisons are held to "
            f"{confidence_level(plan.confidence)} together, and the chance is that of each one."
        )
    return said


def how_found(plan: HoursPlan) -> str:
    """Where the powers come from."""
    if plan.quick:
        return ""
    said = (
        f"{'' if plan.complete else 'Stopped early, so this is rougher than asked for. '}"
        f"Simulated: {number(plan.seasons)} seasons for each number of trips or ratio "
        "looked at, judged by the interval that compare uses; the line through them gives the "
        "answer, and give or take is two Monte-Carlo standard errors"
    )
    if any(one.simulated_power is None and one.trips is not None for one in plan.designs):
        said += ". Where nothing is simulated, the formula stands alone"
    return f"{said}."


def table_rows(plan: HoursPlan) -> list[list[str]]:
    """The table: a heading, and a row for each design."""
    if plan.ratio is None:
        heading = ["", "trips", "rod-hours", "smallest ratio", "largest below 1"]
        return [heading, *([*_start(one), *_ratios(one)] for one in plan.designs)]
    heading = [
        "",
        "trips",
        "give or take",
        "rod-hours",
        "power by formula",
        "power simulated",
    ]
    rows = []
    for one in plan.designs:
        design, trips, rod_hours = _start(one)
        off = one.trips_error
        rows.append(
            [
                design,
                trips,
                MISSING if off is None else number(max(1, math.ceil(2 * off))),
                rod_hours,
                _share(one.predicted_power),
                _share(one.simulated_power, one.monte_carlo_error),
            ]
        )
    return [heading, *rows]


def chances(power: float) -> str:
    """A power in words: `80 chances in 100`, `97.5 chances in 100`."""
    return f"{round(100 * power, 4):g} chances in 100"


def _share(share: float | None, error: float | None = None) -> str:
    if share is None:
        return MISSING
    off = "" if error is None else f" ± {max(1, math.ceil(200 * error - 0.5))}"
    return f"{of_100(share)}{off} of 100"


def _start(one: DesignPlan) -> list[str]:
    if one.trips is None:
        return [one.design, "over 20,000", MISSING]
    return [one.design, f"{one.trips:,}", hours(one.rod_hours or 0.0).split()[0]]


def _ratios(one: DesignPlan) -> list[str]:
    return [ratio(one.smallest_ratio), ratio(one.largest_ratio_below)]


def _trips(one: DesignPlan) -> str:
    return f"{count(one.trips or 0, 'trip')} ({hours(one.rod_hours or 0.0)})"


def roughly(grounds: Grounds) -> str:
    """How sure a number of trips is: a rate that may well be lower asks for more."""
    return "at least" if grounds.at_most else "about"


def _slower(one: DesignPlan) -> str:
    below = one.largest_ratio_below
    return "" if below is None else f", or {ratio(below)} times or slower"


def _limits(plan: HoursPlan) -> str:
    low, high = plan.grounds.per_100_low, plan.grounds.per_100_high
    if not exists(low) and not exists(high):
        return ""
    return f"; {confidence_level(plan.confidence)} limits {rate_limits(low, high)}"


def _reference(plan: HoursPlan) -> str:
    return plan.grounds.reference or "the reference"
