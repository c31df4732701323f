"""The answer of `respond` as plain text: opening sentence, table, the baits, what limits it."""

from __future__ import annotations

from rodhours.evidence.response.result import ResponseResult, StepEstimate
from rodhours.evidence.results import ALL_TRIPS
from rodhours.report.text_tables import aligned, notes_list, wrapped
from rodhours.words import report as season_words
from rodhours.words import response as words
from rodhours.words.fish_counted import counted_here
from rodhours.words.numbers import confidence_level, hours, limits_short, p_value, ratio


def response_text(result: ResponseResult, width: int | None = None) -> str:
    """The whole answer of `response` as text.

    `width` is the number of columns to wrap sentences at; None leaves each on one line.
    """
    counted = counted_here(result.filters)
    parts = [] if counted is None else [wrapped(counted, width)]
    parts += [
        wrapped(words.opening(result), width),
        "\n".join(aligned(_bases(result), width)),
        "\n".join(aligned(words.points_table(result), width)),
    ]
    foot = [words.beside(result), words.fit_of_line(result)]
    if result.adjusted_for:
        foot.append(season_words.adjusted(result.adjusted_for))
    parts.append(wrapped(" ".join(part for part in foot if part), width))
    if result.notes:
        parts.append(f"{season_words.limits_title(1)}\n{notes_list(result.notes, width)}")
    return "\n\n".join(parts)


def _bases(result: ResponseResult) -> list[list[str]]:
    level = confidence_level(result.confidence)
    heading = ["", "times", f"{level} limits", "p", "fish", "rod-hours", "trips"]
    same = ["none", *([""] * 5)] if result.basis == ALL_TRIPS else _figures(result, result)
    everything = _figures(result.all_trips, result)
    return [heading, ["  same trips", *same], ["  all trips", *everything]]


def _figures(one: ResponseResult | StepEstimate, result: ResponseResult) -> list[str]:
    """Ratio, limits and p, none of them rounded across what the verdict of `result` hangs on."""
    return [
        ratio(one.rate_ratio),
        limits_short(one.conf_low, one.conf_high, words.step_margin(result)),
        p_value(one.p_value, 1 - result.confidence),
        f"{one.fish:,}",
        hours(one.rod_hours).split()[0],
        f"{one.sessions:,}",
    ]
