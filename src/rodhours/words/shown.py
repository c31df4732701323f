"""How a result shows: a line, a form for notebooks, and the machine form with its sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from html import escape
from importlib import import_module
from operator import attrgetter
from typing import Any

from rodhours.evidence.result import ONLY_WHERE_KNOWN, Note, Result
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
WORDED = {"MixingSheet": "rodhours.words.kitchen:sheet_form"}
"""Where the machine form is made that has words in it, by the name of the result's class."""

IN_THE_FORM = {
    "NextSeason": "rodhours.words.planning_next:with_sentences",
    "RehearsalResult": "rodhours.words.rehearsal:with_sentences",
}
"""What puts a result's sentences into its machine form, by the name of its class."""


OF_EACH = ("filters", "version", "logbook_sha256", "notes")
"""What ends the machine form of a result that does not say its keys."""


def machine_form(result: Result) -> dict[str, Any]:
    """What `--json` prints of a result (schema 1): values that do not exist are None."""
    kind = type(result).__name__
    if kind in WORDED:
        worded: Callable[[Result], dict[str, Any]] = _named(WORDED[kind])
        return worded(result)
    names = result.KEYS or tuple(one.name for one in fields(result) if one.name not in OF_EACH)
    names += (result.KEYS_OF_A_CHOICE if result.filters else ()) if result.KEYS else OF_EACH
    form = {"schema": 1, **_keyed(result, names)}
    if "findings" in form:
        form["findings"] = [_finding(note) for note in form["findings"]]
    if kind in IN_THE_FORM:
        say: Callable[[Result, dict[str, Any]], None] = _named(IN_THE_FORM[kind])
        say(result, form)
    return form


def _named(place: str) -> Any:
    module, _, name = place.partition(":")
    return getattr(import_module(module), name)


def _finding(form: dict[str, Any]) -> dict[str, Any]:
    """A note of a check: one about a variant names it among its numbers."""
    variant = form.pop("variant")
    if variant is not None:
        form["numbers"] = {"variant": variant, **form["numbers"]}
    return form


def _keyed(value: Any, keys: Iterable[str]) -> dict[str, Any]:
    """Values by the keys of a `KEYS`.

    A key is the name of a field or property; `key=path` has it under another name than Python,
    and `*name` stands for all keys of that part.
    """
    form: dict[str, Any] = {}
    for key in keys:
        name, _, path = key.partition("=")
        if name.startswith("*"):
            form |= plain(getattr(value, name[1:]))
        else:
            form[name] = plain(attrgetter(path or name)(value))
    return form


def plain(value: Any) -> Any:
    """A value of a result in the types of JSON, its parts by their KEYS or else by their fields."""
    if isinstance(value, Note):
        return {
            "code": value.code,
            "variant": value.variant,
            "severity": value.severity,
            "says": says(value),
            "numbers": plain(value.numbers),
        }
    if is_dataclass(value):
        names = getattr(value, "KEYS", None) or [one.name for one in fields(value)]
        shown = _keyed(value, names)
        hidden = {one.name for one in fields(value) if one.metadata == ONLY_WHERE_KNOWN}
        return {k: part for k, part in shown.items() if part is not None or k not in hidden}
    if isinstance(value, Mapping):
        return {
            f"{key:g}" if isinstance(key, float) else key: plain(part)
            for key, part in value.items()
        }
    if isinstance(value, tuple | list):
        return [plain(part) for part in value]
    return value


def sentences(result: Result) -> list[str]:
    """The answer in plain sentences, the first by itself an answer."""
    place = SENTENCES.get(type(result).__name__)
    if place is None:
        return []
    made: Callable[[Any], list[str]] = _named(place)
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
