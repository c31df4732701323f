"""The words of the season page: headings, captions, alt texts, method, glossary, provenance.

Headings state what was found; an alt text says what its picture shows.
"""

from __future__ import annotations

import math
import shlex
from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.evidence.result import INFORMATION
from rodhours.evidence.results import ALL_TRIPS, ComparisonResult, FittedModel, RatioRow
from rodhours.evidence.verdicts import FEWEST_FISH
from rodhours.log.change_texts import of_angler
from rodhours.words.fish_counted import CHOICES, wanted_fish
from rodhours.words.note_forms import FURTHER_CLUMPS
from rodhours.words.notes import how_many
from rodhours.words.numbers import (
    confidence_level,
    count,
    exists,
    for_all,
    hours,
    limits,
    listed,
    margin_text,
    percent,
    times,
    word,
)
from rodhours.words.parts import alternative

CAUTIONS = (
    "Before any of this is tried on the bank: the rod licence and the fishery’s own rules come "
    "first, baits and rod numbers included. Keep rods and poles well away from overhead power "
    "lines, and take care at the water’s edge in the dark."
)
PDF_NEEDS_LIBRARY = (
    "A PDF needs a further library: pip install 'rodhours[pdf]' (it uses the system's text layout "
    "library Pango, such as Debian's libpango-1.0-0 and libpangoft2-1.0-0). Or open the HTML page "
    "in a browser and print it: it is made for A4."
)
NOTHING_LIMITS = (
    "Nothing in the log itself limits this answer further. That is no all-clear: what was not "
    "logged cannot be seen here."
)
ONE_ANGLERS_TRIPS = (
    "The same-trip answer compares baits within one angler’s trips, so whoever catches more makes "
    "no bait look better; the all-trips answer cannot tell bait from angler."
)
WHO = "Who contributed what"
LIMITS_TITLE = "What limits it"
BATCHES = "What each batch did"
EVERY_FISH_BY_ITSELF = "as if every fish came by itself"


NAMES: dict[str, str] = {
    "limits": LIMITS_TITLE,
    "next": "What to fish next",
    "ratios": "Same trips and all trips",
    "growth": "Trip by trip",
    "hours": "Where and when",
    "fish": "The fish",
    "seasons": "Earlier seasons",
    "rehearsal": "A rehearsal",
    "rates": "Catch rates",
    "batches": "Batches",
    "method": "How it was worked out",
    "provenance": "Where the numbers come from",
    "glossary": "The words used here",
    "all_that_limits": "All that limits it",
    "contents": "On this page",
    "worth_knowing": "Also worth knowing",
    "for_the_program": "For whoever has the program",
    "models": "The fitted models",
    "logbook": "Logbook, SHA-256",
    "made_by": "Made by",
}
"""What the parts of the page are called; ingredients have their own names."""
BESIDE_ALL_TRIPS = "All trips beside the same trips, and each answer in a sentence"
GROWTH_FOLDED = "The picture, trip by trip"
RATES_FOLDED = "What each bait caught by itself, which compares nothing"


def cited(title: str, version: str, made: str, logbook_sha256: str) -> str:
    """How to cite the page."""
    when = f", made on {made}" if made else ""
    book = f", from the logbook {logbook_sha256[:12]}" if logbook_sha256 else ""
    return f"To cite this page: “{title}”, rodhours {version}{when}{book}."


def command_of(result: ComparisonResult) -> str:
    """The command that gives this page again from the logbook."""
    given: dict[str, Sequence[Any]] = {
        "--reference": [result.reference],
        "--adjust": result.adjusted_for,
    }
    for name, value in result.filters.items():
        if name == "min_weight_kg" and value:
            given["--min-weight"] = [f"{value:g} kg"]
        elif value and name != "left_out":
            several = value if isinstance(value, (list, tuple)) else [value]
            given[f"--{name.replace('_', '-')}"] = several
    if result.confidence != 0.95:
        given["--confidence"] = [f"{result.confidence:g}"]
    if result.margin != 1.25:
        given["--margin"] = [f"{result.margin:g}"]
    words = [word for option, values in given.items() for one in values for word in (option, one)]
    return shlex.join(["rodhours", "report", *map(str, words)])


MODEL_COLUMNS = ("Basis", "Trips", "Cells", "df", "Spread of trips", "Clumping", "Log-likelihood")


SAVED_AS = "Save these numbers as {}"
ROWS_LEFT_OUT = "{:,} further rows are left out here; the file has them all."
GLOSSARY: tuple[tuple[str, str], ...] = (
    ("Blank", "a trip without a fish. It is evidence, and belongs in the log."),
    (
        "Confidence",
        "a 95 % interval is made so that it holds the true value in 95 seasons of 100 like this "
        "one. Which of the 100 this is, nobody knows.",
    ),
    (
        "Fixed interval",
        "the ordinary interval, for one look at an end that was fixed beforehand. Whoever looks "
        "after every trip, and stops when it pleases, is wrong more often than it says.",
    ),
    (
        "Interval, limits",
        "the ratios (or rates) that fit the log, from the lower limit to the upper one. Short "
        "means well known, long means that the log knows little.",
    ),
    ("Look", "one reading of the evidence, after one of the trips, from the trips so far."),
    (
        "p",
        "how often a difference at least this large would turn up by luck alone, if both baits "
        "were in truth the same. Small is rare.",
    ),
    (
        "Rate ratio",
        "how many times as fast one variant catches as the reference, hour for hour: 2 is twice "
        "as fast, 0.5 half as fast, 1 the same.",
    ),
    ("Reference", "the variant that all others are measured against."),
    ("Rod-hours", "the hours that one hookbait was in the water, summed over stints."),
    (
        "Running interval",
        "a wider interval that allows for a look after every trip: you may stop, or go on, "
        "whenever you like because of it.",
    ),
    (
        "Same trips, all trips",
        "the same-trip answer compares baits that met the same water and weather on one trip. "
        "The all-trips answer uses every trip, and cannot tell a better bait from better days.",
    ),
    ("Stint", "one rod fishing one variant for an unbroken stretch."),
    ("Trip (session)", "one stay at one water."),
    ("Variant", "a hookbait made to one recipe."),
)
GROWTH_METHOD = (
    "How the evidence grew is the same model fitted again after each trip to the trips so far. The "
    "running interval cuts the same profile higher, by as much as looking after every trip needs; "
    "that it holds the true ratio throughout was measured on simulated seasons and is no theorem."
)
NEXT_METHOD = (
    "What to fish next follows stated rules from the answers above. Trips to go are worked out by "
    "formula from this log’s catch rate and uneven trips, or from stand-ins where it holds too "
    "little; they allow for what is known already, and are too hopeful where an answer rests on "
    "few trips."
)


def page_title(first: str | None, last: str | None) -> str:
    """The page’s title, with the stretch of dates where dates are logged."""
    if first is None or last is None:
        return "What the trip log says"
    stretch = f"on {first}" if first == last else f"{first} to {last}"
    return f"What the trip log says, {stretch}"


def answer_caption(result: ComparisonResult) -> str:
    """Under the intervals at the top of the page."""
    return (
        f"Lines: the rate ratios that fit the log ({confidence_level(result.confidence)} "
        f"intervals{for_all(len(result.comparisons))}). Upright: as fast as "
        f"{result.reference}; shaded: within {margin_text(result.margin)} times of it. An arrow "
        "goes on."
    )


def ratios_heading(result: ComparisonResult) -> str:
    """What the two bases together say."""
    if not result.comparisons:
        return "No rate ratio yet"
    given = [one for one in result.comparisons if exists(one.rate_ratio)]
    if not given:
        return "No rate ratio can be given yet"
    if all(one.basis == ALL_TRIPS for one in given):
        return "Only all trips could be compared, which cannot tell bait from day"
    return "Go by the same trips: all trips cannot tell bait from day"


def limits_heading(severities: Sequence[str]) -> str:
    """How much limits the answer, as a finding."""
    grave = [one for one in severities if one != INFORMATION]
    if not grave:
        return "What limits the answer"
    verb = "limits" if len(grave) == 1 else "limit"
    said = f"{listed(how_many(grave))} {verb} the answer"
    return said[0].upper() + said[1:]


def filter_words(filters: Mapping[str, Any]) -> str:
    """Which rows were chosen: `since 2025-04-01, venue Alder Mere`, or all of them."""
    chosen = []
    wanted = wanted_fish(filters)
    for name, value in filters.items():
        if not value or name in CHOICES:
            continue
        if name == "left_out":
            aside = [of_angler(one["session"], one["angler"]) for one in value]
            chosen.append(f"without {listed(aside)}")
            continue
        several = isinstance(value, (list, tuple))
        said = listed((str(one) for one in value), "or") if several else str(value)
        chosen.append(f"{str(name).replace('_', ' ')} {said}")
    rows = ", ".join(chosen) if chosen else "all rows of the logbook"
    return rows if wanted is None else f"{rows}; counted: {wanted}"


def ratios_caption(result: ComparisonResult) -> str:
    """Under the forest plot."""
    family = len(result.comparisons)
    return (
        "The thick line is the answer; the thin one beneath it is from all trips, which cannot "
        f"tell bait from day. {confidence_level(result.confidence)} intervals{for_all(family)}."
        f"{' p in the numbers allows for their number too.' if family > 1 else ''}"
    )


def basis(row: RatioRow) -> str:
    """What an estimate rests on."""
    return EVERY_FISH_BY_ITSELF if row.basis == "poisson" else row.basis


def ratios_alt(reference: str, rows: Sequence[RatioRow], margin: float | None = None) -> str:
    """What a picture of rate ratios shows."""
    parts = [
        f"{row.variant}, {basis(row)}: {times(row.rate_ratio)} as fast, "
        f"{limits(row.conf_low, row.conf_high, margin)}"
        for row in rows
        if exists(row.rate_ratio) or exists(row.conf_low) or exists(row.conf_high)
    ]
    return alternative(f"Rate ratios against {reference}", parts or ["no ratio can be given yet"])


def hours_heading(
    gap: tuple[str, str, float, float] | None, reference: str, variants: int, known: bool
) -> str:
    """Where and when the hours went, as a finding; `known` is whether a date or water is logged.

    `gap` is where a variant's share of its hours differs most: who, where, both shares.
    """
    if not known:
        return "Where and when the hours went is not in the log"
    if variants < 2:
        return "Where and when the hours went"
    if gap is None:
        return "The baits shared their waters and months about evenly"
    variant, place, share, beside = gap
    return f"{variant} had {percent(share)} of its rod-hours {place}, {reference} {percent(beside)}"


def calendar_caption(has_dates: bool, has_venues: bool, undated: bool, gathered: int) -> str:
    """Under the calendar; `undated` is whether some trips alone lack a date, `gathered` how many
    waters stand under one name (fewer than two: none does)."""
    text = (
        "A mark is a bait’s rod-hours on one trip, the bigger the more; a thin upright joins baits "
        "in the water together. A lane that is empty where another is full met other conditions: "
        "all trips are exposed to that, the same trips are not."
    )
    missing = [word for word, there in (("dates", has_dates), ("waters", has_venues)) if not there]
    if missing:
        text += f" The log has no {listed(missing)}."
    if undated:
        text += " Trips without a date stand at the right, in the order of the log."
    if gathered > 1:
        text += f" The {word(gathered)} waters with the fewest hours share a band."
    return text


NO_DATE = "no date"


def calendar_alt(rows: Sequence[Mapping[str, Any]]) -> str:
    """What the calendar shows; each row has variant, rod_hours, share and top (a place)."""
    parts = [
        f"{row['variant']} {hours(row['rod_hours'])}, {percent(row['share'])} of them {row['top']}"
        for row in rows
    ]
    return alternative("Which bait was fished where and when", parts)


def calendar_trip(baits: Sequence[Mapping[str, Any]]) -> str:
    """A mark’s trip: its name and date, each bait’s hours and fish; several where they share it."""
    first = baits[0]
    trips = max(bait["trips"] for bait in baits)
    name = first["first"] if trips == 1 else f"{trips} trips, {first['first']} to {first['last']}"
    when = f", {first['date']:%Y-%m-%d}" if first["date"] == first["date"] else ""  # NaT
    each = [
        f"{bait['variant']} {hours(bait['rod_hours']).split()[0]} h, {count(bait['fish'], 'fish')}"
        for bait in baits
    ]
    return f"{name}{when}: {'; '.join(each)}"


def together(family: int, whole: bool = False) -> str:
    """What the limits hold for, under a table of several comparisons; nothing of one alone."""
    if family < 2:
        return ""
    allows = "; p allows for their number too" if whole else ""
    return f"The limits hold{for_all(family)}{allows}."


def adjusted(columns: Sequence[str]) -> str:
    """What the answers are adjusted for."""
    if not columns:
        return "Not adjusted for anything logged beside the bait."
    named = listed(column.replace("_", " ") for column in columns)
    return f"Adjusted for {named}."


def method(
    confidence: float, margin: float, growth: bool = False, planned: bool = False
) -> tuple[str, ...]:
    """The method in words, a paragraph each; `growth` and `planned`: whether the page has them."""
    held = (
        f" Intervals of this kind held the true ratio in about {confidence_level(confidence)} of "
        "simulated seasons with a known truth, clumps and moods included."
        if confidence == 0.95
        else ""
    )
    further = (*([GROWTH_METHOD] if growth else []), *([NEXT_METHOD] if planned else []))
    return (
        "Every stint counts with its hours, blanks included. The catch rate of a variant is its "
        "fish over its rod-hours; a comparison is the ratio of two rates.",
        "Fish do not come one by one: a good day brings several, and many trips bring none. The "
        "model gives each trip its own luck, shared by all rods out on it, and lets the fish of "
        "one bait on one trip come in clumps beyond that. How strong both are is worked out from "
        "the log. The intervals are as wide as that makes them. ",
        "Whoever has a favourite fishes it when things look good. So the answer that leads is the "
        "one from the same trips, wherever it exists: baits in the water on one trip met the same "
        "water, weather and shoal. It cannot see favours within a trip, such as the best rod, "
        "spot or hours kept for one bait. The answer from all trips stands beside it.",
        "Each interval holds all ratios that fit the log nearly as well as the best one (a profile "
        f"likelihood), with cut-offs that allow for few trips and few fish.{held}",
        "“Ahead” or “behind” is said when the whole interval lies on one side of 1; “level” when "
        f"all of it is within {margin_text(margin)} times either way; “too little to say” when "
        f"there are under {word(FEWEST_FISH)} fish or the interval is very wide or open; otherwise "
        "it is not settled. Not settled does not mean equal.",
        *further,
        "All ratios describe mixed fishing, several baits in the water at once.",
    )


def model_words(model: FittedModel) -> str:
    """How uneven the trips were, in words: the model’s session spread and clumping."""
    parts = []
    if model.session_sd is not None:
        # One standard deviation up on the log scale, against the median trip.
        parts.append(
            "trips hardly differed in luck"
            if model.session_sd < 0.1
            else f"a good trip gave about {math.exp(model.session_sd):.1f} times a usual one"
        )
    if model.clumping is not None:
        clumps = "came in clumps beyond that"
        if model.clumping < FURTHER_CLUMPS:
            clumps = "came without further clumps"
        parts.append(f"fish on one bait and trip {clumps}")
    return f"{'; '.join(parts).capitalize()}." if parts else ""
