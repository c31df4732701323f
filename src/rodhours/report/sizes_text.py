"""Sizes of fish as plain text: what was compared, the table of weights, what limits it."""

from __future__ import annotations

from rodhours.evidence.sizes import SizesResult
from rodhours.report.text_tables import aligned, notes_list, wrapped
from rodhours.wording import report as season_words
from rodhours.wording import sizes as words
from rodhours.wording.numbers import MISSING, limits_short, ratio
from rodhours.wording.weights import weight


def sizes_text(result: SizesResult, units: str = "lb", width: int | None = None) -> str:
    """The whole answer of `sizes` as text; `units` is lb or kg, `width` as in `comparison_text`."""
    machine = result.to_dict()
    compared = machine["comparisons"]
    parts = [
        wrapped(words.opening(one, result.reference, result.confidence), width) for one in compared
    ]
    parts.append("\n".join(aligned(_table(result, units), width)))
    foot = words.rests_on(machine["model"], compared)
    told = sum(one["weight_ratio"] is not None for one in compared)
    if told:
        foot += f" {words.together(result.confidence, told)}"
    parts.append(wrapped(foot, width))
    if machine["notes"]:
        parts.append(
            f"{season_words.limits_title(len(compared))}\n{notes_list(result.notes, width)}"
        )
    return "\n\n".join(parts)


def _table(result: SizesResult, units: str) -> list[list[str]]:
    heading = [
        "variant",
        "weighed",
        "not weighed",
        "median",
        "middle half",
        "biggest",
        "typical weight ratio",
    ]
    ratios = {one.variant: one for one in result.comparisons}
    rows = [heading]
    for row in result.rows:
        one = ratios.get(row.variant)
        against = "reference" if one is None else MISSING
        if one is not None and one.weight_ratio is not None:
            limits = limits_short(one.conf_low, one.conf_high)
            against = f"{ratio(one.weight_ratio)} ({limits})"
        rows.append(
            [
                row.variant,
                f"{row.weighed:,}",
                f"{row.unweighed:,}",
                weight(row.median_kg, units),
                MISSING
                if row.lower_quartile_kg is None
                else f"{weight(row.lower_quartile_kg, units)} to "
                f"{weight(row.upper_quartile_kg, units)}",
                weight(row.biggest_kg, units),
                against,
            ]
        )
    return rows
