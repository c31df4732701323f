"""Looking after every trip as plain text: the answer, the looks in a table, how to use them."""

from __future__ import annotations

from rodhours.evidence.results import ComparisonResult
from rodhours.evidence.running import looks_at
from rodhours.evidence.running_result import RunningComparison, RunningResult
from rodhours.report.text_tables import aligned, notes_list, paragraphs, wrapped
from rodhours.words import report as report_words
from rodhours.words import running as words
from rodhours.words.answer import headline, nothing_to_compare
from rodhours.words.fish_counted import counted_here

MOST_ROWS = 40
"""Looks in the table of one variant; the machine form has them all."""


def running_text(result: ComparisonResult, running: RunningResult, width: int | None = None) -> str:
    """The answer of `compare --running` as text; `width` is as for `comparison_text`.

    `result` is the comparison that the looks led to, whose notes limit them as well.
    """
    counted = counted_here(result.filters)
    parts = [] if counted is None else [wrapped(counted, width)]
    if not result.comparisons:
        parts.append(wrapped(nothing_to_compare([result.reference]), width))
    for answer, looks in zip(result.comparisons, running.comparisons, strict=True):
        said = headline(answer, result)
        parts.append(wrapped(said, width))
        parts.append(wrapped(words.found(looks, running), width))
        parts.extend(_table(looks, running.margin, width))
    if result.comparisons:
        uses = [(text, True) for text in words.how_to_use(running)]
        parts.append(f"{words.TITLE}\n{paragraphs(uses, width)}")
        parts.append(wrapped(report_words.adjusted(result.adjusted_for), width))
    if result.notes:
        notes = notes_list(result.notes, width)
        parts.append(f"{words.LIMITS_TITLE}\n{notes}")
    else:
        parts.append(wrapped(report_words.NOTHING_LIMITS, width))
    return "\n\n".join(parts)


def _table(comparison: RunningComparison, margin: float, width: int | None) -> list[str]:
    """The looks since the first interval, at most 40 of them; nothing where there is none."""
    if comparison.first_trip is None:
        return []
    since = [look for look in comparison.looks if look.trip >= comparison.first_trip]
    shown = [since[i - 1] for i in looks_at(len(since), MOST_ROWS)]
    rows = [words.table_row(look, margin) for look in shown]
    lines = aligned([words.TABLE_HEADING, *rows], width)
    if len(shown) < len(since):
        lines.append(wrapped(words.thinned(len(shown), len(since)), width))
    return ["\n".join(lines)]
