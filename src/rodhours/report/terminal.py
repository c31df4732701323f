"""Results -> plain text for a stream: the opening sentence, an aligned table, what limits it.

The answers of `compare` and `summary`; how tables and sentences are set is in text_tables.
"""

from __future__ import annotations

from rodhours.evidence.results import (
    ALL_TRIPS,
    AS_PLANNED,
    Comparison,
    ComparisonResult,
    RateSummary,
    RatioEstimate,
)
from rodhours.planning.next_season import NextSeason
from rodhours.report.text_tables import aligned, columns, notes_list, wrapped
from rodhours.words import report as words
from rodhours.words.answer import ranked, sentences
from rodhours.words.fish_counted import counted_here
from rodhours.words.notes import briefly, says
from rodhours.words.numbers import (
    MISSING,
    confidence_level,
    hours,
    hours_a_fish,
    limits_short,
    listed,
    p_value,
    rate,
    rate_limits,
    ratio,
)
from rodhours.words.planning_next import settles
from rodhours.words.summary import METHODS, uneven_rate

GROUP_HEADINGS = {
    "variant": "variant",
    "venue": "water",
    "month": "month",
    "rod": "rod",
    "angler": "angler",
}


def comparison_text(
    result: ComparisonResult,
    width: int | None = None,
    plan: NextSeason | None = None,
    whole: bool = False,
) -> str:
    """The answer of `compare` as text: answer, table, what limits it, what would settle it.

    `width` is the number of columns to wrap sentences at; None (a pipe or a file) leaves each
    sentence on one line. `plan` is what to fish next; `whole` adds each answer in a sentence,
    every fish by itself, and all notes.
    """
    compared, said = len(result.comparisons), sentences(result)
    before = [counted_here(result.filters), *(said if whole else said[:1])]
    after = [] if whole else briefly(result.notes)
    if compared:
        adjusted = words.adjusted(result.adjusted_for) if result.adjusted_for or whole else ""
        after = [f"{words.together(compared, whole)} {adjusted}".strip(), *after]
    after += [] if result.notes else [words.NOTHING_LIMITS]
    after += [] if plan is None else [settles(plan)]
    parts = [wrapped(one, width) for one in before if one]
    parts += [_comparison_table(result, width, whole)] if compared else []
    parts += [wrapped(one, width) for one in after if one]
    if whole and result.notes:
        parts.append(f"{words.limits_title(compared)}\n{notes_list(result.notes, width)}")
    return "\n\n".join(parts)


def summary_text(summary: RateSummary, width: int | None = None) -> str:
    """Catch rates by group as an aligned table, the total last; `width` as above."""
    heading = [
        GROUP_HEADINGS.get(summary.by, summary.by),
        "trips",
        "blanks",
        "rod-hours",
        "fish",
        "per 100 rod-hours",
        f"{confidence_level(summary.confidence)} limits",
        "a fish every",
    ]
    rows = [*summary.rows, summary.total]
    cells = [
        [
            group,
            f"{row.sessions:,}",
            f"{row.blanks:,}",
            _hours(row.rod_hours),
            f"{row.fish:,}",
            rate(row.per_100_rod_hours),
            rate_limits(row.conf_low, row.conf_high),
            f"{every} h" if (every := hours_a_fish(row.per_100_rod_hours)) != MISSING else MISSING,
        ]
        for group, row in [*((row.group, row) for row in summary.rows), ("all", summary.total)]
    ]
    lines = aligned([heading, *cells], width)
    lines.insert(len(lines) - 1, "-" * max(columns(line) for line in "\n".join(lines).split("\n")))
    remarks = [remark for row in rows if (remark := uneven_rate(row)) is not None]
    remarks += [
        f"{listed(row.group for row in rows if row.method == method)}: {METHODS[method]}."
        for method in dict.fromkeys(row.method for row in rows)
        if method != summary.total.method
    ]
    remarks += map(says, summary.notes)
    counted = counted_here(summary.filters)
    lead = [] if counted is None else [wrapped(counted, width), ""]
    foot = ["", *(wrapped(remark, width) for remark in remarks)] if remarks else []
    return "\n".join([*lead, *lines, *foot])


def _comparison_table(result: ComparisonResult, width: int | None, whole: bool) -> str:
    """Rows for each variant under its name, then what the reference caught; best answers first."""
    level = confidence_level(result.confidence)
    estimates = ["ratio", f"{level} limits", *(["p"] if whole else [])]
    rows = [["", *estimates, "fish", "rod-hours", "trips"]]
    titles: dict[int, str] = {}
    for one in ranked(result):
        titles[len(rows)] = one.variant
        rows += _comparison_rows(one, result, whole)
    caught = {
        one.basis: [f"{one.reference_fish:,}", _hours(one.reference_rod_hours), f"{one.sessions:,}"]
        for one in result.comparisons
    }
    for basis, figures in caught.items():
        titles.setdefault(len(rows), result.reference)
        rows.append([f"  {basis}", *[""] * len(estimates), *figures])
    return "\n".join(
        f"{titles[i]}\n{line}" if i in titles else line
        for i, line in enumerate(aligned(rows, width))
    )


def _comparison_rows(one: Comparison, result: ComparisonResult, whole: bool) -> list[list[str]]:
    """Same trips, all trips and, where `whole`, every fish by itself, with p; its own fish."""
    everything = one.all_trips
    base = [f"{everything.fish:,}", _hours(everything.rod_hours), f"{everything.sessions:,}"]
    mine = [f"{one.fish:,}", _hours(one.rod_hours), f"{one.sessions:,}"]
    same = [*_estimate(one, result), *mine] if one.basis != ALL_TRIPS else ["none", *[""] * 5]
    rows = [
        ["  same trips", *same],
        ["  all trips", *_estimate(everything, result), *base],
        [f"  {words.EVERY_FISH_BY_ITSELF}", *_estimate(one.poisson, result), *base],
    ]
    shown = rows if whole else rows[:2]
    if plan := one.as_planned:
        its = [f"{plan.fish:,}", _hours(plan.rod_hours), f"{plan.sessions:,}"]
        shown.append([f"  {AS_PLANNED}", *_estimate(plan, result), *its])
    return shown if whole else [[*row[:3], *row[4:]] for row in shown]


def _estimate(shown: Comparison | RatioEstimate, result: ComparisonResult) -> list[str]:
    """Ratio, limits and p, none of them rounded across what the verdict hangs on."""
    estimate = shown.rate_ratio
    return [
        "no fish" if estimate == 0 else ratio(estimate),
        limits_short(shown.conf_low, shown.conf_high, result.margin),
        p_value(shown.p_value, 1 - result.confidence),
    ]


def _hours(value: float) -> str:
    return hours(value).split()[0]
