"""Catch rates by group in words: the season in a sentence, where limits come from, the picture."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.evidence.results import RateRow, RateSummary
from rodhours.evidence.summary import (
    EXACT_FEW_SESSIONS,
    EXACT_NO_FISH,
    FEWEST_SESSIONS,
    GAMMA_MODEL,
    NO_UPPER_LIMIT,
    SESSION_MODEL,
    WHOLE_LOG,
)
from rodhours.words.numbers import confidence_level, count, fish_every, hours, rate, rate_limits
from rodhours.words.parts import alternative

METHODS = {
    SESSION_MODEL: "the limits allow for trips of uneven luck",
    WHOLE_LOG: "few trips or no fish, so how uneven trips are is taken from the whole log",
    GAMMA_MODEL: (
        "few trips or few fish, so the upper limit comes from a simpler model of uneven trips"
    ),
    NO_UPPER_LIMIT: "too few trips for an upper limit",
    EXACT_FEW_SESSIONS: (
        f"fewer than {FEWEST_SESSIONS} trips, so the limits cannot allow for good days and bad, "
        "and are too close"
    ),
    EXACT_NO_FISH: (
        "no fish, so there is an upper limit only, and it cannot allow for good days and bad"
    ),
}
"""Where the limits of a rate come from, by the method of its row."""


def sentences(summary: RateSummary) -> list[str]:
    """All trips in a sentence, then each row with a rate outside its own limits."""
    rows = [*summary.rows, summary.total]
    return [fished_text(summary.total), *filter(None, map(uneven_rate, rows))]


def fished_text(total: RateRow, waters: int = 0) -> str:
    """The season in a sentence: trips, blanks, hours, fish, waters where they are logged."""
    where = f" on {count(waters, 'water')}" if waters else ""
    season = f"{count(total.sessions, 'trip')}{where}, {count(total.blanks, 'blank')} among them,"
    per_100 = total.per_100_rod_hours
    each = f": {fish_every(per_100)} over everything" if per_100 else ""
    return f"{season} brought {count(total.fish, 'fish')} in {hours(total.rod_hours)}{each}."


def uneven_rate(row: RateRow) -> str | None:
    """A remark where fish over hours lies outside its own limits."""
    modelled = row.model_per_100_rod_hours
    if modelled is None:
        return None
    return (
        f"{row.group}: the trips were so uneven that fish over hours "
        f"({rate(row.per_100_rod_hours)} per 100 rod-hours) lies outside its limits; the model’s "
        f"own rate is {rate(modelled)} per 100 rod-hours, {fish_every(modelled)}."
    )


def rates_heading(total: RateRow) -> str:
    """The catch rate of everything: `A fish every 33 rod-hours over all 45 trips`."""
    if not total.fish:
        return "No fish yet, so only upper limits can be given"
    said = fish_every(total.per_100_rod_hours)
    over = "on the one trip" if total.sessions == 1 else f"over all {total.sessions:,} trips"
    return f"{said[0].upper()}{said[1:]} {over}"


def rates_caption(confidence: float) -> str:
    """Under the catch rates."""
    return (
        "Each bait met its own days, good and bad, so this compares no baits. The mark is fish "
        f"over hours, the line the {confidence_level(confidence)} interval; an arrow says that "
        "there were too few trips for an upper limit. Beside each name: what it rests on."
    )


def rates_row(row: RateRow) -> str:
    """What a catch rate rests on, beside its name: fish, rod-hours, trips, blanks."""
    spent = hours(row.rod_hours).split()[0]
    fish, trips, blanks = (
        count(many, noun)
        for many, noun in ((row.fish, "fish"), (row.sessions, "trip"), (row.blanks, "blank"))
    )
    return f"{fish}, {spent} h, {trips}, {blanks}"


def rates_alt(rows: Sequence[RateRow]) -> str:
    """What the picture of catch rates shows."""
    parts = [
        f"{row.group} {rate(row.per_100_rod_hours)} "
        f"(interval {rate_limits(row.conf_low, row.conf_high)})"
        for row in rows
    ]
    return alternative("Fish per 100 rod-hours by variant", parts)
