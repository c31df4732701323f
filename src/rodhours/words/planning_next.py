"""The words of the next season: what each variant gains or costs, what to do, which trips help.

Every choice follows from a rule that is printed beside it; hours to go are by formula.
"""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from typing import Any

from rodhours.evidence.verdicts import AHEAD, BEHIND, LEVEL
from rodhours.planning.next_season import (
    BY_COST,
    CONFIRM,
    FISH_IT,
    MONTH,
    MORE_HOURS,
    NO_GAIN,
    NOT_SAME_TRIPS,
    ONE_TRIP,
    OPEN,
    OTHER_RODS,
    ROD,
    SESSION_MODEL,
    STOP,
    TEMPERATURE,
    MissingTrips,
    NextSeason,
    VariantPlan,
)
from rodhours.planning.rotation import MOST_TRIPS
from rodhours.simulate.grounds import LOG
from rodhours.words.answer import MOST_NAMED, verdict_words
from rodhours.words.numbers import (
    MISSING,
    MONTHS,
    confidence_level,
    count,
    exists,
    fish_every,
    for_all,
    hours,
    limits_short,
    listed,
    margin_text,
    number,
    rate,
    rate_limits,
    ratio,
    ratio_label,
    some,
    times,
)
from rodhours.words.planning_hours import chances, plain_rate, roughly

PER = "fish per 100 rod-hours"
TABLE_TITLE = "What each bait gains or costs"
FOLDED_TITLE = "Each bait in a sentence, and the rules"
WHAT_SETTLES = "What would settle it:"
_MANY_TRIPS = "more trips than anybody fishes"
TOO_HOPEFUL = "6 to 16 points of 100 too hopeful on 5 to 20 trips that differ a lot"


def heading(plan: NextSeason) -> str:
    """What to fish next, as a finding; for a plan with a variant in it."""
    variants = plan.variants
    said = (
        ((FISH_IT,), "fish {}"),
        (OPEN, "more hours for {}"),
        ((STOP, NO_GAIN), "no more for {}"),
        ((BY_COST,), "{} by what it costs"),
    )
    parts = []
    for choices, says in said:
        names = [one.variant for one in variants if one.choice in choices]
        if names:
            parts.append(says.format(some(names)))
    return f"What to fish next: {'; '.join(parts)}"


def opening(plan: NextSeason) -> str:
    """What the choices are made from: one sentence above the table."""
    if not plan.variants:
        return (
            f"There is nothing to choose between yet: {plan.reference} is the only bait in "
            "these rows."
        )
    if plan.per_100 is None:
        return (
            f"{plan.reference} has no fish yet, so that gains in fish per rod-hour cannot be "
            "said; the choices go by the ratios."
        )
    return (
        f"Against {plan.reference}, which takes {fish_every(plan.per_100)} "
        f"({rate(plan.per_100)} {PER}):"
    )


def table_rows(plan: NextSeason) -> list[list[str]]:
    """The table: a heading and a row for each variant, the reference last."""
    level = confidence_level(plan.confidence)
    heading = [
        "",
        "times as fast",
        f"{level} limits",
        "gain per 100 rod-hours",
        f"{level} limits of it",
        "choice",
        "trips to go",
        "rod-hours to go",
    ]
    rows = [
        [
            one.variant,
            "no fish" if one.rate_ratio == 0 else ratio(one.rate_ratio),
            limits_short(one.conf_low, one.conf_high, plan.margin),
            gain(one.gain_per_100),
            gain_limits_short(one.gain_low, one.gain_high),
            one.choice,
            _to_go(one),
            MISSING if one.rod_hours_to_go is None else number(one.rod_hours_to_go),
        ]
        for one in plan.variants
    ]
    return [heading, *rows]


def page_rows(plan: NextSeason) -> list[list[str]]:
    """The table of the page, limits beside their numbers; with trips to go where any are known."""
    level = confidence_level(plan.confidence)
    variants = plan.variants
    columns: dict[str, list[str]] = {
        "Variant": [one.variant for one in variants],
        f"Times as fast ({level} limits)": [
            ratio_label(one.rate_ratio, one.conf_low, one.conf_high, plan.margin)
            for one in variants
        ],
    }
    if plan.per_100 is not None:
        columns[f"Fish gained per 100 rod-hours ({level} limits)"] = [
            _gained(one) for one in variants
        ]
    columns["Choice"] = [one.choice for one in variants]
    if any(one.choice in OPEN for one in variants):
        columns["Trips to go"] = [_to_go(one) for one in variants]
    return [list(columns), *(list(row) for row in zip(*columns.values(), strict=True))]


def _gained(one: VariantPlan) -> str:
    said, estimate = gain_limits_short(one.gain_low, one.gain_high), gain(one.gain_per_100)
    return said if estimate == "none" else f"{estimate} ({said})"


def sentences(plan: NextSeason) -> list[str]:
    """The answer, the first by itself."""
    return [next_step(plan), *(variant_says(one, plan) for one in plan.variants)]


def with_sentences(plan: NextSeason, form: dict[str, Any]) -> None:
    """Put the sentences of each variant and the next step into the machine form."""
    for one, variant in zip(plan.variants, form["variants"], strict=True):
        variant["says"] = variant_says(one, plan)
    form["next_step"] = next_step(plan)
    form["rotation_command"] = rotation_command(plan) or None


def page_step(plan: NextSeason) -> str:
    """The next step where its heading says already that it is one."""
    said = next_step(plan).removeprefix("Next: ")
    return said[0].upper() + said[1:]


def page_note(plan: NextSeason) -> str:
    """Under the table of the page: what trips to go are for."""
    if plan.first is None:
        return ""
    return (
        f"Trips to go: with {listed(plan.sharing)} on every one, until a bait that truly catches "
        f"{ratio(plan.ratio)} times as fast would be settled, with {chances(plan.power)}."
    )


def variant_says(one: VariantPlan, plan: NextSeason) -> str:
    """One variant in a sentence: the choice, what it rests on, and the hours to go."""
    choices: dict[str, str] = {
        FISH_IT: "fish it",
        STOP: "stop, unless you fish it to learn about an ingredient",
        BY_COST: f"choose by cost and trouble; it is level with {plan.reference}"
        f"{_costs(plan, [one.variant, plan.reference])}",
        MORE_HOURS: "worth more hours, since a gain worth having is not ruled out "
        f"({verdict_words(one.verdict)})",
        NO_GAIN: f"no more hours for a gain; above {margin_text(plan.margin)} times it is ruled "
        "out, though it may be worse",
        CONFIRM: f"confirm it before you act on it; {_to_confirm(one, plan)}",
    }
    text = f"{one.variant}: {choices[one.choice]}. {_it_gains(one, plan)}"
    if one.choice in OPEN:
        return f"{text} {_until(one, plan)}"
    if one.choice == FISH_IT and one.small:
        return f"{text} That is little, so cost may still decide."
    return text


def _to_confirm(one: VariantPlan, plan: NextSeason) -> str:
    reasons: dict[str | None, str] = {
        NOT_SAME_TRIPS: " over all trips, which cannot tell bait from day",
        ONE_TRIP: " because of one trip",
        OTHER_RODS: f", but it was never on a rod that {plan.reference} was on, so that it "
        "may be the rod",
    }
    it_is = (
        f"it is {verdict_words(one.verdict)}"
        if one.verdict in (AHEAD, BEHIND, LEVEL)
        else f"a gain above {margin_text(plan.margin)} times looks ruled out"
    )
    return f"{it_is}{reasons.get(one.because, '')}"


def _costs(plan: NextSeason, names: Sequence[str]) -> str:
    """What a bait of each costs, where prices say."""
    known = [f"{name} {plan.cost_a_bait[name]:.3f}" for name in names if name in plan.cost_a_bait]
    return f" (a bait, by your prices: {', '.join(known)})" if known else ""


def next_step(plan: NextSeason) -> str:
    """The suggested next step."""
    reference, variants = plan.reference, plan.variants
    if not variants:
        return f"Next: make a second bait and fish it beside {reference} on every trip."
    chosen = {choice: _named(variants, choice) for choice in (FISH_IT, STOP, BY_COST, NO_GAIN)}
    still_open = [one for one in variants if one.choice in OPEN]
    if still_open:
        return _open_step(plan, still_open, chosen[FISH_IT], [*chosen[STOP], *chosen[NO_GAIN]])
    if chosen[FISH_IT]:
        return (
            f"Next: fish {listed(chosen[FISH_IT])}, and keep {reference} beside it on some trips, "
            "so that the log goes on telling whether it stays so."
        )
    if chosen[BY_COST]:
        return (
            f"Next: fish whichever of {listed([reference, *chosen[BY_COST]], 'or')} costs you "
            f"least{_costs(plan, [reference, *chosen[BY_COST]])}; for a gain, try a bait that "
            "differs from them in one thing."
        )
    return f"Next: stay with {reference}; for a gain, try a bait that differs from it in one thing."


def settles(plan: NextSeason) -> str:
    """What would settle the bait that can be settled first; empty where none is open."""
    if all(one.choice not in OPEN or one.because == ONE_TRIP for one in plan.variants):
        return ""
    first, so_fast = plan.first, f"truly catches {times(plan.ratio)} as fast"
    if first is None:
        return f"{WHAT_SETTLES} {_MANY_TRIPS}, if a bait {so_fast}."
    if not first.trips_to_go:
        return f"{WHAT_SETTLES} hardly more trips, if {first.variant} {so_fast}: look again then."
    several = len(plan.variants) > 1
    return (
        f"{WHAT_SETTLES} {roughly(plan.grounds)} {count(first.trips_to_go, 'more trip')} with "
        f"{listed(plan.sharing) if several else 'both'}, if {first.variant} {so_fast} "
        f"({_by_formula(plan)})."
    )


def rotation_command(plan: NextSeason) -> str:
    """The command for a sheet of the trips proposed; empty where none are.

    With one rod the baits are swapped half-way through the trip. Where rods are not logged there
    is one for each bait.
    """
    if len(plan.sharing) < 2:
        return ""
    grounds, rods = plan.grounds, plan.grounds.rods or len(plan.sharing)
    to_go = plan.first.trips_to_go if plan.first else None
    trips = min(to_go or grounds.season_trips, grounds.season_trips, MOST_TRIPS)
    asked = ["--variants", ",".join(plan.sharing), "--rods", str(rods), "--trips", str(trips)]
    asked += ["--reference", plan.reference]
    if rods == 1:
        whole = max(2, round(grounds.rod_hours))
        asked += ["--trip-hours", f"{whole}h", "--swap-every", f"{whole / 2:g}h"]
    return f"rodhours plan rotation {shlex.join(asked)}"


def _by_formula(plan: NextSeason) -> str:
    stand_in = "" if plan.grounds.source == LOG else " on stand-ins"
    return f"by formula{stand_in}, {chances(plan.power)}"


def trips_lines(plan: NextSeason) -> list[str]:
    """The trips that would break what a check found one-sided; those where baits never met."""
    reference, helping = plan.reference, plan.trips_that_help
    lines = []
    if on_rods := [one.variant for one in helping if one.by == ROD]:
        lines.append(
            f"{some(on_rods)} kept to other rods than {reference}: swap the baits between the rods "
            "from trip to trip."
        )
    if elsewhere := [trip_says(one) for one in helping if one.by != ROD]:
        lines.append(f"Trips that would help, beside {reference}: {some(elsewhere)}.")
    apart = [
        one.variant
        for one in plan.variants
        if 2 * one.shared_sessions < one.sessions and one.variant in plan.sharing
    ]
    if apart:
        lines.append(f"{some(apart)} seldom met {reference} on a trip: side by side tells most.")
    return lines


def trip_says(one: MissingTrips) -> str:
    """Where a bait and the reference should be fished together: `pellet-20 in June or July`."""
    levels = [*one.variant_only, *one.reference_only] or [one.level or ""]
    if one.by == TEMPERATURE:
        where = "in cold water and in warm"
    else:
        where = _places(one.by, levels)
        where += "" if one.variant_only or one.reference_only else " and elsewhere"
    alone = " (for the all-trips answer alone)" if one.for_all_trips else ""
    return f"{one.variant} {where}{alone}"


def rules(plan: NextSeason) -> str:
    """The rules that the choices follow."""
    margin = margin_text(plan.margin)
    return (
        "The rules. Ahead: fish it. Behind: stop. Level: choose by cost. Else more hours while a "
        f"gain above {margin} times is possible. Confirm what rests on all trips, one trip or "
        "rods that the reference was never on."
    )


def how_hours(plan: NextSeason) -> str:
    """What the trips to go rest on and cannot say; empty where none are."""
    if not any(one.choice in OPEN for one in plan.variants):
        return ""
    family = len(plan.variants)
    option, held = "", ""
    if family > 1:
        option, held = f" --family {family}", for_all(family)
    return (
        f"Trips to go are {_by_formula(plan)}; {TOO_HOPEFUL}. rodhours plan hours{option} "
        f"simulates{held}."
    )


def brief_rows(plan: NextSeason) -> list[list[str]]:
    """The table for a terminal: gains, or ratios where there are none, choices and trips to go.

    Of many baits, those that wait for a rod are left out.
    """
    heading, *rows = page_rows(plan)
    heading = ["", *(name.lower().removeprefix("fish ") for name in heading[1:])]
    waiting = plan.waiting if len(rows) > MOST_NAMED else ()
    told = [heading, *(row for row in rows if row[0] not in waiting)]
    return told if plan.per_100 is None else [[row[0], *row[2:]] for row in told]


def limits_lines(plan: NextSeason) -> list[str]:
    """What all this cannot say."""
    lines = []
    if plan.per_100 is not None:
        lines.append(_how_gains(plan))
    lines += [how_hours(plan)] if how_hours(plan) else []
    lines.append(
        "Limits. The next season may not be like the last. A gain is that of mixed fishing, with "
        "the reference in the water too. What a bait costs in money and trouble, and what you want "
        "to learn about an ingredient, is not in here."
    )
    return lines


def gain(value: float | None) -> str:
    """A gain for a table: `+1.6`, `−0.9`, `none` where it does not exist."""
    if value is None or not exists(value):
        return "none"
    if _is_nothing(value):
        return "0"
    return f"{'+' if value > 0 else '−'}{rate(abs(value))}"


def gain_limits_short(low: float | None, high: float | None) -> str:
    """The limits of a gain for a table: `−0.9 to +2.7`, `above −2.0`, `none`."""
    if exists(low) and exists(high):
        return f"{gain(low)} to {gain(high)}"
    if exists(low):
        return f"above {gain(low)}"
    if exists(high):
        return f"below {gain(high)}"
    return "none"


def _it_gains(one: VariantPlan, plan: NextSeason) -> str:
    """What it gains or costs, in fish, with the limits; in ratios where that is not known."""
    said, level = _gained(one), confidence_level(plan.confidence)
    if said != "none":
        return f"So far it gains {said} {PER} ({level} limits)."
    short = limits_short(one.conf_low, one.conf_high, plan.margin)
    return "There is no ratio to give yet." if short == "none" else f"In ratios: {short}."


def _is_nothing(gained: float) -> bool:
    """Less than a fish in 100,000 rod-hours, such as what is left of a ratio of 1 by rounding."""
    return abs(gained) < 0.001


def _until(one: VariantPlan, plan: NextSeason) -> str:
    """The hours to go."""
    if one.variant not in plan.sharing:
        return "It waits for a rod: the others are settled sooner."
    if one.because == ONE_TRIP:
        return "Fish on until other trips say the same without that one."
    if_so = f"If it is in truth {ratio(plan.ratio)} times as fast"
    if not one.within_reach:
        return f"{if_so}, settling that would take {_MANY_TRIPS}."
    if not one.trips_to_go:
        return f"{if_so}, the trips so far should mostly have settled it: look again as you go on."
    return (
        f"{if_so}, {roughly(plan.grounds)} {count(one.trips_to_go, 'more trip')} "
        f"({hours(one.rod_hours_to_go or 0.0)}) with {_company(plan)} on every one would settle "
        "it, by formula."
    )


def _open_step(
    plan: NextSeason, still_open: Sequence[VariantPlan], ahead: Sequence[str], rest: Sequence[str]
) -> str:
    lead = f"fish {listed(ahead)} for what it gains, and for the evidence " if ahead else "fish "
    how = (
        "on every trip, swapped half-way through it"
        if plan.grounds.rods == 1
        else "side by side on every trip, rods swapped"
    )
    text = f"Next: {lead}{listed(plan.sharing)} {how}"
    if rest:
        text += f", without {some(rest)}"
    if waiting := plan.waiting:
        wait = "waits" if len(waiting) == 1 else "wait"
        text += f"; {some(waiting)} {wait} for a rod"
    return f"{text}{_how_far(plan, still_open)} The sheet: {rotation_command(plan)}"


def _how_far(plan: NextSeason, still_open: Sequence[VariantPlan]) -> str:
    """How far the trips to go are, and what a season would show instead."""
    first, interest = plan.first, f"a difference of {ratio(plan.ratio)} times"
    if first is None and any(one.because == ONE_TRIP for one in still_open):
        return ", until other trips say the same."
    if first is None:
        return f"; but nobody fishes the trips that would settle {interest}."
    trips, season = first.trips_to_go or 0, plan.grounds.season_trips
    about = f"with {roughly(plan.grounds)} {count(trips, 'trip')} to go for {interest}"
    several = len(plan.sharing) > 2
    text = f"; {first.variant} can be settled first, {about}" if several else f", {about}"
    if trips <= season:
        return f"{text}."
    text += f". One more season ({count(season, 'trip')}) will not do that"
    if first.season_shows is not None:
        shows, odds = ratio(first.season_shows), chances(plan.power)
        text += f"; it would settle one of {shows} times, with {odds}"
    return f"{text}."


def _how_gains(plan: NextSeason) -> str:
    reference, grounds = plan.reference, plan.grounds
    ends = grounds.per_100_low, grounds.per_100_high
    limits = ""
    if plan.rate_from == SESSION_MODEL:
        limits = f" ({confidence_level(0.95)} limits {rate_limits(*ends)})"
    return (
        f"Gains are {reference}’s estimated rate of {rate(plan.per_100)} {PER}{limits}, "
        "times (ratio less 1); their limits are those of the ratio at that rate. The rate itself "
        "is no surer than its limits, so gains in fish are less sure than the ratios."
        f"{plain_rate(grounds)}"
    )


def _company(plan: NextSeason) -> str:
    """Who shares the trips: by name where there are two, else by number; `next_step` names all."""
    others = len(plan.sharing) - 1
    return (
        listed(plan.sharing) if others <= 1 else f"{plan.reference} and all {others:,} open baits"
    )


def _named(variants: Sequence[VariantPlan], choice: str) -> list[str]:
    return [one.variant for one in variants if one.choice == choice]


def _to_go(one: VariantPlan) -> str:
    if one.choice not in OPEN:
        return MISSING
    if one.trips_to_go is None:
        return MISSING if one.within_reach else "over 20,000"
    return f"{one.trips_to_go:,}"


def _places(by: str, levels: Sequence[str]) -> str:
    """Months or waters as places: `in June or July`."""
    if by != MONTH:
        return f"on {some(levels, last='or')}"
    names = list(dict.fromkeys(MONTHS[int(one.split("-")[1]) - 1] for one in levels))
    return f"in {some(names, last='or')}"
