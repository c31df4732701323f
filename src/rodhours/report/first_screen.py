"""The first screen of the season page: question, answer, interval, what it rests on, its limits.

Chooses which answer leads by what was fished, never by what was caught.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.evidence.results import ALL_TRIPS, ComparisonResult
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
    drawn = [row for one in result.comparisons for row in (one, one.all_trips, one.poisson)]
    return any(
        exists(value) for row in drawn for value in (row.rate_ratio, row.conf_low, row.conf_high)
    )


def _any_headline(result: ComparisonResult) -> bool:
    """Whether an answer that leads has a ratio or a limit to be drawn."""
    return any(
        exists(value)
        for one in result.comparisons
        for value in (one.rate_ratio, one.conf_low, one.conf_high)
    )


def first_screen(
    result: ComparisonResult, order: Sequence[str], plan: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """What the template says before the first rule; `order` is that of the variants.

    `plan` is what to fish next in its machine form: how much would settle the leading variant.
    """
    machine = result.to_dict()["comparisons"]
    family = len(machine)
    leading = leading_variant(result)
    if not machine:
        lead, rests = page_words.nothing_to_compare(order), ""
    elif family == 1:
        lead, rests = result.headlines[0], answers.rests_on(machine[0], result.reference)
    else:
        lead = words.finding(machine, result.reference)
        rests = words.rest_on(machine, result.reference)
    picture = headline_ratios(result, list(order)) if _any_headline(result) else None
    return {
        "question": words.question([one.variant for one in result.comparisons], result.reference),
        "lead": lead,
        "rests_on": rests,
        "answer_picture": picture,
        "answer_numbers": None if picture is None else table("answer", picture.alt, picture.table),
        "adjusted": page_words.adjusted(result.adjusted_for) if result.adjusted_for else "",
        "what_limits": words.WHAT_LIMITS,
        "what_settles": words.WHAT_SETTLES,
        "settles": _settles(leading, plan),
    }


def _settles(leading: str | None, plan: Mapping[str, Any] | None) -> str | None:
    """What would settle the leading variant, where hours are proposed for it."""
    if plan is None or leading is None:
        return None
    (one,) = [row for row in plan["variants"] if row["variant"] == leading]
    return words.to_settle(one, plan)
