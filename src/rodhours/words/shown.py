"""How a result shows to Python users: the answer in a line, and a form for notebooks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from html import escape
from importlib import import_module
from typing import Any

from rodhours.evidence.result import Result
from rodhours.words.notes import says

SENTENCES = {
    "CheckResult": "rodhours.words.notes:found",
    "ComparisonResult": "rodhours.words.answer:sentences",
    "HoursPlan": "rodhours.words.planning_hours:sentences",
    "Ledger": "rodhours.words.ledger:sentences",
    "Lift": "rodhours.words.kitchen:lift_sentences",
    "MixingSheet": "rodhours.words.kitchen:sheet_sentences",
    "NextSeason": "rodhours.words.planning_next:sentences",
    "RateSummary": "rodhours.words.summary:sentences",
    "RecipesCompared": "rodhours.words.recipes:sentences",
    "RehearsalResult": "rodhours.words.rehearsal:sentences",
    "ResponseResult": "rodhours.words.response:sentences",
    "Rotation": "rodhours.words.rotation:sentences",
    "RunningResult": "rodhours.words.running:sentences",
    "SeasonBySeason": "rodhours.words.season_by_season:sentences",
    "SizesResult": "rodhours.words.sizes:sentences",
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
    if result.ROWS == "notes":
        return paragraphs
    table = result.frame.to_html(index=False, na_rep="–", float_format=_figure)
    return f"{paragraphs}{table}"


def _figure(value: float) -> str:
    """Four significant figures, never as a power of ten."""
    import numpy as np

    return np.format_float_positional(value, 4, fractional=False, trim="-")


def _texts(result: Result) -> Iterator[str]:
    yield from sentences(result)
    for note in result.notes:
        yield says(note)
