"""Planned hours, and what to fish next, as plain text."""

from __future__ import annotations

from rodhours.planning.next_season import NextSeason
from rodhours.report.text_tables import aligned, wrapped
from rodhours.simulate.hours import HoursPlan
from rodhours.words import planning_hours as hours_words
from rodhours.words import planning_next as next_words
from rodhours.words.fish_counted import counted_here


def hours_plan_text(plan: HoursPlan, width: int | None = None) -> str:
    """The whole answer of `plan hours`; `width` is as in `comparison_text`."""
    table = "\n".join(aligned(hours_words.table_rows(plan), width))
    before = [wrapped(text, width) for text in hours_words.plan_lines(plan)]
    return "\n\n".join(
        [*before, table, *(wrapped(text, width) for text in hours_words.foot_lines(plan))]
    )


def next_season_text(plan: NextSeason, width: int | None = None) -> str:
    """The answer of `plan next`: next step, table, trips that help, rules, limits."""
    step, opening = next_words.next_step(plan), next_words.opening(plan)
    if not plan.variants:
        return "\n\n".join(wrapped(one, width) for one in (opening, step))
    before = [counted_here(plan.filters), step, opening]
    foot = [*next_words.trips_lines(plan), next_words.rules(plan), next_words.how_hours(plan)]
    table = "\n".join(aligned(next_words.brief_rows(plan), width))
    return "\n\n".join(
        [
            *(wrapped(text, width) for text in before if text),
            table,
            *(wrapped(text, width) for text in foot if text),
        ]
    )
