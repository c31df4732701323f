"""Planned hours, and what to fish next, as plain text."""

from __future__ import annotations

from rodhours.planning.next_season import NextSeason
from rodhours.report.text_tables import aligned, paragraphs, wrapped
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
    """The whole answer of `plan next`: next step, table, each bait, trips that help."""
    step, *variants = next_words.sentences(plan)
    first = [step, next_words.opening(plan)]
    before = [counted_here(plan.filters), *(first if variants else reversed(first))]
    parts = [wrapped(text, width) for text in before if text]
    if not variants:
        return "\n\n".join(parts)
    parts.append("\n".join(aligned(next_words.table_rows(plan), width)))
    parts.append(paragraphs([(text, True) for text in variants], width))
    helpful = next_words.trips_lines(plan)
    if helpful:
        listed = paragraphs([(text, True) for text in helpful], width)
        parts.append(f"Trips that would help most\n{listed}")
    foot = [next_words.rules(plan), *next_words.limits_lines(plan)]
    return "\n\n".join([*parts, *(wrapped(text, width) for text in foot)])
