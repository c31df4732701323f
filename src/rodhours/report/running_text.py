"""Looking after every trip as plain text: the answer, the looks in a table, how to use them."""

from __future__ import annotations

from rodhours.evidence.results import ComparisonResult
from rodhours.evidence.running import looks_at
from rodhours.evidence.running_result import RunningComparison, RunningResult
from rodhours.planning.next_season import NextSeason
from rodhours.report.text_tables import aligned, notes_list, wrapped
from rodhours.words import report as report_words
from rodhours.words import running as words
from rodhours.words.answer import headline, nothing_to_compare, ranked
from rodhours.words.fish_counted import counted_here
from rodhours.words.notes import briefly
from rodhours.words.planning_next import settles

MOST_ROWS, FEW_ROWS = 40, 5
"""Looks in the table of one variant, whole and in brief; the machine form has them all."""


def running_text(
    result: ComparisonResult,
    running: RunningResult,
    width: int | None = None,
    plan: NextSeason | None = None,
    whole: bool = False,
) -> str:
    """The answer of `compare --running` as text; the parameters are as for `comparison_text`.

    `result` is the comparison that the looks led to, whose notes limit them as well. What was
    found by the running interval leads: the verdict of the fixed one is for a single look.
    """
    before = [counted_here(result.filters)]
    if not result.comparisons:
        before.append(nothing_to_compare([result.reference]))
    parts = [wrapped(one, width) for one in before if one]
    answers = zip(result.comparisons, running.comparisons, strict=True)
    for answer, looks in sorted(answers, key=lambda pair: ranked(result).index(pair[0])):
        parts.append(wrapped(words.found(looks, running), width))
        if whole:
            parts.append(wrapped(headline(answer, result), width))
        parts += _table(looks, running.margin, width, MOST_ROWS if whole else FEW_ROWS)
    last = [] if result.notes else [report_words.NOTHING_LIMITS]
    if result.comparisons:
        adjusted = report_words.adjusted(result.adjusted_for)
        last += [
            *words.how_to_use(running, whole),
            *([adjusted] if result.adjusted_for or whole else []),
        ]
    last += [] if whole else briefly(result.notes)
    last += [] if plan is None else [settles(plan)]
    parts += [wrapped(one, width) for one in last if one]
    if whole and result.notes:
        parts.append(f"{words.LIMITS_TITLE}\n{notes_list(result.notes, width)}")
    return "\n\n".join(parts)


def _table(comparison: RunningComparison, margin: float, width: int | None, most: int) -> list[str]:
    """The looks since the first interval, at most so many; nothing where there is none."""
    if comparison.first_trip is None:
        return []
    since = [look for look in comparison.looks if look.trip >= comparison.first_trip]
    shown = [since[i - 1] for i in looks_at(len(since), most)]
    rows = [words.table_row(look, margin) for look in shown]
    lines = aligned([words.TABLE_HEADING, *rows], width)
    if len(shown) < len(since):
        lines.append(wrapped(words.thinned(len(shown), len(since)), width))
    return ["\n".join(lines)]
