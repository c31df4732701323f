"""The first screen of the season page: question, answer, interval, what it rests on, its limits."""

from __future__ import annotations

from dataclasses import dataclass

from rodhours.evidence.results import ComparisonResult
from rodhours.planning.next_season import NextSeason
from rodhours.report.pictures import Picture, headline_ratios
from rodhours.report.pictures.variant_style import Styles
from rodhours.report.sections import Table, table
from rodhours.report.tables import has_ratio
from rodhours.words import answer as answers
from rodhours.words import first_screen as words
from rodhours.words import report as page_words

_NUMBERS = page_words.numbers_of("The answer")


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
        settles=None if plan is None else words.to_settle(plan),
    )
