"""Results -> plain text for a stream: the opening sentence, an aligned table, what limits it.

The answers of `compare` and `summary`; how tables and sentences are set is in text_tables.
"""

from __future__ import annotations

from rodhours.evidence.results import (
    ALL_TRIPS,
    Comparison,
    ComparisonResult,
    RateSummary,
    RatioEstimate,
)
from rodhours.report.text_tables import aligned, columns, notes_list, wrapped
from rodhours.words import report as words
from rodhours.words.answer import reference_row, sentences
from rodhours.words.fish_counted import counted_here
from rodhours.words.notes import says
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
from rodhours.words.summary import METHODS, uneven_rate

GROUP_HEADINGS = {
    "variant": "variant",
    "venue": "water",
    "month": "month",
    "rod": "rod",
    "angler": "angler",
}


def comparison_text(result: ComparisonResult, width: int | None = None) -> str:
    """The whole answer of `compare` as text.

    `width` is the number of columns to wrap sentences at; None (a pipe or a file) leaves each
    sentence on one line.
    """
    compared = len(result.comparisons)
    counted = counted_here(result.filters)
    parts = [*([] if counted is None else [counted]), *sentences(result)]
    text = "\n\n".join(wrapped(part, width) for part in parts)
    if compared:
        foot = [words.together(result.confidence, compared), words.adjusted(result.adjusted_for)]
        text += f"\n\n{_comparison_table(result, width)}\n\n{wrapped(' '.join(foot), width)}"
    if not result.notes:
        return f"{text}\n\n{wrapped(words.NOTHING_LIMITS, width)}"
    return f"{text}\n\n{words.limits_title(compared)}\n{notes_list(result.notes, width)}"


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


def _comparison_table(result: ComparisonResult, width: int | None) -> str:
    level = confidence_level(result.confidence)
    heading = ["", "ratio", f"{level} limits", "p", "fish", "rod-hours", "trips"]
    rows: list[list[str]] = [heading]
    titles: dict[int, str] = {}
    afters: dict[int, str] = {}
    for one in result.comparisons:
        titles[len(rows)] = f"{one.variant} against {result.reference}"
        rows.extend(_comparison_rows(one, result))
        afters[len(rows) - 1] = f"  ({reference_row(one, result.reference)})"
    lines = aligned(rows, width)
    out: list[str] = []
    for i, line in enumerate(lines):
        if i in titles:
            out.extend([*([""] if i > 1 else []), titles[i]])
        out.append(line)
        if i in afters:
            out.append(afters[i])
    return "\n".join(out)


def _comparison_rows(one: Comparison, result: ComparisonResult) -> list[list[str]]:
    """Same trips, all trips, and as if every fish came by itself; the variant's own fish."""
    everything = one.all_trips
    same = (
        ["  same trips", "none", "", "", "", "", ""]
        if one.basis == ALL_TRIPS
        else [
            "  same trips",
            *_estimate(one, result),
            f"{one.fish:,}",
            _hours(one.rod_hours),
            f"{one.sessions:,}",
        ]
    )
    base = [f"{everything.fish:,}", _hours(everything.rod_hours), f"{everything.sessions:,}"]
    return [
        same,
        [
            "  all trips",
            *_estimate(everything, result),
            *base,
        ],
        [
            f"  {words.EVERY_FISH_BY_ITSELF}",
            *_estimate(one.poisson, result),
            *base,
        ],
        *(
            [["  as planned", *_estimate(one.as_planned, result), "", "", ""]]
            if one.as_planned
            else []
        ),
    ]


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
