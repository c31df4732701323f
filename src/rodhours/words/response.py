"""The words about an ingredient: its name and steps, the answer, the line, table and picture."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rodhours.evidence.response.result import (
    BENDS,
    FALLS,
    LEVEL,
    PEAK,
    RISES,
    STRAIGHT,
    TOO_LITTLE,
    UNSETTLED,
    CurvePoint,
    ResponseResult,
)
from rodhours.evidence.results import ALL_TRIPS
from rodhours.words.numbers import (
    confidence_level,
    exists,
    hours,
    limits,
    limits_short,
    listed,
    margin_text,
    number,
    p_value,
    ratio_label,
    the_count,
    times,
)
from rodhours.words.parts import alternative


class _Ingredient(NamedTuple):
    name: str
    axis: str
    unit: str
    more: str
    """What each step is more of; `{}` is `point` or `points` where the unit counts."""


_KNOWN = {
    "pellet_pct": _Ingredient(
        "pellet", "pellet, % of dry weight", " % pellet", "point{} more pellet"
    ),
    "attractor_ml_per_egg": _Ingredient(
        "attractor",
        "attractor, ml per egg",
        " ml of attractor per egg",
        "ml more attractor per egg",
    ),
    "albumen_g_per_kg": _Ingredient(
        "albumen", "albumen, g per kg of dry mix", " g of albumen per kg", "g more albumen per kg"
    ),
    "size_mm": _Ingredient("size", "size, mm", " mm", "mm more in size"),
    "cork_mm": _Ingredient("cork", "cork, mm", " mm of cork", "mm more cork"),
    "age_days": _Ingredient("age of the bait", "age, days", " days", "day{} of age"),
    "boil_s": _Ingredient("boiling time", "boiling, s", " s of boiling", "s more boiling"),
}
_NAMES = {"base_mix": "base mix", **{column: words.name for column, words in _KNOWN.items()}}


def amount(value: float) -> str:
    """A number of the recipe as it would be written down: `20`, `2.5`, `1,200`."""
    text = f"{value:,.6f}".rstrip("0").rstrip(".")
    return text if text not in ("-0", "") else "0"


def name_of(column: str) -> str:
    """The ingredient’s name in a sentence; a column of the angler’s own keeps its name."""
    return _NAMES.get(column, column)


def axis_of(column: str) -> str:
    """The ingredient with its unit, for an axis."""
    return _KNOWN[column].axis if column in _KNOWN else column


def value_of(column: str, value: float) -> str:
    """A value with its unit: `20 % pellet`, `16 mm`, `hardness 3`."""
    if column in _KNOWN:
        return f"{amount(value)}{_KNOWN[column].unit}"
    return f"{column} {amount(value)}"


def step_of(column: str, per: float) -> str:
    """One step in words: `each 10 points more pellet`, `each ml more attractor per egg`."""
    if column not in _KNOWN:
        return f"each {amount(per)} more {column}"
    more = _KNOWN[column].more
    return f"each {more.format('')}" if per == 1 else f"each {amount(per)} {more.format('s')}"


OPENINGS = {
    RISES: "Rises",
    FALLS: "Falls",
    BENDS: "Bends",
    LEVEL: "Level",
    UNSETTLED: "Not settled",
    TOO_LITTLE: "Too little to say",
}


def step_margin(response: ResponseResult) -> float:
    """The margin within which the ends of the range count as level, for one step of it."""
    span = max(response.values) - min(response.values)
    return float(response.margin ** (response.per / span))


def sentences(response: ResponseResult) -> list[str]:
    """The answer, all trips beside it, and how well the baits lie on the line."""
    texts = opening(response), all_trips_beside(response), fit_of_line(response)
    return [text for text in texts if text]


def opening(response: ResponseResult) -> str:
    """The answer in plain words: one sentence, and a second where the line bends.

    Raises KeyError for an unknown verdict.
    """
    start = OPENINGS[response.verdict]
    return f"{start}: {_where(response)}, {_went(response)}.{_bend(response)}"


def part_name(response: ResponseResult) -> str:
    """What the part of the page about it is called: what moves along shares it."""
    along = [note.numbers["other"] for note in response.notes if note.code == "moves_together"]
    said = listed(map(name_of, [response.column, *along]))
    return f"{said[0].upper()}{said[1:]}"


def heading(response: ResponseResult) -> str:
    """The answer as a heading; what moves along with the ingredient shares it."""
    what = part_name(response)
    if response.verdict in (UNSETTLED, TOO_LITTLE):
        return f"{what}: {OPENINGS[response.verdict].lower()}"
    if response.basis == ALL_TRIPS:
        return f"{what}: only all trips could be compared, which cannot tell bait from day"
    return {
        RISES: f"{what}: the catch rate rises with it",
        FALLS: f"{what}: the catch rate falls with it",
        BENDS: f"{what}: the catch rate bends with it",
        LEVEL: f"{what}: the catch rate is level over its range",
    }[response.verdict]


def all_trips_beside(response: ResponseResult) -> str:
    """The all-trips answer in one sentence, where it is not the answer itself."""
    everything = response.all_trips
    if response.basis == ALL_TRIPS or not exists(everything.rate_ratio):
        return ""
    short = limits_short(everything.conf_low, everything.conf_high, step_margin(response))
    return (
        f"Over all {everything.sessions:,} trips {step_of(response.column, response.per)} went "
        f"with {times(everything.rate_ratio)} the catch rate ({short}), which cannot tell bait "
        "from day."
    )


def further(columns: Sequence[str]) -> str:
    """That more numbers of the recipe differ than are shown; empty where none does."""
    if not columns:
        return ""
    names = listed(map(name_of, columns))
    return f"The baits differ in {names} too: rodhours response {columns[0]}"


def _where(response: ResponseResult) -> str:
    trips = response.sessions
    if response.basis == ALL_TRIPS:
        over = "on the one trip there is" if trips == 1 else f"over all {trips:,} trips"
        return f"{over}, which cannot tell bait from day"
    return f"on {the_count(trips, 'trip')} that had two or more of the baits in the water"


def _went(response: ResponseResult) -> str:
    low, high = response.conf_low, response.conf_high
    step = step_of(response.column, response.per)
    sure = f"with {confidence_level(response.confidence)} confidence"
    within = limits(low, high, step_margin(response))
    if response.fish == 0:
        return f"there were no fish in {hours(response.rod_hours)}"
    if not exists(response.rate_ratio):
        bounded = f": {sure} it is {within}" if exists(low) or exists(high) else ""
        return f"no rate ratio for {step} can be named{bounded}"
    went = f"{step} went with {times(response.rate_ratio)} the catch rate"
    if not exists(low) and not exists(high):
        return f"{went}; no limit can be set on either side"
    text = f"{went}, {sure} {within}"
    if response.verdict == LEVEL:
        text += (
            "; over the whole range fished the rate changes by no more than "
            f"{margin_text(response.margin)} times either way"
        )
    return text


def _bend(response: ResponseResult) -> str:
    bent = response.bent
    if bent is None:
        return ""
    text = " That is an average: the line bends"
    if bent.turns_at is not None:
        best = "highest" if bent.turn == PEAK else "lowest"
        where = value_of(response.column, float(f"{bent.turns_at:.3g}"))
        text += f", and the catch rate was {best} near {where}"
    return f"{text} (p {_p(bent.p_value)} for the bend); go by the curve."


def fit_of_line(response: ResponseResult) -> str:
    """How far the baits lie from the line, in words; empty where that cannot be tested."""
    lack = response.lack_of_fit
    if lack is None:
        return ""
    line = "the straight line" if lack.line == STRAIGHT else "the bent line"
    further_than = "further" if lack.is_poor else "no further"
    freedom = "1 degree" if lack.df == 1 else f"{lack.df} degrees"
    return (
        f"The baits lie {further_than} from {line} than chance alone would put them (likelihood "
        f"ratio of a rate for each bait against the line {lack.statistic:.2f}, chi-square with "
        f"{freedom} of freedom, p {_p(lack.p_value)})."
    )


def _p(value: float) -> str:
    text = p_value(value)
    return text if text[0] in "<>" else f"= {text}"


def beside(response: ResponseResult) -> str:
    """What the ratios of the baits and of the curve are measured against."""
    where = value_of(response.column, response.reference_value)
    return f"Times the catch rate at {where} ({response.reference_variant})."


def line_at(here: CurvePoint | None) -> str:
    """What the line gives at a dose, beside it; nothing where there is no line."""
    if here is None or (here.conf_low == here.conf_high == 1):
        return ""
    return f"line {ratio_label(here.ratio, here.conf_low, here.conf_high)}"


def caption(response: ResponseResult) -> str:
    """What the picture shows."""
    level = confidence_level(response.confidence)
    baits = f"Baits by dose, each against {response.reference_variant} with its {level} limits"
    if not response.curve:
        return f"{baits}; there is no line to draw."
    line = "bent" if response.bent else "straight"
    trips = "all trips" if response.basis == ALL_TRIPS else "the same trips"
    return (
        f"{baits}. Shaded, with an upright: the {line} line at that dose and its {level} band, "
        f"from {trips}; the band holds at each dose taken alone."
    )


def alt(response: ResponseResult) -> str:
    """The picture for a reader who cannot see it."""
    column = response.column
    parts = []
    ends = [one for one in response.curve if one.value != response.reference_value]
    if ends:
        last = ends[-1]
        parts.append(
            f"the line goes from 1 at {value_of(column, response.reference_value)} to "
            f"{times(last.ratio)} at {value_of(column, last.value)} "
            f"({limits_short(last.conf_low, last.conf_high)})"
        )
    for one in response.points:
        bait = f"{one.variant} at {amount(one.value)}"
        if one.variant == response.reference_variant:
            parts.append(f"{bait} is what they are against")
        elif one.ratio is None and not exists(one.conf_low) and not exists(one.conf_high):
            parts.append(f"{bait} has no ratio of its own")
        else:
            short = limits_short(one.conf_low, one.conf_high)
            parts.append(f"{bait}: {times(one.ratio)} ({short})")
    return alternative(f"Catch rate against {name_of(column)}", parts)


def points_table(response: ResponseResult) -> list[list[str]]:
    """Each bait’s own point beside the line at its value, under a row of headings."""
    level = confidence_level(response.confidence)
    line = {one.value: one for one in response.curve}
    rows = [
        [
            "bait",
            axis_of(response.column),
            "times",
            f"{level} limits",
            "line",
            f"{level} limits of line",
            "fish",
            "rod-hours",
            "trips",
        ]
    ]
    for one in response.points:
        here = line.get(one.value)
        is_reference = one.variant == response.reference_variant
        at_reference = one.value == response.reference_value
        rows.append(
            [
                one.variant,
                amount(one.value),
                "1" if is_reference and one.ratio else _times_cell(one.ratio),
                "" if is_reference else limits_short(one.conf_low, one.conf_high),
                "none" if here is None else _times_cell(here.ratio),
                "" if here is None or at_reference else limits_short(here.conf_low, here.conf_high),
                number(one.fish),
                hours(one.rod_hours).split()[0],
                number(one.sessions),
            ]
        )
    return rows


def _times_cell(value: float | None) -> str:
    if value is None:
        return "none"
    return "no fish" if value == 0 else times(value).split()[0]
