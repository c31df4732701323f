"""The answer of `respond` as plain text: opening sentence, table, the baits, what limits it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rodhours.evidence.ingredients.results import ResponseResult, StepEstimate
from rodhours.evidence.results import ALL_TRIPS
from rodhours.report.text_tables import aligned, notes_list, wrapped
from rodhours.wording import report as season_words
from rodhours.wording import response as words
from rodhours.wording.fish_counted import counted_here
from rodhours.wording.numbers import confidence_level, hours, limits_short, p_value, ratio


def response_text(result: ResponseResult, width: int | None = None) -> str:
    """The whole answer of `response` as text.

    `width` is the number of columns to wrap sentences at; None leaves each on one line.
    """
    machine = result.to_dict()
    counted = counted_here(result.filters)
    parts = [] if counted is None else [wrapped(counted, width)]
    parts += [wrapped(words.opening(machine), width), _bases(result, width), _baits(machine, width)]
    foot = [words.beside(machine), words.fit_of_line(machine)]
    if result.adjusted_for:
        foot.append(season_words.adjusted(result.adjusted_for))
    parts.append(wrapped(" ".join(part for part in foot if part), width))
    if machine["notes"]:
        parts.append(f"{season_words.limits_title(1)}\n{notes_list(result.notes, width)}")
    return "\n\n".join(parts)


def _bases(result: ResponseResult, width: int | None) -> str:
    heading = [
        "",
        "times",
        f"{confidence_level(result.confidence)} limits",
        "p",
        "fish",
        "rod-hours",
        "trips",
    ]
    beside = result.all_trips
    rows = [["  same trips", "none", *([""] * 5)]]
    if result.basis != ALL_TRIPS:
        rows = [["  same trips", *_figures(result, result)]]
    rows.append(["  all trips", *_figures(beside, result)])
    return "\n".join(aligned([heading, *rows], width))


def _figures(one: ResponseResult | StepEstimate, result: ResponseResult) -> list[str]:
    """Ratio, limits and p, none of them rounded across what the verdict of `result` hangs on."""
    return [
        ratio(one.rate_ratio),
        limits_short(one.conf_low, one.conf_high, words.step_margin(result.to_dict())),
        p_value(one.p_value, 1 - result.confidence),
        f"{one.fish:,}",
        hours(one.rod_hours).split()[0],
        f"{one.sessions:,}",
    ]


def _baits(machine: Mapping[str, Any], width: int | None) -> str:
    rows = [list(row.values()) for row in words.points_rows(machine)]
    return "\n".join(aligned([words.table_headings(machine), *rows], width))
