"""Answers as plain text for a stream: the opening sentences, an aligned table, what limits it.

`width` is the number of columns to wrap sentences at; None (a pipe or a file) leaves each sentence
on one line. How tables and sentences are set is in text_tables.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from rodhours.evidence.response.result import ResponseResult, StepEstimate
from rodhours.evidence.result import SERIOUS, SEVERITIES, Note
from rodhours.evidence.results import (
    ALL_TRIPS,
    AS_PLANNED,
    CheckResult,
    Comparison,
    ComparisonResult,
    RateSummary,
    RatioEstimate,
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

MOST_LOOKS, FEW_LOOKS = 40, 5
"""Looks in the table of one variant, whole and in brief; the machine form has them all."""


def _said(texts: Iterable[str | None], width: int | None) -> list[str]:
    """Sentences as paragraphs; those that are empty are passed over."""
    return [wrapped(one, width) for one in texts if one]


def _limited(title: str, notes: Sequence[Note], width: int | None) -> list[str]:
    """All notes under their title; nothing where there is none."""
    return [f"{title}\n{notes_list(notes, width)}"] if notes else []


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
    before = [counted_here(result.filters), *(said if whole else said[:1])]
    table = [_comparison_table(result, width, whole)] if compared else []
    hold = f"{words.together(compared, whole)} {_adjusted(result, whole)}".strip()
    return "\n\n".join(
        [
            *_said(before, width),
            *table,
            *_said([hold, *_foot(result, plan, whole)], width),
            *(_limited(words.LIMITS_TITLE, result.notes, width) if whole else []),
        ]
    )


def _adjusted(result: ComparisonResult, whole: bool) -> str:
    """What the answers are adjusted for, where there are any."""
    told = result.comparisons and (result.adjusted_for or whole)
    return words.adjusted(result.adjusted_for) if told else ""


def _foot(result: ComparisonResult, plan: NextSeason | None, whole: bool) -> list[str]:
    """What limits an answer, in brief where it is not told `whole` beneath, and what settles it."""
    briefly = [] if whole else note_words.briefly(result.notes)
    none = [] if result.notes else [words.NOTHING_LIMITS]
    return [*briefly, *none, *([] if plan is None else [settles(plan)])]


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
    parts = _said([counted_here(result.filters)], width)
    told = sorted(
        zip(result.comparisons, running.comparisons, strict=True),
        key=lambda pair: ranked(result).index(pair[0]),
    )
    if not told:
        parts += _said([nothing_to_compare([result.reference])], width)
    elif len(told) > 1 and not whole:
        settled = [looks for _, looks in told if looks.excluded_one_since and looks.shown]
        found = [running_words.found(looks, running) for looks in settled]
        found += running_words.none_yet([looks for _, looks in told])
        parts += _said([f"{running_words.growth_heading(running)}.", *found], width)
        last = [[one.variant, *_look(one, running)] for _, one in told if one.shown]
        heading = ["", *running_words.TABLE_HEADING[2:]]
        parts += ["\n".join(aligned([heading, *last], width))] if last else []
    else:
        for answer, looks in told:
            again = headline(answer, result) if whole else None
            parts += _said([running_words.found(looks, running), again], width)
            parts += _looks(looks, running.margin, width, MOST_LOOKS if whole else FEW_LOOKS)
    use = running_words.how_to_use(running, whole) if told else []
    parts += _said([*use, _adjusted(result, whole), *_foot(result, plan, whole)], width)
    return "\n\n".join(
        [*parts, *(_limited(running_words.LIMITS_TITLE, result.notes, width) if whole else [])]
    )


def _look(one: RunningComparison, running: RunningResult) -> list[str]:
    """The figures of the last look that has an interval."""
    return running_words.table_row(one.shown[-1], running.margin)[2:]


def _looks(comparison: RunningComparison, margin: float, width: int | None, most: int) -> list[str]:
    """The looks since the first interval, at most so many; nothing where there is none."""
    if comparison.first_trip is None:
        return []
    since = [look for look in comparison.looks if look.trip >= comparison.first_trip]
    shown = [since[i - 1] for i in looks_at(len(since), most)]
    rows = [running_words.table_row(look, margin) for look in shown]
    table = [running_words.TABLE_HEADING, *rows]
    if all(look.date is None for look in shown):
        table = [(row[0], *row[2:]) for row in table]
    lines = aligned(table, width)
    if len(shown) < len(since):
        lines.append(wrapped(running_words.thinned(len(shown), len(since)), width))
    return ["\n".join(lines)]


def response_text(result: ResponseResult, width: int | None = None) -> str:
    """The whole answer of `response`: opening sentence, table, the baits, what limits it."""
    level = confidence_level(result.confidence)
    same = ["none", *([""] * 5)] if result.basis == ALL_TRIPS else _step(result, result)
    bases = [
        ["", "times", f"{level} limits", "p", "fish", "rod-hours", "trips"],
        ["  same trips", *same],
        ["  all trips", *_step(result.all_trips, result)],
    ]
    foot = [response_words.beside(result), response_words.fit_of_line(result)]
    foot += [words.adjusted(result.adjusted_for)] if result.adjusted_for else []
    return "\n\n".join(
        [
            *_said([counted_here(result.filters), response_words.opening(result)], width),
            "\n".join(aligned(bases, width)),
            "\n".join(aligned(response_words.points_table(result), width)),
            *_said([" ".join(filter(None, foot))], width),
            *_limited(words.LIMITS_TITLE, result.notes, width),
        ]
    )


def _step(one: ResponseResult | StepEstimate, result: ResponseResult) -> list[str]:
    """Ratio, limits and p, none of them rounded across what the verdict of `result` hangs on."""
    return [
        ratio(one.rate_ratio),
        limits_short(one.conf_low, one.conf_high, response_words.step_margin(result)),
        p_value(one.p_value, 1 - result.confidence),
        f"{one.fish:,}",
        _hours(one.rod_hours),
        f"{one.sessions:,}",
    ]


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
    foot = [size_words.rests_on(result), size_words.together(result)]
    return "\n\n".join(
        [
            *_said([size_words.opening(one, result) for one in result.comparisons], width),
            side_by_side([[*heading, "typical weight ratio"], *rows], width),
            *_said([" ".join(filter(None, foot))], width),
            *_limited(words.LIMITS_TITLE, result.notes, width),
        ]
    )


def findings_text(result: CheckResult, width: int | None = None) -> str:
    """All findings of `check` by kind, worst first, and what to do about each kind, once."""
    kinds = note_words.by_kind(result.notes)
    weights = sorted((grave for found, _ in kinds for grave, _ in found), key=SEVERITIES.index)
    heading = note_words.heading(weights, result.reference)
    blocks = _said([counted_here(result.filters), heading], width)
    told = len(kinds)
    if len({note.variant for note in result.notes}) > MOST_NAMED:
        serious = sum(any(grave == SERIOUS for grave, _ in found) for found, _ in kinds)
        told = max(note_words.MOST_KINDS, serious)
    for found, do in kinds[:told]:
        lines = [
            wrapped(text, width, f"{note_words.WEIGHTS[grave]}: ", "  ") for grave, text in found
        ]
        lines += [wrapped(do, width, f"  {note_words.WHAT_TO_DO}", "  ")] if do else []
        blocks.append("\n".join(lines))
    left = len(kinds) - told
    foot = [note_words.kinds_left(left, result.reference)] if left > 0 else []
    return "\n\n".join([*blocks, *_said([*foot, note_words.NO_ALL_CLEAR], width)])


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
    cells = shown.to_numpy().tolist()
    lines = aligned([heading, *cells], width)
    lines.insert(len(lines) - 1, "-" * max(columns(line) for line in "\n".join(lines).split("\n")))
    remarks = [remark for row in rows if (remark := uneven_rate(row)) is not None]
    remarks += [
        f"{some(row.group for row in rows if row.method == method)}: {METHODS[method]}."
        for method in dict.fromkeys(row.method for row in rows)
        if method != summary.total.method
    ]
    remarks += map(note_words.says, summary.notes)
    table, foot = "\n".join(lines), "\n".join(_said(remarks, width))
    parts = [*_said([counted_here(summary.filters)], width), table, foot]
    return "\n\n".join(filter(None, parts))


def _comparison_table(result: ComparisonResult, width: int | None, whole: bool) -> str:
    """Rows for each variant under its name, then what the reference caught; best answers first."""
    level = confidence_level(result.confidence)
    estimates = ["ratio", f"{level} limits", *(["p"] if whole else [])]
    rows = [["", *estimates, "fish", "rod-hours", "trips"]]
    titles: dict[int, str] = {}
    if not whole and len(result.comparisons) > MOST_NAMED:
        # Of many baits the answers alone.
        for one in ranked(result):
            same, everything, *_ = _comparison_rows(one, result, whole)
            row, of = (everything, " (all trips)") if one.basis == ALL_TRIPS else (same, "")
            rows.append([f"{one.variant}{of}", *row[1:]])
        return "\n".join(aligned(rows, width))
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
        f"{wrapped(titles[i], width)}\n{line}" if i in titles else line
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
