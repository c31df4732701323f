"""Planned hours as plain text: what it takes, what a season shows, what that rests on."""

from __future__ import annotations

from rodhours.evidence.power.results import HoursPlan
from rodhours.report.text_tables import aligned, wrapped
from rodhours.wording import planning_hours as words


def hours_plan_text(plan: HoursPlan, width: int | None = None) -> str:
    """The whole answer of `plan hours`; `width` is as in `comparison_text`."""
    machine = plan.to_dict()
    return "\n\n".join(
        [
            *(wrapped(one, width) for one in words.plan_lines(machine)),
            "\n".join(aligned(words.table_rows(machine), width)),
            *(wrapped(one, width) for one in words.foot_lines(machine)),
        ]
    )
