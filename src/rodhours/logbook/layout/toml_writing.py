"""A layout as the text of its TOML file, with what explains each entry in comments.

A writer of our own: the libraries for it write no comments, and those are half of the file.
"""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Mapping, Sequence

from rodhours.logbook.layout.layout import Layout
from rodhours.logbook.layout.toml_reading import FILE_KEYS

WIDTH = 96
_FORBIDDEN = re.compile(r"[\x00-\x08\x0a-\x1f\x7f]")
"""What a comment in TOML may not hold."""

Notes = Mapping[tuple[str, str], Sequence[str]]
"""Lines of comment over an entry, by section and key; over a section where the key is empty."""


def layout_text(
    layout: Layout, notes: Notes | None = None, after: Mapping[str, Sequence[str]] | None = None
) -> str:
    """The TOML text of a layout; `after` has lines of comment at the end of a section.

    The comments under an empty section name open the file.
    """
    notes, after = notes or {}, after or {}
    sections: list[tuple[str, dict[str, object]]] = [
        ("file", {key: layout.file[key] for key in FILE_KEYS if key in layout.file}),
        ("columns", dict(layout.columns)),
        ("session", {"from": list(layout.session_from)} if layout.session_from else {}),
        ("fill_down", {"columns": list(layout.fill_down)} if layout.fill_down else {}),
        ("wide", dict(layout.wide)),
        ("units", _units(layout)),
        ("dates", _dates(layout)),
    ]
    sections += [(f"values.{ours}", {**texts}) for ours, texts in layout.values.items()]
    known = {name for name, _ in sections}
    sections += [(name, {}) for name in after if name and name not in known]
    parts = [_wrapped(notes.get(("", ""), ()))]
    for name, entries in sections:
        if not entries and not after.get(name) and not notes.get((name, "")):
            continue
        lines = _wrapped(notes.get((name, ""), ()))
        # Its name is in force without entries too: taking the # off an entry is then enough.
        lines.append(f"[{name}]")
        for key, value in entries.items():
            lines += _wrapped(notes.get((name, key), ()))
            lines.append(f"{_key(key, name)} = {toml_value(value)}")
        lines += _comments(after.get(name, ()))
        parts.append(lines)
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def toml_value(value: object) -> str:
    """A text, a number or a list of texts as TOML."""
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(one) for one in value)}]"
    if isinstance(value, str):
        # JSON's strings are TOML's, but for one character that JSON leaves as it is.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return str(value)


def one_line(text: str, longest: int = 40) -> str:
    """A cell as it can stand in a comment: in one line, without what TOML forbids there."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= longest else f"{line[: longest - 3]}..."


def _key(key: str, section: str) -> str:
    quoted = section == "columns" or section.startswith("values.")
    return toml_value(key) if quoted else key


def _comments(lines: Sequence[str]) -> list[str]:
    return [f"# {_FORBIDDEN.sub(' ', line)}" for line in lines]


def _wrapped(lines: Sequence[str]) -> list[str]:
    """Comments that are no entries, in lines that any editor shows whole."""
    return _comments(
        [
            part
            for line in lines
            for part in textwrap.wrap(_FORBIDDEN.sub(" ", line), WIDTH, break_on_hyphens=False)
        ]
    )


def _units(layout: Layout) -> dict[str, object]:
    units = layout.units
    hours: object = list(units.hours) if len(units.hours) > 1 else units.hours[0]
    entries: dict[str, object] = {}
    if units.hours != ("decimal",):
        entries["hours"] = hours
    if units.weight is not None:
        entries["weight"] = units.weight
    if (units.decimal, units.thousands) != (".", ""):
        entries["decimal"] = units.decimal
        entries["thousands"] = units.thousands
    return {**entries, **units.measures}


def _dates(layout: Layout) -> dict[str, object]:
    dates = layout.dates
    default = type(dates)()
    entries = {
        "form": dates.form,
        "pivot": dates.pivot,
        "zone": dates.zone,
        "clock_on": dates.clock_on,
        "clock_end_on": dates.clock_end_on,
        "clock": dates.clock,
    }
    return {key: value for key, value in entries.items() if value != getattr(default, key)}
