"""What the checks of a log found, in plain words: one text of three parts for each code.

Severity and figures come from the checks; `variant` is the bait a finding concerns.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from rodhours.wording.numbers import (
    MISSING,
    count,
    exists,
    limits,
    listed,
    month_name,
    number,
    percent,
    ratio,
    times,
)
from rodhours.wording.parts import Parts
from rodhours.wording.verdicts import verdict_words

Numbers = Mapping[str, Any]

MOST_NAMED = 5
"""More missing numbers than this are counted, not named."""
HARDLY = 1.05
"""A factor nearer to 1 than this hardly moves an answer."""


def _red_letter_trip(variant: str, numbers: Numbers) -> Parts:
    date = f" ({numbers['date']})" if numbers["date"] else ""
    fish, other = numbers["fish"], numbers["reference_fish"]
    before, after = numbers["verdict"], numbers["verdict_without"]
    turns = (
        f"and the verdict goes from “{verdict_words(before)}” to “{verdict_words(after)}”"
        if numbers["verdict_changes"]
        else f"and the verdict stays “{verdict_words(before)}”"
    )
    low, high = numbers["conf_low_without"], numbers["conf_high_without"]
    return Parts(
        f"One trip carries much of the answer for {variant}: {numbers['session']}{date}, with "
        f"{count(fish, 'fish')} on {variant} and {number(other) if other else 'none'} on the "
        "reference.",
        f"Without it the ratio is {ratio(numbers['rate_ratio_without'])} "
        f"({limits(low, high)}) instead of {ratio(numbers['rate_ratio'])}, {turns}.",
        "See that this trip is logged right. Do not leave it out because it stands apart; fish "
        "on until other trips say the same without it.",
    )


def _clumping(variant: str, numbers: Numbers) -> Parts:
    good, within = numbers["good_trip"], numbers["clumping"]
    if good >= 1.1:
        found = f"Fish came in clumps: a good trip gives {number(good, 1)} times a usual one"
        found += ", and one bait on one trip has its own runs beyond that" if within >= 0.05 else ""
    else:
        found = (
            "Fish came in clumps: trips hardly differ, but one bait on one trip has its own runs, "
            "several fish or none"
        )
    width = numbers["width_ratio"]
    if not exists(width):
        wider = (
            "How much wider that makes the limits cannot be said here, because one of them is "
            "missing."
        )
    elif width < HARDLY:
        wider = "Here that hardly widens the limits."
    else:
        wider = (
            f"It makes the limits {number(width, 1 if width >= 1.1 else 2)} times as far apart "
            "(on the scale of ratios) as if every fish came by itself; they allow for it already."
        )
    return Parts(
        f"{found}.",
        wider,
        "Nothing is wrong with the log. More trips make the answer firmer; more rods on the same "
        "few trips do much less.",
    )


def _unlogged_blanks(variant: str, numbers: Numbers) -> Parts:
    missing = round(numbers["missing"])
    gone = f"about {count(missing, 'trip')}" if missing else "hardly one trip"
    before, after = numbers.get("rate_ratio"), numbers.get("rate_ratio_corrected")
    if exists(before) and exists(after):
        moved = (
            f"All catch rates are too high by it. With those trips allowed for, {variant} over all "
            f"trips would come out at {times(after)} the reference’s rate instead of "
            f"{times(before)}."
        )
    else:
        moved = (
            "All catch rates are too high by it; what it does to a comparison cannot be said here."
        )
    return Parts(
        "Blanks seem to be missing from the log: trips that catch as these do would bring more. "
        f"It looks as if {percent(numbers['logged_share'])} of the blanks were written down and "
        f"{gone} left out.",
        moved,
        "Write down every trip, the blanks above all, and add those you can still find. If none "
        "was left out, take it that your trips differ less than they seem to.",
    )


def _confounded(variant: str, numbers: Numbers) -> Parts:
    by, apart = numbers["by"], numbers["difference"] is None
    if by == "water_temp_c":
        mean, other = numbers["mean"], numbers["reference_mean"]
        kind = "warmer" if mean > other else "colder"
        found = (
            f"{variant} was fished in {kind} water than the reference: {number(mean, 1)} °C "
            f"against {number(other, 1)} °C on average."
        )
    else:
        found = (
            f"{variant} had {percent(numbers['share'])} of its rod-hours "
            f"{_PLACES[by](numbers['level'])}, the reference {percent(numbers['reference_share'])}."
        )
        if apart:
            found += f" The two have no {_KINDS[by]} in common."
    why = "Going by what other baits caught there, that alone would"
    factor = numbers["mix_ratio"]
    if not exists(factor):
        moved = "How much that moves the answer cannot be said: no other bait caught anything."
    elif 1 / HARDLY < factor < HARDLY:
        moved = f"{why} hardly move the answer."
    else:
        over = " over all trips" if numbers["constant_within_trips"] else ""
        moved = f"{why} make {variant} look {times(factor)} as fast as the reference{over}."
    if apart:
        do = "No adjusting can mend that; fish the two side by side on the same trips."
    else:
        do = (
            f"See whether the answer changes with --adjust {by}, and fish the two side by side on "
            "the same trips."
        )
    return Parts(found, moved, do)


_KINDS = {"month": "month", "venue": "water", "rod": "rod"}
_PLACES: dict[str, Callable[[str], str]] = {
    "month": lambda level: f"in {month_name(level)}",
    "venue": lambda level: f"on {level}",
    "rod": lambda level: f"on rod {level}",
}


def _rods_not_rotated(variant: str, numbers: Numbers) -> Parts:
    rod, rate, factor = numbers["rod"], numbers["rod_ratio"], numbers["mix_ratio"]
    if not exists(rate) or not exists(factor):
        moved = (
            f"Whether rod {rod} is a better one cannot be told from this log, so all of the "
            "difference may be the rod’s."
        )
    elif 1 / HARDLY < rate < HARDLY:
        moved = (
            f"With the same bait on, rod {rod} caught about as fast as the others, so it may not "
            "matter."
        )
    else:
        which = (
            f"rod {rod} caught {times(rate)} as fast as the others"
            if rate > 1
            else f"the other rods caught {times(1 / rate)} as fast as rod {rod}"
        )
        moved = (
            f"With the same bait on, {which}; that alone would make {variant} look "
            f"{times(factor)} as fast as the reference."
        )
    return Parts(
        f"{variant} and the reference did not take turns on the rods: on the trips that had both, "
        f"{variant} had {percent(numbers['share'])} of its rod-hours on rod {rod}, the reference "
        f"{percent(numbers['reference_share'])}.",
        moved,
        "Swap the baits round between the rods from trip to trip, and see whether the answer "
        "changes with --adjust rod.",
    )


def _one_batch_each(variant: str, numbers: Numbers) -> Parts:
    single = [
        name
        for name, batches in (
            (variant, numbers["batches"]),
            ("the reference", numbers["reference_batches"]),
        )
        if batches == 1
    ]
    return one_batch(single)


def one_batch(names: Sequence[str]) -> Parts:
    """The finding for all baits that were fished from one batch."""
    named = listed(names)
    were = (
        "was fished from one batch only" if len(names) == 1 else "were fished from one batch each"
    )
    return Parts(
        f"{named[:1].upper() + named[1:] if named.startswith('the ') else named} {were}.",
        "What was special to that batch counts as the recipe’s here, and one batch cannot show "
        "how much that is.",
        "Make another batch to the same recipe, and log which one was on.",
    )


def _recipes_differ(variant: str, numbers: Numbers) -> Parts:
    return recipes_differ([(variant, numbers["columns"])])


def recipes_differ(
    baits: Sequence[tuple[str, Sequence[Mapping[str, Any]]]], reference: str | None = None
) -> Parts:
    """The finding for all baits whose recipe differs from the reference's in several things."""
    whose = "the reference" if reference is None else reference
    each = "; ".join(
        f"{variant} in {listed(recipe_difference(one) for one in columns)}"
        for variant, columns in baits
    )
    one = len(baits) == 1
    return Parts(
        f"More than one thing differs from the recipe of {whose}: {each}.",
        f"{'An answer is' if one else 'Each answer is'} for all of it together and cannot say "
        "which thing made the difference, or whether one hides another.",
        "Compare with a bait that differs in the one thing you want to know, or make one.",
    )


def recipe_difference(difference: Mapping[str, Any]) -> str:
    """One column with the variant's value and the reference's: `boil_s (120 against 90)`."""
    value, reference = (recipe_value(difference[name]) for name in ("variant", "reference"))
    return f"{difference['column']} ({value} against {reference})"


def recipe_value(value: str | float | None) -> str:
    """A cell of a recipe: `16`, `12.5`, `birdseed`, a dash where it is not recorded."""
    if value is None:
        return MISSING
    return value if isinstance(value, str) else f"{value:,.10g}"


def _lift_differs(variant: str, numbers: Numbers) -> Parts:
    return lift_differs([(variant, numbers)])


def lift_differs(baits: Sequence[tuple[str, Numbers]]) -> Parts:
    """The finding for all baits that lift more or less in water than the reference does."""
    each = listed(f"{variant} {_lift(numbers['lift_g'])}" for variant, numbers in baits)
    first = baits[0][1]
    one = len(baits) == 1
    apart = max(abs(numbers["difference_g"]) for _, numbers in baits)
    return Parts(
        f"By the sizes in the recipes, {each} in water, the reference "
        f"{_lift(first['reference_lift_g'])}.",
        f"That is {'' if one else 'up to '}{number(apart, 2)} g apart, more than "
        f"{number(first['tolerance_mm'], 1)} mm of making tolerance brings "
        f"({number(max(numbers['tolerance_g'] for _, numbers in baits), 2)} g). Baits that sit "
        "differently over the same rig may catch differently for that alone; how much, the log "
        "cannot say.",
        "Make them to the same size over the same cork, or match the hook and rig to the lift "
        "(rodhours lift).",
    )


def _lift(grams: float) -> str:
    return f"{'lifts' if grams >= 0 else 'sinks with'} {number(abs(grams), 2)} g"


def _gaps_in_the_log(variant: str, numbers: Numbers) -> Parts:
    labels, months = numbers["missing_numbers"], numbers["missing_months"]
    sessions = numbers["sessions"]
    found, moved = [], []
    if labels:
        have = "is" if len(labels) == 1 else "are"
        found.append(
            f"Trip {_named(labels)} {have} missing between the numbers of the "
            f"{count(sessions, 'trip')} in the log."
        )
        moved.append(
            f"If {'it was a blank' if len(labels) == 1 else 'they were blanks'}, all catch rates "
            f"are {times(numbers['rate_factor'])} what they should be; a comparison is moved only "
            "where one bait was out more on the missing trips."
        )
    if months:
        said = listed(_month(month) for month in months)
        found.append(f"There is no trip in {said}, though there are trips before and after.")
        if not labels:
            moved.append(
                "If trips were left out there, the log does not speak for that time; which way an "
                "answer moves by it cannot be said."
            )
    return Parts(
        " ".join(found),
        " ".join(moved),
        "Add what was fished and not written down, the blanks above all. If nothing was, all is "
        "well.",
    )


def _named(labels: Sequence[str]) -> str:
    if len(labels) <= MOST_NAMED + 1:
        return listed(labels)
    return f"{', '.join(labels[:MOST_NAMED])} and {len(labels) - MOST_NAMED:,} more"


def _month(text: str) -> str:
    """`2025-07` or, with several anglers, `2025-07 (name)`."""
    return month_name(text[:7]) + text[7:]


CHECK_TEXTS: dict[str, Callable[[str, Numbers], Parts]] = {
    "clumping": _clumping,
    "confounded": _confounded,
    "gaps_in_the_log": _gaps_in_the_log,
    "lift_differs": _lift_differs,
    "one_batch_each": _one_batch_each,
    "recipes_differ": _recipes_differ,
    "red_letter_trip": _red_letter_trip,
    "rods_not_rotated": _rods_not_rotated,
    "unlogged_blanks": _unlogged_blanks,
}
