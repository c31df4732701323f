"""Answers as plain text for a stream: the opening sentences, an aligned table, what limits it.

`width` is the number of columns to wrap sentences at; None (a pipe or a file) leaves each sentence
on one line. How tables and sentences are set is in text_tables.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from rodhours.evidence.response.result import ResponseResult
from rodhours.evidence.result import SERIOUS, SEVERITIES, Note
from rodhours.evidence.results import (
    ALL_TRIPS,
    AS_PLANNED,
    CheckResult,
    Comparison,
    ComparisonResult,
    RateSummary,
)
from rodhours.evidence.running import looks_at
from rodhours.evidence.running_result import RunningComparison, RunningResult
from rodhours.evidence.sizes import SizesResult
from rodhours.planning.next_season import NextSeason
from rodhours.report.tables import rates_table
from rodhours.report.text_tables import aligned, columns, notes_list, side_by_side, wrapped
from rodhours.words import notes as note_words
from rodhours.words import report as words
from rodhours.words import response as response_words
from rodhours.words import running as running_words
from rodhours.words import sizes as size_words
from rodhours.words.answer import MOST_NAMED, headline, nothing_to_compare, ranked, sentences
from rodhours.words.fish_counted import counted_here
from rodhours.words.numbers import (
    MISSING,
    confidence_level,
    hours,
    hours_a_fish,
    limits_short,
    month_name,
    p_value,
    ratio,
    some,
)
from rodhours.words.planning_next import settles
from rodhours.words.summary import METHODS, uneven_rate
from rodhours.words.weights import weight

COUNTS = ("fish", "rod-hours", "trips")
MOST_LOOKS, FEW_LOOKS = 40, 5
"""Looks in the table of one variant, whole and in brief; the machine form has them all."""


Block = str | None | list[list[str]] | tuple[Note, ...]
"""A sentence, the rows of a table, or notes under what limits the answer."""


def _set(blocks: Iterable[Block], width: int | None) -> str:
    """Blocks with an empty line between them; those that are empty are passed over."""
    texts = []
    for block in blocks:
        if not block:
            continue
        if isinstance(block, str):
            texts.append(wrapped(block, width))
        elif isinstance(block, tuple):
            texts.append(f"{words.LIMITS_TITLE}\n{notes_list(block, width)}")
        else:
            texts.append(side_by_side(block, width))
    return "\n\n".join(texts)


def comparison_text(
    result: ComparisonResult,
    width: int | None = None,
    plan: NextSeason | None = None,
    whole: bool = False,
) -> str:
    """The answer of `compare`: answer, table, what limits it, what would settle it.

    `plan` is what to fish next; `whole` adds each answer in a sentence, every fish by itself, and
    all notes.
    """
    compared, said = len(result.comparisons), sentences(result)
    hold = f"{words.together(compared, whole)} {_adjusted(result, whole)}".strip()
    table = _comparison_table(result, whole) if compared else None
    before = [counted_here(result.filters), *(said if whole else said[:1])]
    return _set([*before, table, hold, *_foot(result, plan, whole)], width)


def _adjusted(result: ComparisonResult, whole: bool) -> str:
    """What the answers are adjusted for, where there are any."""
    told = result.comparisons and (result.adjusted_for or whole)
    return words.adjusted(result.adjusted_for) if told else ""


def _foot(result: ComparisonResult, plan: NextSeason | None, whole: bool) -> list[Block]:
    """What limits an answer, in brief or `whole`, and what settles it."""
    briefly = [] if whole else note_words.briefly(result.notes)
    none = None if result.notes else words.NOTHING_LIMITS
    settled = None if plan is None else settles(plan)
    return [*briefly, none, settled, result.notes if whole else None]


def running_text(
    result: ComparisonResult,
    running: RunningResult,
    width: int | None = None,
    plan: NextSeason | None = None,
    whole: bool = False,
) -> str:
    """The answer of `compare --running`: what was found, the looks, how to use them.

    `result` is the comparison that the looks led to, whose notes limit them as well. What was
    found by the running interval leads: the verdict of the fixed one is for a single look. Several
    baits stand in one table by their last look where the answer is not `whole`.
    """
    order = {one.variant: place for place, one in enumerate(ranked(result))}
    told = sorted(running.comparisons, key=lambda looks: order[looks.variant])
    blocks: list[Block] = [counted_here(result.filters)]
    if not told:
        blocks.append(nothing_to_compare([result.reference]))
    elif len(told) > 1 and not whole:
        settled = [looks for looks in told if looks.excluded_one_since and looks.shown]
        blocks.append(f"{running_words.growth_heading(running)}.")
        blocks += [running_words.found(looks, running) for looks in settled]
        blocks += running_words.none_yet(told)
        last = [
            [one.variant, *running_words.table_row(one.shown[-1], running.margin)[2:]]
            for one in told
            if one.shown
        ]
        blocks.append([["", *running_words.TABLE_HEADING[2:]], *last] if last else None)
    else:
        answers = {one.variant: headline(one, result) for one in result.comparisons}
        for looks in told:
            blocks += [running_words.found(looks, running), answers[looks.variant] * whole]
            blocks += _looks(looks, running.margin, MOST_LOOKS if whole else FEW_LOOKS)
    use = running_words.how_to_use(running, whole) if told else []
    return _set([*blocks, *use, _adjusted(result, whole), *_foot(result, plan, whole)], width)


def _looks(comparison: RunningComparison, margin: float, most: int) -> list[Block]:
    """The looks since the first interval, at most so many; nothing where there is none."""
    since = [look for look in comparison.looks if look.trip >= (comparison.first_trip or math.inf)]
    shown = [since[i - 1] for i in looks_at(len(since), most)] if since else []
    table = [[*running_words.TABLE_HEADING]]
    table += [running_words.table_row(one, margin) for one in shown]
    if all(look.date is None for look in shown):
        table = [[row[0], *row[2:]] for row in table]
    if len(shown) < len(since):
        table.append([running_words.thinned(len(shown), len(since))])
    return [table] if shown else []


def response_text(result: ResponseResult, width: int | None = None) -> str:
    """The whole answer of `response`: opening sentence, table, the baits, what limits it."""
    margin = response_words.step_margin(result)
    bases = [
        ["", "times", f"{confidence_level(result.confidence)} limits", "p", *COUNTS],
        ["  same trips", *([] if result.basis == ALL_TRIPS else _figures(result, margin, result))],
        ["  all trips", *_figures(result.all_trips, margin, result)],
    ]
    foot = [response_words.beside(result), response_words.fit_of_line(result)]
    foot += [words.adjusted(result.adjusted_for)] if result.adjusted_for else []
    return _set(
        [
            counted_here(result.filters),
            response_words.opening(result),
            [_or_none(row) for row in bases],
            response_words.points_table(result),
            " ".join(filter(None, foot)),
            result.notes,
        ],
        width,
    )


def _or_none(row: Sequence[str]) -> list[str]:
    """A row of estimates, or that there is none."""
    return [*row] if len(row) > 1 else [*row, "none", *[""] * 5]


def sizes_text(result: SizesResult, units: str = "lb", width: int | None = None) -> str:
    """The whole answer of `sizes`: what was compared, the weights in lb or kg, what limits it."""
    against = {one.variant: size_words.ratio_cell(one) for one in result.comparisons}
    rows = [
        [
            row.variant,
            f"{row.weighed:,}",
            f"{row.unweighed:,}",
            weight(row.median_kg, units),
            f"{weight(row.lower_quartile_kg, units)} to {weight(row.upper_quartile_kg, units)}"
            if row.weighed
            else MISSING,
            weight(row.biggest_kg, units),
            against.get(row.variant, "reference"),
        ]
        for row in result.rows
    ]
    heading = ["variant", "weighed", "not weighed", "median", "middle half", "biggest"]
    return _set(
        [
            *(size_words.opening(one, result) for one in result.comparisons),
            [[*heading, "typical weight ratio"], *rows],
            f"{size_words.rests_on(result)} {size_words.together(result)}".strip(),
            result.notes,
        ],
        width,
    )


def findings_text(result: CheckResult, width: int | None = None) -> str:
    """All findings of `check` by kind, worst first, and what to do about each kind, once."""
    kinds = note_words.by_kind(result.notes)
    weights = sorted((grave for found, _ in kinds for grave, _ in found), key=SEVERITIES.index)
    told = len(kinds)
    if len({note.variant for note in result.notes}) > MOST_NAMED:
        serious = sum(any(grave == SERIOUS for grave, _ in found) for found, _ in kinds)
        told = max(note_words.MOST_KINDS, serious)
    blocks = []
    for found, do in kinds[:told]:
        lines = [
            wrapped(text, width, f"{note_words.WEIGHTS[grave]}: ", "  ") for grave, text in found
        ]
        lines += [wrapped(do, width, f"  {note_words.WHAT_TO_DO}", "  ")] if do else []
        blocks.append("\n".join(lines))
    left = len(kinds) - told
    more = note_words.kinds_left(left, result.reference) if left > 0 else None
    heading = note_words.heading(weights, result.reference)
    return "\n\n".join(
        [
            _set([counted_here(result.filters), heading], width),
            *blocks,
            _set([more, note_words.NO_ALL_CLEAR], width),
        ]
    )


def summary_text(summary: RateSummary, width: int | None = None) -> str:
    """Catch rates by group as an aligned table, the total last."""
    groups = list(summary.rows)
    if summary.by == "month":
        # A group without a date has no month to be named.
        groups = [
            replace(one, group=month_name(one.group)) if one.group[:4].isdigit() else one
            for one in groups
        ]
    rows = [*groups, summary.total]
    shown = rates_table(rows).drop(columns=["In words", "Method"])
    shown["Variant"] = [*(one.group for one in groups), "all"]
    each = [hours_a_fish(row.per_100_rod_hours) for row in rows]
    shown["a fish every"] = [every if every == MISSING else f"{every} h" for every in each]
    heading = [name.lower() for name in shown]
    heading[0] = "water" if summary.by == "venue" else summary.by
    heading[-2] = f"{confidence_level(summary.confidence)} limits"
    lines = aligned([heading, *shown.to_numpy().tolist()], width)
    lines.insert(len(lines) - 1, "-" * max(columns(line) for line in "\n".join(lines).split("\n")))
    remarks = [uneven_rate(row) for row in rows]
    remarks += [
        f"{some(row.group for row in rows if row.method == method)}: {METHODS[method]}."
        for method in dict.fromkeys(row.method for row in rows)
        if method != summary.total.method
    ]
    remarks += map(note_words.says, summary.notes)
    foot = "\n".join(wrapped(one, width) for one in remarks if one)
    counted = _set([counted_here(summary.filters)], width)
    return "\n\n".join(filter(None, [counted, "\n".join(lines), foot]))


def _comparison_table(result: ComparisonResult, whole: bool) -> list[list[str]]:
    """Rows for each variant under its name, then what the reference caught; best answers first.

    Of many baits, where not `whole`, the answers alone.
    """
    level = confidence_level(result.confidence)
    estimates = ["ratio", f"{level} limits", *(["p"] if whole else [])]
    rows = [["", *estimates, *COUNTS]]
    few = whole or len(result.comparisons) <= MOST_NAMED
    for one in ranked(result):
        bases = _comparison_rows(one, result, whole)
        if few:
            rows += [[one.variant], *bases]
            continue
        of = " (all trips)" if one.basis == ALL_TRIPS else ""
        rows.append([f"{one.variant}{of}", *bases[one.basis == ALL_TRIPS][1:]])
    caught = {
        one.basis: [f"{one.reference_fish:,}", _hours(one.reference_rod_hours), f"{one.sessions:,}"]
        for one in result.comparisons
    }
    blank = [""] * len(estimates)
    if few:
        rows.append([result.reference])
        rows += [[f"  {basis}", *blank, *figures] for basis, figures in caught.items()]
    return rows


def _comparison_rows(one: Comparison, result: ComparisonResult, whole: bool) -> list[list[str]]:
    """Same trips, all trips and, where `whole`, every fish by itself, with p; its own fish."""
    margin, everything = result.margin, one.all_trips
    by_itself = [*_estimate(one.poisson, margin, result), *_counts(everything)]
    rows = [
        ["  same trips", *([] if one.basis == ALL_TRIPS else _figures(one, margin, result))],
        ["  all trips", *_figures(everything, margin, result)],
        *([[f"  {words.EVERY_FISH_BY_ITSELF}", *by_itself]] if whole else []),
    ]
    if plan := one.as_planned:
        rows.append([f"  {AS_PLANNED}", *_figures(plan, margin, result)])
    rows = [_or_none(row) for row in rows]
    return rows if whole else [[*row[:3], *row[4:]] for row in rows]


def _figures(shown: Any, margin: float, result: ComparisonResult | ResponseResult) -> list[str]:
    """An estimate of any kind, and what it rests on."""
    return [*_estimate(shown, margin, result), *_counts(shown)]


def _estimate(shown: Any, margin: float, result: ComparisonResult | ResponseResult) -> list[str]:
    """Ratio, limits and p, none of them rounded across what the verdict of `result` hangs on."""
    estimate = shown.rate_ratio
    return [
        "no fish" if estimate == 0 else ratio(estimate),
        limits_short(shown.conf_low, shown.conf_high, margin),
        p_value(shown.p_value, 1 - result.confidence),
    ]


def _counts(shown: Any) -> list[str]:
    return [f"{shown.fish:,}", _hours(shown.rod_hours), f"{shown.sessions:,}"]


def _hours(value: float) -> str:
    return hours(value).split()[0]
