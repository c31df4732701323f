"""Sizes of fish as plain text: what was compared, the table of weights, what limits it."""

from __future__ import annotations

from rodhours.evidence.sizes import SizesResult
from rodhours.report.text_tables import aligned, notes_list, wrapped
from rodhours.words import report as season_words
from rodhours.words import sizes as words
from rodhours.words.numbers import MISSING
from rodhours.words.weights import weight

_HEADING = [
    "variant",
    "weighed",
    "not weighed",
    "median",
    "middle half",
    "biggest",
    "typical weight ratio",
]


def sizes_text(result: SizesResult, units: str = "lb", width: int | None = None) -> str:
    """The whole answer of `sizes` as text; `units` is lb or kg, `width` as in `comparison_text`."""
    parts = [wrapped(words.opening(one, result), width) for one in result.comparisons]
    parts.append("\n".join(aligned([_HEADING, *_rows(result, units)], width)))
    foot = [words.rests_on(result), words.together(result)]
    parts.append(wrapped(" ".join(text for text in foot if text), width))
    if result.notes:
        title = season_words.limits_title(len(result.comparisons))
        parts.append(f"{title}\n{notes_list(result.notes, width)}")
    return "\n\n".join(parts)


def _rows(result: SizesResult, units: str) -> list[list[str]]:
    against = {one.variant: words.ratio_cell(one) for one in result.comparisons}
    return [
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
