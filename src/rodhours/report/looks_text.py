"""Looking after every trip as plain text: the answer, the looks in a table, how to use them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rodhours.evidence.looks.order import looks_at
from rodhours.evidence.looks.results import RunningResult
from rodhours.evidence.results import ComparisonResult
from rodhours.report.text_tables import aligned, notes_list, paragraphs, wrapped
from rodhours.wording import looks as words
from rodhours.wording import report as report_words
from rodhours.wording.answer import headline, nothing_to_compare
from rodhours.wording.fish_counted import counted_here

MOST_ROWS = 40
"""Looks in the table of one variant; the machine form has them all."""


def running_text(result: ComparisonResult, running: RunningResult, width: int | None = None) -> str:
    """The answer of `compare --running` as text; `width` is as for `comparison_text`.

    `result` is the comparison that the looks led to, whose notes limit them as well.
    """
    machine, season = running.to_dict(), result.comparisons
    counted = counted_here(result.filters)
    parts = [] if counted is None else [wrapped(counted, width)]
    if not season:
        parts.append(wrapped(nothing_to_compare([result.reference]), width))
    for answer, looks in zip(season, machine["comparisons"], strict=True):
        said = headline(answer, result)
        parts.append(wrapped(said, width))
        parts.append(wrapped(words.found(looks, machine), width))
        parts.extend(_table(looks, machine, width))
    if season:
        uses = [(text, True) for text in words.how_to_use(machine)]
        parts.append(f"{words.TITLE}\n{paragraphs(uses, width)}")
        parts.append(wrapped(report_words.adjusted(result.adjusted_for), width))
    if result.notes:
        notes = notes_list(result.notes, width)
        parts.append(f"{words.LIMITS_TITLE}\n{notes}")
    else:
        parts.append(wrapped(report_words.NOTHING_LIMITS, width))
    return "\n\n".join(parts)


def _table(looks: Mapping[str, Any], machine: Mapping[str, Any], width: int | None) -> list[str]:
    """The looks since the first interval, at most 40 of them; nothing where there is none."""
    if looks["first_trip"] is None:
        return []
    since = [look for look in looks["looks"] if look["trip"] >= looks["first_trip"]]
    shown = [since[i - 1] for i in looks_at(len(since), MOST_ROWS)]
    rows = [words.table_row(look, machine["margin"]) for look in shown]
    lines = aligned([words.TABLE_HEADING, *rows], width)
    if len(shown) < len(since):
        lines.append(wrapped(words.thinned(len(shown), len(since)), width))
    return ["\n".join(lines)]
