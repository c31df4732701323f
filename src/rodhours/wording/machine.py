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
    """A value of a result in the types of JSON, its parts by the names of their fields."""
    if isinstance(value, Note):
        return {
            "code": value.code,
            "variant": value.variant,
            "severity": value.severity,
            "says": value.says,
            "numbers": plain(value.numbers),
        }
    if is_dataclass(value):
        return {one.name: plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {key: plain(part) for key, part in value.items()}
    if isinstance(value, tuple | list):
        return [plain(part) for part in value]
    return value
