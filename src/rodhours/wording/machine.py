"""The machine form of a result: its keys in their order, notes with their sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from importlib import import_module
from operator import attrgetter
from typing import Any

from rodhours.evidence.result import Note, Result

SENTENCES = {
    "NextSeason": "rodhours.wording.planning_next:with_sentences",
    "RehearsalResult": "rodhours.wording.rehearsal:with_sentences",
}
"""What puts a result's sentences into its machine form, by the name of its class."""


def machine_form(result: Result) -> dict[str, Any]:
    """What `--json` prints of a result (schema 1): values that do not exist are None."""
    form = {"schema": 1, **_keyed(result, result.KEYS)}
    place = SENTENCES.get(type(result).__name__)
    if place is not None:
        module, name = place.split(":")
        say: Callable[[Any, dict[str, Any]], None] = getattr(import_module(module), name)
        say(result, form)
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
    """A value of a result in the types of JSON, its parts by their `KEYS`, else by their fields."""
    if isinstance(value, Note):
        return {
            "code": value.code,
            "variant": value.variant,
            "severity": value.severity,
            "says": value.says,
            "numbers": plain(value.numbers),
        }
    if is_dataclass(value):
        return _keyed(value, getattr(value, "KEYS", [field.name for field in fields(value)]))
    if isinstance(value, Mapping):
        return {
            f"{key:g}" if isinstance(key, float) else key: plain(part)
            for key, part in value.items()
        }
    if isinstance(value, tuple | list):
        return [plain(part) for part in value]
    return value
