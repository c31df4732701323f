"""The first screen of the season page: question, answer, interval, what it rests on, its limits.

Chooses which answer leads by what was fished, never by what was caught.
"""

from __future__ import annotations

from dataclasses import dataclass

from rodhours.evidence.results import ALL_TRIPS, ComparisonResult
from rodhours.planning.next_season import NextSeason
from rodhours.report.pictures import Picture, headline_ratios
from rodhours.report.pictures.variant_style import Styles
from rodhours.report.sections import Table, table
from rodhours.report.tables import has_ratio
from rodhours.words import answer as answers
from rodhours.words import first_screen as words
from rodhours.words import report as page_words

_NUMBERS = page_words.numbers_of("The answer")


def leading_variant(result: ComparisonResult) -> str | None:
    """The variant that what would settle it is said of: with most trips beside the reference.

    Of equals the one with most rod-hours; None where nothing is compared.
    """
    ranked = sorted(
        result.comparisons,
        key=lambda one: (one.basis == ALL_TRIPS, -one.shared_sessions, -one.rod_hours),
    )
    return ranked[0].variant if ranked else None


@dataclass(frozen=True)
class FirstScreen:
    """What stands before the first section: `settles` is what would settle the answer."""

    question: str
    lead: str
    rests_on: str
    picture: Picture | None
    numbers: Table | None
    adjusted: str
    settles: str | None


def first_screen(
    result: ComparisonResult, styles: Styles, plan: NextSeason | None = None
) -> FirstScreen:
    """The first screen of a comparison; `styles` are those of all pictures.

    `plan` is what to fish next: how much would settle the leading variant.
    """
    answered = result.comparisons
    if not answered:
        lead, rests = answers.nothing_to_compare(list(styles)), ""
    elif len(answered) == 1:
        lead = answers.headline(answered[0], result)
        rests = answers.rests_on(answered[0], result.reference)
    else:
        lead, rests = answers.tally(result, numbers=False), words.rest_on(result)
    drawn = any(has_ratio(one) for one in answered)
    picture = headline_ratios(result, styles) if drawn else None
    return FirstScreen(
        question=words.question(result),
        lead=lead,
        rests_on=rests,
        picture=picture,
        numbers=None if picture is None else table("answer", _NUMBERS, picture.table),
        adjusted=page_words.adjusted(result.adjusted_for) if result.adjusted_for else "",
        settles=_settles(leading_variant(result), plan),
    )


def _settles(leading: str | None, plan: NextSeason | None) -> str | None:
    """What would settle the leading variant, where hours are proposed for it."""
    if plan is None or leading is None:
        return None
    (one,) = [row for row in plan.variants if row.variant == leading]
    return words.to_settle(one, plan)
