"""What to fish next as plain text: next step, table, a sentence for each bait, trips that help."""

from __future__ import annotations

from rodhours.planning.next_season import NextSeason
from rodhours.report.text_tables import aligned, paragraphs, wrapped
from rodhours.wording import planning_next as words
from rodhours.wording.fish_counted import counted_here


def next_season_text(plan: NextSeason, width: int | None = None) -> str:
    """The whole answer of `plan next`; `width` is as in `comparison_text`."""
    machine = plan.to_dict()
    counted = counted_here(plan.filters)
    said = (counted, machine["next_step"], words.opening(machine))
    if not machine["variants"]:
        said = (counted, words.opening(machine), machine["next_step"])
    parts = [wrapped(one, width) for one in said if one]
    if not machine["variants"]:
        return "\n\n".join(parts)
    parts.append("\n".join(aligned(words.table_rows(machine), width)))
    parts.append(paragraphs([(one["says"], True) for one in machine["variants"]], width))
    helpful = words.trips_lines(machine)
    if helpful:
        listed = paragraphs([(one, True) for one in helpful], width)
        parts.append(f"Trips that would help most\n{listed}")
    foot = [words.rules(machine), *words.limits_lines(machine)]
    return "\n\n".join([*parts, *(wrapped(one, width) for one in foot)])
