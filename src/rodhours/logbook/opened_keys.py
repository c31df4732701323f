"""Sealed keys that were opened: noted in the logbook, and codes read as variants from then on.

The note is a setting, so the log itself stays as it was written: stints keep the code on the bag.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from rodhours.errors import UsageError
from rodhours.logbook.logbook import STINT_DATA, Logbook

OPENED_KEYS = "opened_keys"
"""The setting: a JSON object of plan to codes, opened_at, trips_in and trips_planned."""


@dataclass(frozen=True)
class Opening:
    """When a key was first opened (ISO 8601, UTC), how many trips were in, whether just now."""

    opened_at: str
    trips_in: int
    trips_planned: int
    first: bool


def variants_of_codes(logbook: Logbook) -> dict[str, str]:
    """Every opened code with its variant; codes in capitals."""
    return {
        code.upper(): variant
        for key in _keys(logbook).values()
        for code, variant in key["codes"].items()
    }


def variant_meant(logbook: Logbook, name: str | None) -> str | None:
    """The variant that a name given by a user stands for: an opened code's, else the name."""
    return None if name is None else variants_of_codes(logbook).get(name.upper(), name)


def variants_meant(logbook: Logbook, names: Iterable[str]) -> set[str]:
    """The variants that these labels of the log stand for, opened codes among them."""
    known = variants_of_codes(logbook)
    return {known.get(name.upper(), name) for name in names}


def note_opening(
    logbook: Logbook, plan: str, codes: Mapping[str, str], trips_planned: int, now: str
) -> Opening:
    """Note that a key was opened, and how many trips have its codes; again changes nothing.

    UsageError where a code is known as another variant's.
    """
    if not logbook.is_begun():
        # An empty transaction begins it: a key may be opened before the first import.
        with logbook.transaction():
            pass
    keys = _keys(logbook)
    if plan in keys and keys[plan]["codes"] == dict(codes):
        held = keys[plan]
        return Opening(held["opened_at"], held["trips_in"], held["trips_planned"], first=False)
    known = variants_of_codes(logbook)
    for code, variant in codes.items():
        if known.get(code.upper(), variant) != variant:
            raise UsageError(
                f"The code {code} stands for {known[code.upper()]} in this logbook already, and "
                f"for {variant} in this key. Keep the two seasons in two logbooks (--logbook)."
            )
    if plan in keys:
        raise UsageError(f"Another key of a plan called {plan} was opened in this logbook before.")
    trips_in = trips_with(logbook, codes)
    keys[plan] = {
        "codes": dict(codes),
        "opened_at": now,
        "trips_in": trips_in,
        "trips_planned": trips_planned,
    }
    logbook.set_setting(OPENED_KEYS, json.dumps(keys, ensure_ascii=False, sort_keys=True))
    return Opening(now, trips_in, trips_planned, first=True)


def trips_with(logbook: Logbook, codes: Mapping[str, str]) -> int:
    """How many sessions fished at least one of these codes; none where the logbook is new."""
    if not logbook.is_begun():
        return 0
    variant = 2 + STINT_DATA.index("variant")
    wanted = {code.upper() for code in codes}
    return len({row[1] for row in logbook.stints() if str(row[variant]).upper() in wanted})


def _keys(logbook: Logbook) -> dict[str, dict[str, Any]]:
    held = logbook.setting(OPENED_KEYS) if logbook.is_begun() else None
    keys: dict[str, dict[str, Any]] = json.loads(held) if held else {}
    return keys
