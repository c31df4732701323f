"""The words about an ingredient: the opening sentence, the fit of the line, what limits it.

Works from the machine form of a response (a mapping), so that the terminal, the page and a
notebook say the same. Never "significant", never "proved".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from rodhours.evidence.result import INFORMATION, Note
from rodhours.wording import notes
from rodhours.wording.numbers import (
    confidence_level,
    count,
    exists,
    hours,
    limits,
    limits_short,
    listed,
    margin_text,
    number,
    p_value,
    the_count,
    times,
)
from rodhours.wording.parts import Parts

Numbers = Mapping[str, Any]

ALL_TRIPS = "all trips"
OPENINGS = {
    "rises": "Rises",
    "falls": "Falls",
    "bends": "Bends",
    "level": "Level",
    "unsettled": "Not settled",
    "too little to say": "Too little to say",
}
_STEPS = {
    "pellet_pct": ("point more pellet", "points more pellet"),
    "attractor_ml_per_egg": ("ml more attractor per egg", "ml more attractor per egg"),
    "albumen_g_per_kg": ("g more albumen per kg", "g more albumen per kg"),
    "size_mm": ("mm more in size", "mm more in size"),
    "cork_mm": ("mm more cork", "mm more cork"),
    "boil_s": ("s more boiling", "s more boiling"),
}
_AXES = {
    "pellet_pct": "pellet, % of dry weight",
    "attractor_ml_per_egg": "attractor, ml per egg",
    "albumen_g_per_kg": "albumen, g per kg of dry mix",
    "size_mm": "size, mm",
    "cork_mm": "cork, mm",
    "boil_s": "boiling, s",
}
_NAMES = {
    "pellet_pct": "pellet",
    "attractor_ml_per_egg": "attractor",
    "albumen_g_per_kg": "albumen",
    "size_mm": "size",
    "cork_mm": "cork",
    "boil_s": "boiling time",
    "base_mix": "base mix",
}
_UNITS = {
    "pellet_pct": " % pellet",
    "attractor_ml_per_egg": " ml of attractor per egg",
    "albumen_g_per_kg": " g of albumen per kg",
    "size_mm": " mm",
    "cork_mm": " mm of cork",
    "boil_s": " s of boiling",
}
_WHY_NOT = {
    "unlinked": "baits that differ in it were never fished on the same trip",
    "few_sessions": "that needs at least 4 trips with baits in the water that differ in it",
    "few_df": "there are too few such trips",
}


def amount(value: float) -> str:
    """A number of the recipe as it would be written down: `20`, `2.5`, `1,200`."""
    text = f"{value:,.6f}".rstrip("0").rstrip(".")
    return text if text not in ("-0", "") else "0"


def name_of(column: str) -> str:
    """The ingredient’s name in a sentence; a column of the angler’s own keeps its name."""
    return _NAMES.get(column, column)


def axis_of(column: str) -> str:
    """The ingredient with its unit, for an axis."""
    return _AXES.get(column, column)


def at(column: str, value: float) -> str:
    """A value with its unit: `20 % pellet`, `16 mm`, `hardness 3`."""
    if column in _UNITS:
        return f"{amount(value)}{_UNITS[column]}"
    return f"{column} {amount(value)}"


def step(column: str, per: float) -> str:
    """One step in words: `each 10 points more pellet`, `each ml more attractor per egg`."""
    one, several = _STEPS.get(column, (f"more {column}", f"more {column}"))
    if per == 1 and column in _STEPS:
        return f"each {one}"
    return f"each {amount(per)} {several}"


def step_margin(response: Numbers) -> float:
    """The margin within which the ends of the range count as level, for one step of it."""
    values = response["values"]
    return float(response["margin"] ** (response["per"] / (max(values) - min(values))))


def opening(response: Numbers) -> str:
    """The answer in plain words: one sentence, and a second where the line bends.

    `response` is `ResponseResult.to_dict()`. Raises KeyError for an unknown verdict.
    """
    start = OPENINGS[response["verdict"]]
    sentence = f"{start}: {_where(response)}, {_went(response)}."
    return sentence + _bend(response)


def heading(response: Numbers) -> str:
    """The answer as a heading; what moves along with the ingredient shares it."""
    along = [
        name_of(note["numbers"]["other"])
        for note in response["notes"]
        if note["code"] == "moves_together"
    ]
    what = listed([name_of(response["column"]), *along])
    with_it = f"{what} together" if along else what
    verdict = response["verdict"]
    if verdict in ("unsettled", "too little to say"):
        return {
            "unsettled": f"What {what} does to the catch rate is not settled",
            "too little to say": f"There is too little to say what {what} does to the catch rate",
        }[verdict].replace(" does ", " do " if along else " does ")
    found = {
        "rises": f"The catch rate rises with {with_it}",
        "falls": f"The catch rate falls with {with_it}",
        "bends": f"The catch rate bends with {with_it}",
        "level": f"The catch rate is level over the range of {what}",
    }[verdict]
    if response["basis"] == ALL_TRIPS:
        found += ", over all trips, which cannot tell bait from day"
    return found


def all_trips_beside(response: Numbers) -> str:
    """The all-trips answer in one sentence, where it is not the answer itself."""
    everything = response["all_trips"]
    if response["basis"] == ALL_TRIPS or not exists(everything["rate_ratio"]):
        return ""
    low, high = everything["conf_low"], everything["conf_high"]
    return (
        f"Over all {everything['sessions']:,} trips {step(response['column'], response['per'])} "
        f"went with {times(everything['rate_ratio'])} the catch rate "
        f"({limits_short(low, high, step_margin(response))}), which cannot tell bait from day."
    )


def further(columns: Sequence[str]) -> str:
    """That more numbers of the recipe differ than are shown; empty where none does."""
    if not columns:
        return ""
    return (
        f"The baits differ in {listed(name_of(one) for one in columns)} too: rodhours response "
        f"{columns[0]}"
    )


def _where(response: Numbers) -> str:
    trips = response["sessions"]
    if response["basis"] == ALL_TRIPS:
        over = "on the one trip there is" if trips == 1 else f"over all {trips:,} trips"
        return f"{over}, which cannot tell bait from day"
    return f"on {the_count(trips, 'trip')} that had two or more of the baits in the water"


def _went(response: Numbers) -> str:
    column, ratio = response["column"], response["rate_ratio"]
    low, high, margin = response["conf_low"], response["conf_high"], step_margin(response)
    one = step(column, response["per"])
    sure = f"with {confidence_level(response['confidence'])} confidence"
    if response["fish"] == 0:
        return f"there were no fish in {hours(response['rod_hours'])}"
    if not exists(ratio):
        if not exists(low) and not exists(high):
            return f"no rate ratio for {one} could be worked out"
        if exists(low):
            return (
                f"every bit of the evidence points up, so that no ratio can be named: {sure} "
                f"{one} goes with {limits(low, None, margin)} the catch rate"
            )
        return (
            f"every bit of the evidence points down, so that no ratio can be named: {sure} "
            f"{one} goes with {limits(None, high, margin)} the catch rate"
        )
    went = f"{one} went with {times(ratio)} the catch rate"
    if not exists(low) and not exists(high):
        return f"{went}; no limit can be set on either side"
    said = f"{went}, {sure} {limits(low, high, margin)}"
    if response["verdict"] == "level":
        said += (
            "; over the whole range fished the rate changes by no more than "
            f"{margin_text(response['margin'])} times either way"
        )
    return said


def _bend(response: Numbers) -> str:
    bent = response["bent"]
    if bent is None:
        return ""
    text = " That is an average: the line bends"
    if bent["turn"] is not None:
        best = "highest" if bent["turn"] == "peak" else "lowest"
        where = at(response["column"], float(f"{bent['turns_at']:.3g}"))
        text += f", and the catch rate was {best} near {where}"
    return f"{text} (p {_p(bent['p_value'])} for the bend); go by the curve."


def fit_of_line(response: Numbers) -> str:
    """How far the baits lie from the line, in words; empty where that cannot be tested."""
    lack = response["lack_of_fit"]
    if lack is None:
        return ""
    line = "the straight line" if lack["line"] == "straight" else "the bent line"
    odd = lack["p_value"] < 0.05
    found = (
        f"The baits lie further from {line} than chance alone would put them"
        if odd
        else f"The baits lie no further from {line} than chance alone would put them"
    )
    freedom = "1 degree" if lack["df"] == 1 else f"{lack['df']} degrees"
    return (
        f"{found} (likelihood ratio of a rate for each bait against the line "
        f"{lack['statistic']:.2f}, chi-square with {freedom} of freedom, "
        f"p {_p(lack['p_value'])})."
    )


def beside(response: Numbers) -> str:
    """What the ratios of the baits and of the curve are measured against."""
    return (
        f"Times the catch rate at {at(response['column'], response['reference_value'])} "
        f"({response['reference_variant']})."
    )


def caption(response: Numbers) -> str:
    """What the picture shows."""
    line = "bent" if response["bent"] else "straight"
    level = confidence_level(response["confidence"])
    if not response["curve"]:
        return (
            f"Each bait by itself with its {level} limits, as times the catch rate of "
            f"{response['reference_variant']}; there is no line to draw."
        )
    trips = "all trips" if response["basis"] == ALL_TRIPS else "the same trips"
    return (
        f"The {line} line with its {level} band, and each bait by itself with its {level} limits, "
        f"as times the catch rate at {at(response['column'], response['reference_value'])}; from "
        f"{trips}. The band holds at each value taken alone."
    )


def alt(response: Numbers) -> str:
    """The picture for a reader who cannot see it."""
    column = response["column"]
    parts = [f"Catch rate against {name_of(column)}."]
    ends = [one for one in response["curve"] if one["value"] != response["reference_value"]]
    if ends:
        last = ends[-1]
        parts.append(
            f"The line goes from 1 at {at(column, response['reference_value'])} to "
            f"{times(last['ratio'])} at {at(column, last['value'])} "
            f"({limits_short(last['conf_low'], last['conf_high'])})."
        )
    for one in response["points"]:
        if one["variant"] == response["reference_variant"]:
            parts.append(f"{one['variant']} at {amount(one['value'])} is what they are against.")
        elif one["ratio"] is None and not exists(one["conf_low"]) and not exists(one["conf_high"]):
            parts.append(f"{one['variant']} at {amount(one['value'])} has no ratio of its own.")
        else:
            parts.append(
                f"{one['variant']} at {amount(one['value'])}: {times(one['ratio'])} "
                f"({limits_short(one['conf_low'], one['conf_high'])})."
            )
    return " ".join(parts)


def _p(value: float) -> str:
    said = p_value(value)
    return said if said[0] in "<>" else f"= {said}"


# What limits the answer.


def says(code: str, numbers: Numbers) -> str:
    """A note in plain words; codes shared with a comparison keep their text.

    Raises KeyError where the code is unknown.
    """
    return parts(code, numbers).joined


def parts(code: str, numbers: Numbers) -> Parts:
    """The same note as what was found, how much it could move the answer, and what to do."""
    text = _TEXTS.get(code)
    if text is None:
        return notes.parts(Note(code, None, INFORMATION, numbers))
    return text(numbers)


def codes() -> tuple[str, ...]:
    """The codes with a text of their own here, in alphabetical order."""
    return tuple(sorted(_TEXTS))


def _moves_together(numbers: Numbers) -> Parts:
    one, other = name_of(numbers["column"]), name_of(numbers["other"])
    return Parts(
        f"{_capital(one)} and {other} were always changed together, so this log cannot tell "
        "them apart.",
        f"What stands here under {one} may be the work of {other}, or of both.",
        "Fish a bait that changes one of the two alone.",
    )


def _other_differences(numbers: Numbers) -> Parts:
    names = listed(name_of(one) for one in numbers["columns"])
    return Parts(
        f"The baits also differ in {names}.",
        "The line does not allow for that.",
        "See what the baits do one by one: rodhours compare",
    )


def _recipe_missing(numbers: Numbers) -> Parts:
    left, variants = numbers["stints"], numbers["variants"]
    were = "was" if left == 1 else "were"
    recipes, do = ("recipe", "does") if len(variants) == 1 else ("recipes", "do")
    return Parts(
        f"{count(left, 'stint')} ({hours(numbers['rod_hours'])}, {count(numbers['fish'], 'fish')}) "
        f"{were} left out, because the {recipes} of {listed(variants)} {do} not say the "
        f"{name_of(numbers['column'])}.",
        "The answer is about the rest.",
        "Fill it in in the variants table.",
    )


def _step_chosen(numbers: Numbers) -> Parts:
    return Parts(
        f"The step of {amount(numbers['per'])} was taken from the range that was fished.",
        "",
        "Ask for another with --per.",
    )


def _step_beyond_range(numbers: Numbers) -> Parts:
    return Parts(
        f"The step of {amount(numbers['per'])} is longer than the range that was fished "
        f"({amount(numbers['span'])}).",
        "The ratio goes beyond what the log has seen.",
        "Take a smaller --per.",
    )


def _not_same_trips(numbers: Numbers) -> Parts:
    had = f"{count(numbers['contrasting_sessions'], 'trip')} had that"
    return Parts(
        f"This answer comes from all trips, not from the same trips: {_WHY_NOT[numbers['reason']]} "
        f"({had}).",
        f"It cannot tell {name_of(numbers['column'])} from better days.",
        "Fish baits that differ in it side by side on every trip.",
    )


def _variants_not_linked(numbers: Numbers) -> Parts:
    variants = numbers["variants"]
    was = "was" if len(variants) == 1 else "were"
    return Parts(
        f"{listed(variants)} {was} never fished beside the other baits.",
        f"Only the all-trips answer has {'it' if len(variants) == 1 else 'them'}.",
        "Fish all baits side by side.",
    )


def _no_fish(numbers: Numbers) -> Parts:
    return Parts(
        f"No fish in {hours(numbers['rod_hours'])}.",
        "There is nothing to draw a line through.",
        "Fish on and log the blanks too.",
    )


def _few_fish(numbers: Numbers) -> Parts:
    return Parts(
        f"Few fish: {count(numbers['below'], 'fish')} below and {count(numbers['above'], 'fish')} "
        f"above the middle of the range ({amount(numbers['middle'])}).",
        "One fish more or less would move this answer a good deal; the limits allow for that.",
        "Only more trips will narrow them.",
    )


def _too_few_trips(numbers: Numbers) -> Parts:
    return Parts(
        f"Too few trips: {count(numbers['sessions'], 'trip')} with as many columns as were asked "
        "for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    )


def _runs_off(numbers: Numbers) -> Parts:
    most, steep = ("least", "down") if numbers["end"] == "lowest" else ("most", "up")
    return Parts(
        f"The fish came to the baits with the {most} {name_of(numbers['column'])} of what was in "
        "the water, and to no other.",
        f"The line could go {steep} as steeply as you like: there is a limit on one side alone.",
        "More trips with all baits in the water will give it the other.",
    )


def _two_values(numbers: Numbers) -> Parts:
    low, high = (amount(one) for one in numbers["values"])
    return Parts(
        f"Only two values were fished ({low} and {high}).",
        "Nothing here can show whether what lies between them follows a straight line.",
        "A bait in between would.",
    )


def _bends(numbers: Numbers) -> Parts:
    return Parts(
        "The line bends more than chance alone would bend it.",
        "One ratio for every step is an average only.",
        "Go by the curve.",
    )


def _lack_of_fit(numbers: Numbers) -> Parts:
    return Parts(
        "The baits lie further from the line than chance alone would put them.",
        "Something else than this ingredient makes them differ, or the line has another shape.",
        "Go by the baits one by one: rodhours compare",
    )


def _favourite_conditions(numbers: Numbers) -> Parts:
    same, everything = numbers["same_trips_ratio"], numbers["all_trips_ratio"]
    effect, days = ("flatters", "good") if everything > same else ("hides", "poor")
    name = name_of(numbers["column"])
    return Parts(
        f"The all-trips answer {effect} {name}: {step(numbers['column'], numbers['per'])} went "
        f"with {times(everything)} the catch rate over all trips, but {times(same)} on the same "
        "trips.",
        "That is a wider gap than chance alone would often leave; fishing baits with more of it "
        f"on the {days} trips does that.",
        "Go by the same trips.",
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


_TEXTS: dict[str, Callable[[Numbers], Parts]] = {
    "bend": _bends,
    "favourite_conditions": _favourite_conditions,
    "few_fish": _few_fish,
    "lack_of_fit": _lack_of_fit,
    "moves_together": _moves_together,
    "no_fish": _no_fish,
    "not_same_trips": _not_same_trips,
    "other_differences": _other_differences,
    "recipe_missing": _recipe_missing,
    "runs_off": _runs_off,
    "step_beyond_range": _step_beyond_range,
    "step_chosen": _step_chosen,
    "too_few_trips": _too_few_trips,
    "two_values": _two_values,
    "variants_not_linked": _variants_not_linked,
}


def table_headings(response: Numbers) -> list[str]:
    """The heads of the columns of `points_rows`."""
    level = confidence_level(response["confidence"])
    return [
        "bait",
        axis_of(response["column"]),
        "times",
        f"{level} limits",
        "line",
        f"{level} limits of line",
        "fish",
        "rod-hours",
        "trips",
    ]


def points_rows(response: Numbers) -> Sequence[Numbers]:
    """Each bait’s own point beside the line at its value, ready to be shown.

    Keys: variant, value, ratio, limits, line, line_limits, fish, rod_hours, trips.
    """
    line = {one["value"]: one for one in response["curve"]}
    rows = []
    for one in response["points"]:
        here = line.get(one["value"])
        is_reference = one["variant"] == response["reference_variant"]
        rows.append(
            {
                "variant": one["variant"],
                "value": amount(one["value"]),
                "ratio": "1" if is_reference and one["ratio"] else _own(one["ratio"]),
                "limits": "" if is_reference else limits_short(one["conf_low"], one["conf_high"]),
                "line": "none" if here is None else _own(here["ratio"]),
                "line_limits": ""
                if here is None or one["value"] == response["reference_value"]
                else limits_short(here["conf_low"], here["conf_high"]),
                "fish": number(one["fish"]),
                "rod_hours": hours(one["rod_hours"]).split()[0],
                "trips": number(one["sessions"]),
            }
        )
    return rows


def _own(value: float | None) -> str:
    if value is None:
        return "none"
    return "no fish" if value == 0 else times(value).split()[0]
