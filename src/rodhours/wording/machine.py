"""The machine form of a result: its keys in their order, notes with their sentences."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from importlib import import_module
from typing import Any

from rodhours.evidence.result import ONLY_WHERE_KNOWN, Note, Result
from rodhours.wording.notes import says

WORDED = {"MixingSheet": "rodhours.wording.kitchen:sheet_form"}
"""Where the machine form is made that has words in it, by the name of the result's class."""


def machine_form(result: Result) -> dict[str, Any]:
    """What `--json` prints of a result (schema 1): values that do not exist are None."""
    if type(result).__name__ in WORDED:
        module, _, name = WORDED[type(result).__name__].partition(":")
        worded: Callable[[Result], dict[str, Any]] = getattr(import_module(module), name)
        return worded(result)
    names = (*result.KEYS, *(result.KEYS_OF_A_CHOICE if result.filters else ()))
    return {"schema": 1, **{name: _part(name, getattr(result, name)) for name in names}}


def _part(name: str, value: Any) -> Any:
    return [_finding(note) for note in value] if name == "findings" else plain(value)


def _finding(note: Note) -> dict[str, Any]:
    """A note of a check: one about a variant names it among its numbers."""
    form: dict[str, Any] = plain(note)
    variant = form.pop("variant")
    if variant is not None:
        form["numbers"] = {"variant": variant, **form["numbers"]}
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
        shown = {name: plain(getattr(value, name)) for name in names}
        hidden = {one.name for one in fields(value) if one.metadata == ONLY_WHERE_KNOWN}
        return {k: part for k, part in shown.items() if part is not None or k not in hidden}
    if isinstance(value, Mapping):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, tuple | list):
        return [plain(part) for part in value]
    return value
