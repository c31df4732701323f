"""One season's results as one object for machines: what the single commands print, side by side."""

from __future__ import annotations

from typing import Any

from rodhours.report.contents import Season
from rodhours.wording.machine import plain


def season_machine(season: Season) -> dict[str, Any]:
    """The machine form of a season; a part that is not there is None.

    Each entry is the `to_dict` of its result: `compare` as `rodhours compare --json` prints it,
    `summary` (by variant), each of `response`, `sizes`, `next` and `rehearsal` as the commands of
    these names do, `running` as stands under that name in `compare --running --json`, at the looks
    that the page draws. `limits` are all notes that limit the answer, findings of the checks among
    them. Weights are kilograms, whatever the page shows.
    """
    compared = season.result if season.compared is None else season.compared

    def machine(result: Any) -> dict[str, Any] | None:
        return None if result is None else result.to_dict()

    return {
        "schema": 1,
        "title": season.title,
        "compare": machine(compared),
        "limits": plain(season.result.notes),
        "summary": machine(season.summary),
        "response": [machine(one) for one in season.responses.responses],
        "sizes": machine(season.sizes),
        "running": machine(season.running),
        "next": machine(season.plan),
        "rehearsal": machine(season.rehearsal),
        "seasons": machine(season.by_season),
    }
