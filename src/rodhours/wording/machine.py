"""The machine form of a result: its keys in their order, notes with their sentences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from rodhours.evidence.result import Note, Result


def machine_form(result: Result) -> dict[str, Any]:
    """What `--json` prints of a result (schema 1): values that do not exist are None."""
    return {"schema": 1, **{name: plain(getattr(result, name)) for name in result.KEYS}}


def plain(value: Any) -> Any:
    """A value of a result in the types of JSON, its parts by their KEYS or else by their fields."""
    if isinstance(value, Note):
        return {
            "code": value.code,
            "variant": value.variant,
            "severity": value.severity,
            "says": value.says,
            "numbers": plain(value.numbers),
        }
    if is_dataclass(value):
        names = getattr(value, "KEYS", None) or [one.name for one in fields(value)]
        return {name: plain(getattr(value, name)) for name in names}
    if isinstance(value, Mapping):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, tuple | list):
        return [plain(part) for part in value]
    return value
