"""What to fish next as plain text: table, a sentence for each bait, trips that help, next step."""

from __future__ import annotations

from rodhours.planning.next_season import NextSeason
from rodhours.report.text_tables import aligned, paragraphs, wrapped
from rodhours.wording import planning_next as words
from rodhours.wording.wanted import counted_here


def next_season_text(plan: NextSeason, width: int | None = None) -> str:
    """The whole answer of `plan next`; `width` is as in `comparison_text`."""
    machine = plan.to_dict()
    counted = counted_here(plan.filters)
    parts = [wrapped(one, width) for one in (counted, words.opening(machine)) if one]
    if not machine["variants"]:
        return "\n\n".join([*parts, wrapped(machine["next_step"], width)])
    parts.append("\n".join(aligned(words.table_rows(machine), width)))
    parts.append(paragraphs([(one["says"], True) for one in machine["variants"]], width))
    helpful = words.trips_lines(machine)
    if helpful:
        said = paragraphs([(one, True) for one in helpful], width)
        parts.append(f"Trips that would help most\n{said}")
    foot = [machine["next_step"], words.rules(machine), *words.limits_lines(machine)]
    return "\n\n".join([*parts, *(wrapped(one, width) for one in foot)])
