"""A log fit to be handed on: people and swims go by numbers, reasons in own words stay at home."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

    from rodhours.choice import LogContent

HIDDEN = ("spot", "swim", "angler")
"""Columns whose values are numbered; labels of trips that have one in them, made of it, too."""
NOT_SHARED = "not shared"


def disguised(log: LogContent, anglers: Sequence[str]) -> tuple[LogContent, list[str]]:
    """The log with `angler 1` and `swim 1` for its names, and what these anglers are called in it.

    Nothing else changes, so that every number of an answer stays.
    """
    number = {
        column: {
            str(name): f"{column} {place}"
            for place, name in enumerate(sorted(log.everything[column].dropna().unique()), start=1)
        }
        for column in HIDDEN
        if column in log.everything
    }
    names = {name: said for column in number.values() for name, said in column.items()}
    words = "|".join(map(re.escape, sorted(names, key=len, reverse=True)))

    def label(text: str) -> str:
        whole = rf"(?<![\w-])(?:{words})(?![\w-])"
        return re.sub(whole, lambda found: names[found[0]], text) if words else text

    def angler(name: str | None) -> str | None:
        return None if name is None else number["angler"].get(name, name)

    def frame(rows: pd.DataFrame) -> pd.DataFrame:
        shown = {
            name: rows[name].map(number[name]).astype("object") for name in number if name in rows
        }
        return rows.assign(session=rows["session"].map(label), **shown)

    shared = replace(
        log,
        stints=frame(log.stints),
        everything=frame(log.everything),
        catches=frame(log.catches),
        left_out=tuple(
            {"session": label(one["session"]), "angler": angler(one["angler"])}
            | {"because": NOT_SHARED}
            for one in log.left_out
        ),
        taken_as_new=frozenset((label(trip), angler(name)) for trip, name in log.taken_as_new),
    )
    return shared, [number["angler"].get(name, name) for name in anglers]
