"""The first screen of the season page: question, answer, interval, what it rests on, its limits.

Chooses which answer leads by what was fished, never by what was caught.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.evidence.results import ALL_TRIPS, Comparison, ComparisonResult, RatioEstimate
from rodhours.report.figures import headline_ratios
from rodhours.report.parts import table
from rodhours.wording import answer as answers
from rodhours.wording import first_screen as words
from rodhours.wording import report as page_words
from rodhours.wording.numbers import exists


def leading_variant(result: ComparisonResult) -> str | None:
    """The variant that what would settle it is said of: with most trips beside the reference.

    Of equals the one with most rod-hours; None where nothing is compared.
    """
    ranked = sorted(
        result.comparisons,
        key=lambda one: (one.basis == ALL_TRIPS, -one.shared_sessions, -one.rod_hours),
    )
    return ranked[0].variant if ranked else None


def any_ratio(result: ComparisonResult) -> bool:
    """Whether there is a ratio or a limit to be drawn at all, on any basis."""
    return any(
        _drawn(row) for one in result.comparisons for row in (one, one.all_trips, one.poisson)
    )


def _drawn(row: Comparison | RatioEstimate) -> bool:
    return any(exists(value) for value in (row.rate_ratio, row.conf_low, row.conf_high))


def first_screen(
    result: ComparisonResult, order: Sequence[str], plan: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """What the template says before the first rule; `order` is that of the variants.

    `plan` is what to fish next in its machine form: how much would settle the leading variant.
    """
    answered = result.comparisons
    if not answered:
        lead, rests = answers.nothing_to_compare(order), ""
    elif len(answered) == 1:
        lead = answers.headline(answered[0], result)
        rests = answers.rests_on(answered[0], result.reference)
    else:
        lead, rests = words.finding(result), words.rest_on(result)
    drawn = any(_drawn(one) for one in answered)
    picture = headline_ratios(result, list(order)) if drawn else None
    return {
        "question": words.question(result),
        "lead": lead,
        "rests_on": rests,
        "answer_picture": picture,
        "answer_numbers": None if picture is None else table("answer", picture.alt, picture.table),
        "adjusted": page_words.adjusted(result.adjusted_for) if result.adjusted_for else "",
        "what_limits": words.WHAT_LIMITS,
        "what_settles": words.WHAT_SETTLES,
        "settles": _settles(leading_variant(result), plan),
    }


def _settles(leading: str | None, plan: Mapping[str, Any] | None) -> str | None:
    """What would settle the leading variant, where hours are proposed for it."""
    if plan is None or leading is None:
        return None
    (one,) = [row for row in plan["variants"] if row["variant"] == leading]
    return words.to_settle(one, plan)
