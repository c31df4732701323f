"""How a result shows to Python users: the answer in a line, and a form for notebooks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from html import escape
from importlib import import_module
from typing import Any

from rodhours.evidence.result import Result
from rodhours.wording.notes import says

SENTENCES = {
    "CheckResult": "rodhours.wording.notes:found",
    "ComparisonResult": "rodhours.wording.answer:sentences",
    "HoursPlan": "rodhours.wording.planning_hours:sentences",
    "Ledger": "rodhours.wording.ledger:sentences",
    "Lift": "rodhours.wording.kitchen:lift_sentences",
    "MixingSheet": "rodhours.wording.kitchen:sheet_sentences",
    "NextSeason": "rodhours.wording.planning_next:sentences",
    "RateSummary": "rodhours.wording.summary:sentences",
    "RecipesCompared": "rodhours.wording.recipes:sentences",
    "RehearsalResult": "rodhours.wording.rehearsal:sentences",
    "ResponseResult": "rodhours.wording.response:sentences",
    "Rotation": "rodhours.wording.rotation:sentences",
    "RunningResult": "rodhours.wording.running:sentences",
    "SeasonBySeason": "rodhours.wording.season_by_season:sentences",
    "SizesResult": "rodhours.wording.sizes:sentences",
}
"""Where the sentences of each kind of result are made, by the name of its class."""


def sentences(result: Result) -> list[str]:
    """The answer in plain sentences, the first by itself an answer."""
    place = SENTENCES.get(type(result).__name__)
    if place is None:
        return []
    module, name = place.split(":")
    made: Callable[[Any], list[str]] = getattr(import_module(module), name)
    return made(result)


def in_a_line(result: Result) -> str:
    """The class of the result and its answer."""
    answer = " ".join(sentences(result)[:1])
    return f"<{type(result).__name__}: {answer or 'no answer'}>"


def as_html(result: Result) -> str:
    """A paragraph for each sentence and note, then the tidy frame; texts escaped."""
    paragraphs = "".join(f"<p>{escape(text)}</p>" for text in _texts(result))
    frame = getattr(result, "frame", None)
    if frame is None:
        return paragraphs
    table = frame.to_html(index=False, na_rep="–", float_format=lambda value: f"{value:.4g}")
    return f"{paragraphs}{table}"


def _texts(result: Result) -> Iterator[str]:
    yield from sentences(result)
    for note in result.notes:
        yield says(note)
