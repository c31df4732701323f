"""Layout files: TOML to a layout, or the entry that is wrong; a layout to TOML with comments.

The file is the angler's own work, so nothing in it is passed over: an unknown section, key or
value is an error. It is written here, since the libraries for it write no comments.
"""

from __future__ import annotations

import json
import re
import textwrap
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, NoReturn
from zoneinfo import ZoneInfo

from rodhours.errors import UnusableFile
from rodhours.log.cells import LOG_YEARS, CellFault
from rodhours.log.cells.cell import Dates, Units, cell_reader
from rodhours.log.cells.dates import DATE_FORMS
from rodhours.log.cells.weights import WEIGHT_FORMS
from rodhours.log.layout.apart import OF_A_ROD
from rodhours.log.layout.layout import (
    BAIT,
    COLUMNS,
    DECIMAL_MARKS,
    KEEP,
    LEAVE_OUT,
    LIST_MARKS,
    MARKS,
    MEASURES,
    ROD,
    Layout,
)
from rodhours.log.tables import TABLES
from rodhours.near import near_names

SECTIONS = (
    *("file", "columns", "baits", "session", "fill_down", "lists", "rows", "units", "dates"),
    "values",
)
LONGEST_FILE = 1_000_000
WIDTH = 96
_FORBIDDEN = re.compile(r"[\x00-\x08\x0a-\x1f\x7f]")
"""What a comment in TOML may not hold."""

Entries = Mapping[str, Mapping[str, object]]
"""Keys and values by the section that they stand in."""
Notes = Mapping[tuple[str, str], Sequence[str]]
"""Lines of comment over an entry, by section and key; over a section where the key is empty."""


def load_layout(path: Path) -> Layout:
    """The layout in a TOML file; UnusableFile where it cannot be read or says what nobody knows."""
    try:
        with path.open(encoding="utf-8-sig") as file:
            text = file.read(LONGEST_FILE + 1)
        if len(text) > LONGEST_FILE:
            raise _no_layout(path)
    except OSError as error:
        raise UnusableFile(
            f"{path}: the layout cannot be read ({error.strerror or error})."
        ) from None
    except UnicodeDecodeError:
        raise _no_layout(path) from None
    return parse_layout(text, str(path))


def _no_layout(path: Path) -> UnusableFile:
    return UnusableFile(
        f"{path}: this is not a layout file; a layout is a short text file in TOML."
    )


def parse_layout(text: str, name: str) -> Layout:
    """The layout in a TOML text; `name` is how errors call it."""
    try:
        content = tomllib.loads(text.replace("\r\n", "\n"))
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise UnusableFile(
            f"{name}: this is not TOML: {error}. Names and texts stand in quotation marks, as in "
            '"Bait" = "variant".'
        ) from None
    return _Reader(text, name).layout(content)


def _is_zone(value: object) -> bool:
    try:
        return isinstance(value, str) and bool(ZoneInfo(value))
    except (LookupError, ValueError, OSError):
        return False


def _are_names(value: object) -> bool:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        return False
    return all(map(str.strip, value)) and len(set(value)) == len(value)


_Rule = tuple[str, ...] | tuple[Callable[[Any], bool], str]
"""The values that an entry may have; or a test of them, and what would be right."""
_COLUMNS: _Rule = (
    _are_names,
    'names of columns in the file, each once, such as ["Date", "Water"]',
)
_TEXT: _Rule = (lambda value: isinstance(value, str), "a text in quotation marks")
_TOLD: Mapping[str, Mapping[str, _Rule]] = {
    "file": {
        "sheets": (_are_names, 'the names of sheets, such as ["April", "May"]'),
        "table": tuple(TABLES),
    },
    "session": {"from": _COLUMNS},
    "fill_down": {"columns": _COLUMNS},
    "baits": {"names": _COLUMNS},
    "rows": {**MARKS, "rods": _TEXT},
    "units": {
        "hours": ("hours", "days"),
        "weight": WEIGHT_FORMS,
        "decimal": DECIMAL_MARKS,
        **MEASURES,
    },
    "dates": {
        "form": DATE_FORMS,
        "zone": (_is_zone, 'a time zone by its name, such as "Europe/Berlin" or "UTC"'),
        "clock_on": _TEXT,
        "clock_end_on": _TEXT,
        "year": (
            lambda value: type(value) is int and value in LOG_YEARS,
            "the year of the first date, such as 2025",
        ),
    },
}
"""What the entries of these sections may be, in the order in which they are written."""


class _Reader:
    """Checks entry by entry; every fault ends in `wrong`."""

    def __init__(self, text: str, name: str) -> None:
        self.lines = text.splitlines()
        self.name = name

    def layout(self, content: Mapping[str, Any]) -> Layout:
        for section, entries in content.items():
            if section not in SECTIONS:
                self.wrong(section, "", None, _one_of(SECTIONS, section))
            if not isinstance(entries, dict):
                self.wrong("", section, entries, _a_section(section))
        of = {name: self.told(name, content.get(name, {})) for name in _TOLD}
        columns = self.columns(content.get("columns", {}))
        session_from = tuple(of["session"].get("from", ()))
        if session_from and "session" in columns.values():
            theirs = next(name for name, ours in columns.items() if ours == "session")
            says = f'left out, since [columns] has "{theirs}" = "session"'
            self.wrong("session", "from", list(session_from), says)
        units = of["units"]
        if "clock_end_on" in of["dates"] and "clock_on" not in of["dates"]:
            right = "beside clock_on, the column with the day of the start"
            self.wrong("dates", "clock_end_on", of["dates"]["clock_end_on"], right)
        plain_units = {key: one for key, one in units.items() if key not in MEASURES}
        for theirs, mark in content.get("lists", {}).items():
            self.fits("lists", theirs, mark, LIST_MARKS)
        return Layout(
            columns=columns,
            values=self.values(content.get("values", {})),
            units=Units(
                **plain_units, measures={k: one for k, one in units.items() if k in MEASURES}
            ),
            dates=Dates(**of["dates"]),
            session_from=session_from,
            fill_down=tuple(of["fill_down"].get("columns", ())),
            lists=dict(content.get("lists", {})),
            baits=tuple(of["baits"].get("names", ())),
            rows=of["rows"],
            sheets=tuple(of["file"].get("sheets", ())),
            table=of["file"].get("table"),
            name=self.name,
        )

    def told(self, section: str, entries: Mapping[str, Any]) -> dict[str, Any]:
        """The entries of a section, each as its rule has it; one text is a list of it."""
        rules, found = _TOLD[section], {}
        for key, value in entries.items():
            if key not in rules:
                self.wrong(section, key, value, _one_of(rules, key))
            alone = isinstance(value, str) and rules[key] is _COLUMNS
            found[key] = [value] if alone else value
            self.fits(section, key, found[key], rules[key], value)
        return found

    def fits(self, section: str, key: str, value: Any, rule: _Rule, shown: Any = None) -> None:
        if callable(rule[0]):
            if not rule[0](value):
                self.wrong(section, key, value if shown is None else shown, str(rule[1]))
        elif not isinstance(value, str) or value not in rule:
            self.wrong(section, key, value, _one_of(rule, value))

    def wrong(self, section: str, key: str, found: object, right: str) -> NoReturn:
        entry = f"{f'[{section}]' if section else ''} {key}".strip()
        line = self.line(section, key)
        where = f"{self.name}, line {line}" if line is not None else self.name
        text = f'"{found}"' if isinstance(found, str) else str(found)
        said = f"found {text[:60]}; " if found is not None else ""
        raise UnusableFile(f"{where}: {entry}: {said}should be {right}.")

    def line(self, section: str, key: str) -> int | None:
        """The line that an entry stands on, as far as a look at the text tells."""
        inside = not section
        wanted = re.compile(rf"""\s*["']?{re.escape(key)}["']?\s*=""")
        for number, line in enumerate(self.lines, start=1):
            header = re.match(r"\s*\[\[?\s*([^\]]*?)\s*\]", line)
            if header:
                inside = header[1].replace('"', "") == section
                if inside and not key:
                    return number
            elif inside and key and wanted.match(line):
                return number
        return None

    def columns(self, entries: Mapping[str, Any]) -> dict[str, str]:
        taken: dict[str, str] = {}
        for theirs, ours in entries.items():
            self.fits("columns", theirs, ours, (*COLUMNS, KEEP, LEAVE_OUT))
            if ours in taken and ours != "fish":
                says = f'another column of ours, "keep" or "leave out": "{taken[ours]}" is {ours}'
                self.wrong("columns", theirs, ours, f"{says} already")
            if ours == KEEP and theirs in COLUMNS:
                says = (
                    f'"{theirs}" or "leave out": a column of that name is read as ours, so that it '
                    "cannot be kept unread"
                )
                self.wrong("columns", theirs, ours, says)
            if ours not in (KEEP, LEAVE_OUT):
                taken[ours] = theirs
        groups = Layout(columns=entries).groups
        for theirs, ours in groups.items():
            if ours not in OF_A_ROD or theirs.count(ROD) + theirs.count(BAIT) != 1:
                right = f"one of {', '.join(OF_A_ROD)}: what each rod, or bait, has of its own"
                self.wrong("columns", theirs, ours, right)
        marks = {mark for mark in (ROD, BAIT) for name in groups if mark in name}
        needed = {ROD: "variant", BAIT: "fish"}
        for mark in marks:
            if len(marks) > 1 or needed[mark] not in groups.values():
                right = f'with another name with {mark} as "{needed[mark]}"'
                self.wrong("columns", next(iter(groups)), dict(groups), right)
        for theirs, ours in entries.items():
            if groups and ours in ("fish", "lost") and theirs not in groups:
                says = (
                    f'"keep", or {next(iter(marks))} in its name: a count of {ours} for the whole '
                )
                self.wrong("columns", theirs, ours, says + "row cannot be shared out in it")
        return dict(entries)

    def values(self, entries: Mapping[str, Any]) -> dict[str, dict[str, str]]:
        found: dict[str, dict[str, str]] = {}
        for column, texts in entries.items():
            if column not in COLUMNS:
                self.wrong("values", column, texts, _one_of(COLUMNS, column))
            if not isinstance(texts, dict):
                self.wrong("values", column, texts, _a_section(f"values.{column}"))
            section, found[column] = f"values.{column}", {}
            for theirs, value in texts.items():
                if isinstance(value, bool) or not isinstance(value, str | int | float):
                    self.wrong(section, theirs, value, str(_TEXT[1]))
                text = str(value).strip()
                try:
                    if text:
                        cell_reader(COLUMNS[column])(text)
                except CellFault as fault:
                    self.wrong(section, theirs, value, str(fault))
                found[column][theirs.strip()] = text
        return found


def _one_of(allowed: Iterable[str], found: object) -> str:
    allowed = tuple(allowed)
    near = near_names(found, allowed, 1) if isinstance(found, str) else []
    meant = f' (did you mean "{near[0]}"?)' if near else ""
    quoted = [f'"{name}"' for name in allowed]
    return f"one of {', '.join(quoted)}{meant}"


def _a_section(name: str) -> str:
    return f"a section: [{name}] on a line of its own, its entries below"


def layout_text(
    layout: Layout, notes: Notes | None = None, after: Mapping[str, Sequence[str]] | None = None
) -> str:
    """The TOML text of a layout; `after` has lines of comment at the end of a section.

    The comments under an empty section name open the file.
    """
    notes, after = notes or {}, after or {}
    sections = _content(layout)
    sections |= {name: {} for name in after if name and name not in sections}
    parts = [_wrapped(notes.get(("", ""), ()))]
    for name, entries in sections.items():
        if not entries and not after.get(name) and not notes.get((name, "")):
            continue
        lines = _wrapped(notes.get((name, ""), ()))
        # Its name is in force without entries too: taking the # off an entry is then enough.
        lines.append(f"[{name}]")
        for key, value in entries.items():
            lines += [*_wrapped(notes.get((name, key), ())), entry_line(name, key, value)]
        lines += [f"# {_FORBIDDEN.sub(' ', line)}" for line in after.get(name, ())]
        parts.append(lines)
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _content(layout: Layout) -> dict[str, Mapping[str, object]]:
    """What a layout says, by the sections of its file; a section may be empty."""
    return {
        "file": {
            **({"sheets": layout.sheets} if layout.sheets else {}),
            **({"table": layout.table} if layout.table else {}),
        },
        "columns": layout.columns,
        "baits": {"names": layout.baits} if layout.baits else {},
        "session": {"from": layout.session_from} if layout.session_from else {},
        "fill_down": {"columns": layout.fill_down} if layout.fill_down else {},
        "lists": layout.lists,
        "rows": layout.rows,
        "units": {
            **_differing(
                {key: getattr(layout.units, key) for key in ("hours", "weight", "decimal")},
                asdict(Units(measures={})),
            ),
            **layout.units.measures,
        },
        "dates": _differing(asdict(layout.dates), asdict(Dates())),
        **{f"values.{ours}": texts for ours, texts in layout.values.items()},
    }


def with_entries(layout: Layout, entries: Entries) -> Layout:
    """The layout with further entries in its sections; UnusableFile where these cannot stand."""
    content: dict[str, Any] = {"values": {}}
    sections = _content(layout)
    for name in dict.fromkeys([*sections, *entries]):
        merged = {**sections.get(name, {}), **entries.get(name, {})}
        held = {key: list(one) if isinstance(one, tuple) else one for key, one in merged.items()}
        section, _, ours = name.partition(".")
        if ours:
            content[section][ours] = held
        else:
            content[section] = {**content.get(section, {}), **held}
    return _Reader("", layout.name).layout(content)


def entry_line(section: str, key: str, value: object) -> str:
    """One entry as it stands in its section of the file."""
    quoted = section in ("columns", "lists") or section.startswith("values.")
    return f"{toml_value(key) if quoted else key} = {toml_value(value)}"


def _differing(entries: Mapping[str, object], usual: Mapping[str, object]) -> dict[str, object]:
    return {key: value for key, value in entries.items() if value != usual[key]}


def toml_value(value: object) -> str:
    """A text, a number or a list of texts as TOML."""
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(one) for one in value)}]"
    if isinstance(value, str):
        # JSON's strings are TOML's, but for one character that JSON leaves as it is.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return str(value)


def _wrapped(lines: Sequence[str]) -> list[str]:
    """Comments that are no entries, in lines that any editor shows whole."""
    return [
        f"# {part}"
        for line in lines
        for part in textwrap.wrap(_FORBIDDEN.sub(" ", line), WIDTH, break_on_hyphens=False)
    ]
