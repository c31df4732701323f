"""The findings of the checks as plain text: found, how much it could move, what to do."""

from __future__ import annotations

from rodhours.evidence.results import CheckResult
from rodhours.report.text_tables import wrapped
from rodhours.words import notes as words
from rodhours.words.fish_counted import counted_here


def findings_text(result: CheckResult, width: int | None = None) -> str:
    """All findings, worst first; what is said of several baits in the same words stands once.

    `width` is the number of columns to wrap at; None leaves each part on one line.
    """
    told = dict.fromkeys((note.severity, words.parts(note)) for note in result.notes)
    counted = counted_here(result.filters)
    blocks = [] if counted is None else [wrapped(counted, width)]
    heading = words.heading([severity for severity, _ in told], result.reference)
    blocks.append(wrapped(heading, width))
    for severity, (found, how_much, what_to_do) in told:
        lines = [wrapped(found, width, f"{words.WEIGHTS[severity]}: ", "  ")]
        for label, text in ((words.HOW_MUCH, how_much), (words.WHAT_TO_DO, what_to_do)):
            if text:
                lines.append(wrapped(text, width, f"  {label}", "    "))
        blocks.append("\n".join(lines))
    return "\n\n".join([*blocks, wrapped(words.NO_ALL_CLEAR, width)])
