"""The machine form of a result: its keys in their order, notes with their sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from importlib import import_module
from operator import attrgetter
from typing import Any

from rodhours.evidence.result import ONLY_WHERE_KNOWN, Note, Result
from rodhours.words.notes import says

WORDED = {"MixingSheet": "rodhours.words.kitchen:sheet_form"}
"""Where the machine form is made that has words in it, by the name of the result's class."""

SENTENCES = {
    "NextSeason": "rodhours.words.planning_next:with_sentences",
    "RehearsalResult": "rodhours.words.rehearsal:with_sentences",
}
"""What puts a result's sentences into its machine form, by the name of its class."""


def machine_form(result: Result) -> dict[str, Any]:
    """What `--json` prints of a result (schema 1): values that do not exist are None."""
    kind = type(result).__name__
    if kind in WORDED:
        worded: Callable[[Result], dict[str, Any]] = _named(WORDED[kind])
        return worded(result)
    names = (*result.KEYS, *(result.KEYS_OF_A_CHOICE if result.filters else ()))
    form = {"schema": 1, **_keyed(result, names)}
    if "findings" in form:
        form["findings"] = [_finding(note) for note in form["findings"]]
    if kind in SENTENCES:
        say: Callable[[Result, dict[str, Any]], None] = _named(SENTENCES[kind])
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
