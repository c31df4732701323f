"""The findings of the checks as plain text: found, how much it could move, what to do."""

from __future__ import annotations

from rodhours.evidence.result import SEVERITIES
from rodhours.evidence.results import CheckResult
from rodhours.report.text_tables import wrapped
from rodhours.words import notes as words
from rodhours.words.fish_counted import counted_here


def findings_text(result: CheckResult, width: int | None = None) -> str:
    """All findings by kind, worst first, and what to do about each kind, once.

    `width` is the number of columns to wrap at; None leaves each part on one line.
    """
    kinds = words.by_kind(result.notes)
    weights = sorted((weight for found, _ in kinds for weight, _ in found), key=SEVERITIES.index)
    counted = counted_here(result.filters)
    blocks = [] if counted is None else [wrapped(counted, width)]
    blocks.append(wrapped(words.heading(weights, result.reference), width))
    for found, do in kinds:
        lines = [wrapped(text, width, f"{words.WEIGHTS[weight]}: ", "  ") for weight, text in found]
        if do:
            lines.append(wrapped(do, width, f"  {words.WHAT_TO_DO}", "  "))
        blocks.append("\n".join(lines))
    return "\n\n".join([*blocks, wrapped(words.NO_ALL_CLEAR, width)])
