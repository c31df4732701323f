"""The answer of `respond` as plain text: opening sentence, table, the baits, what limits it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rodhours.evidence.ingredients.results import ResponseResult, StepEstimate
from rodhours.evidence.results import ALL_TRIPS
from rodhours.report.terminal import _aligned, _wrapped
from rodhours.wording import report as season_words
from rodhours.wording import response as words
from rodhours.wording.gathering import gathered
from rodhours.wording.numbers import confidence_level, hours, limits_short, p_value, ratio


def response_text(result: ResponseResult, width: int | None = None) -> str:
    """The whole answer of `response` as text.

    `width` is the number of columns to wrap sentences at; None leaves each on one line.
    """
    machine = result.to_dict()
    parts = [_wrapped(words.opening(machine), width), _bases(result, width), _baits(machine, width)]
    foot = [words.beside(machine), words.fit_of_line(machine)]
    if result.adjusted_for:
        foot.append(season_words.adjusted(result.adjusted_for))
    parts.append(_wrapped(" ".join(part for part in foot if part), width))
    said = gathered([note.to_dict() for note in result.notes])
    if said:
        lines = "\n".join(_wrapped(text, width, "- ", "  ") for _, text in said)
        parts.append(f"What limits this answer\n{lines}")
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
        rows = [["  same trips", *_figures(result)]]
    rows.append(["  all trips", *_figures(beside)])
    return "\n".join(_aligned([heading, *rows], width))


def _figures(one: ResponseResult | StepEstimate) -> list[str]:
    return [
        ratio(one.rate_ratio),
        limits_short(one.conf_low, one.conf_high),
        p_value(one.p_value),
        f"{one.fish:,}",
        hours(one.rod_hours).split()[0],
        f"{one.sessions:,}",
    ]


def _baits(machine: Mapping[str, Any], width: int | None) -> str:
    rows = [list(row.values()) for row in words.points_rows(machine)]
    return "\n".join(_aligned([words.table_headings(machine), *rows], width))
