"""Layouts that a logbook remembers, for files whose columns have the same names.

They stand in the logbook's settings, under a digest of the names: neither their order nor
capitals and spaces matter.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from rodhours.errors import UnusableFile
from rodhours.log.layout.layout import Layout, plain
from rodhours.log.layout.toml import layout_text, parse_layout
from rodhours.log.table import FileTable

if TYPE_CHECKING:
    from rodhours.log.logbook import Logbook

PREFIX = "layout "


@dataclass(frozen=True)
class Remembered:
    """A layout and the day on which it was last given."""

    layout: Layout
    on: str


def header_key(raw: FileTable) -> str:
    """The name of the setting for tables whose columns are called like this one's."""
    names = sorted(plain(name) for name in raw.names)
    return PREFIX + hashlib.sha256(json.dumps([raw.table, names]).encode()).hexdigest()[:32]


def recall(settings: Logbook, raw: FileTable) -> Remembered | None:
    """The layout that is remembered for such a table; None where there is none to be used."""
    text = settings.setting(header_key(raw))
    if text is None:
        return None
    try:
        held = json.loads(text)
        return Remembered(parse_layout(held["layout"], held["name"]), held["on"])
    except (ValueError, KeyError, TypeError, UnusableFile):
        # Written by another version: without it the file is asked about again.
        return None


def remember(settings: Logbook, used: Mapping[str, Layout], today: date | None = None) -> None:
    """Keep each layout under its key."""
    on = (today or date.today()).isoformat()
    for key, layout in used.items():
        value = {"name": layout.name, "layout": layout_text(layout)}
        held = settings.setting(key)
        if held is None or not value.items() <= json.loads(held).items():
            settings.set_setting(key, json.dumps(value | {"on": on}, ensure_ascii=False))
