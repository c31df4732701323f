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
from pathlib import Path
from typing import Any, NoReturn

from rodhours.errors import UnusableFile
from rodhours.log.cells import LOG_YEARS, CellFault
from rodhours.log.cells.cell import Dates, Units, cell_reader
from rodhours.log.cells.dates import DATE_FORMS
from rodhours.log.cells.times import is_zone
from rodhours.log.cells.weights import WEIGHT_FORMS
from rodhours.log.layout.layout import (
    BAIT,
    COLUMNS,
    DECIMAL_MARKS,
    KEEP,
    LEAVE_OUT,
    LIST_MARKS,
    MARKS,
    MEASURES,
    OF_A_ROD,
    ROD,
    Layout,
)
from rodhours.log.tables import TABLES
from rodhours.near import near_names

LONGEST_FILE = 1_000_000
WIDTH = 96
_FORBIDDEN = re.compile(r"[\x00-\x08\x0a-\x1f\x7f]")
"""What a comment in TOML may not hold."""

Entries = Mapping[str, Mapping[str, object]]
"""Keys and values by the section that they stand in."""
Notes = Mapping[tuple[str, str], Sequence[str]]
"""Lines of comment over an entry, by section and key; over a section where the key is empty."""


def _are_names(value: object) -> bool:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        return False
    return all(map(str.strip, value)) and len(set(value)) == len(value)


_Rule = tuple[str, ...] | tuple[Callable[[Any], bool], str]
"""The values that an entry may have; or a test of them, and what would be right."""
_COLUMNS: _Rule = (_are_names, 'names of columns in the file, each once, such as ["Date", "Water"]')
_TEXT: _Rule = (lambda value: isinstance(value, str), "a text in quotation marks")
_ANY = ""
"""In place of the key of a section, whose entries are the angler's own names."""
_SECTIONS: Mapping[str, Mapping[str, _Rule]] = {
    "file": {
        "sheets": (_are_names, 'the names of sheets, such as ["April", "May"]'),
        "table": tuple(TABLES),
    },
    "columns": {_ANY: (*COLUMNS, KEEP, LEAVE_OUT)},
    "baits": {"names": _COLUMNS},
    "session": {"from": _COLUMNS},
    "fill_down": {"columns": _COLUMNS},
    "lists": {_ANY: LIST_MARKS},
    "rows": {**MARKS, "rods": _TEXT},
    "units": {
        "hours": ("hours", "days"),
        "weight": WEIGHT_FORMS,
        "decimal": DECIMAL_MARKS,
        **MEASURES,
    },
    "dates": {
        "form": DATE_FORMS,
        "zone": (
            lambda value: isinstance(value, str) and is_zone(value),
            'a time zone by its name, such as "Europe/Berlin" or "UTC"',
        ),
        "clock_on": _TEXT,
        "clock_end_on": _TEXT,
        "year": (
            lambda value: type(value) is int and value in LOG_YEARS,
            "the year of the first date, such as 2025",
        ),
    },
    "values": {},
}
"""What a layout file may say, in the order in which it is written."""


def load_layout(path: Path) -> Layout:
    """The layout in a TOML file; UnusableFile where it cannot be read or says what nobody knows."""
    try:
        with path.open(encoding="utf-8-sig") as file:
            text = file.read(LONGEST_FILE + 1)
    except OSError as error:
        raise UnusableFile(
            f"{path}: the layout cannot be read ({error.strerror or error})."
        ) from None
    except UnicodeDecodeError:
        text = " " * (LONGEST_FILE + 1)
    if len(text) > LONGEST_FILE:
        raise UnusableFile(
            f"{path}: this is not a layout file; a layout is a short text file in TOML."
        )
    return parse_layout(text, str(path))


def parse_layout(text: str, name: str) -> Layout:
    """The layout in a TOML text; `name` is how errors call it."""
    try:
        content = tomllib.loads(text.replace("\r\n", "\n"))
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise UnusableFile(
            f"{name}: this is not TOML: {error}. Names and texts stand in quotation marks, as in "
            '"Bait" = "variant".'
        ) from None
    return _Reader(name).layout(content)


class _Reader:
    """Checks entry by entry; every fault ends in `wrong`."""

    def __init__(self, name: str) -> None:
        self.name = name

    def layout(self, content: Mapping[str, Any]) -> Layout:
        of: dict[str, dict[str, Any]] = {section: {} for section in _SECTIONS}
        for section, entries in content.items():
            if section not in _SECTIONS:
                self.wrong(section, "", None, _one_of(_SECTIONS, section))
            if not isinstance(entries, dict):
                self.wrong("", section, entries, _a_section(section))
            read = self.values if section == "values" else self.entries
            of[section] = read(section, entries)
        self.check_columns(of["columns"])
        if of["session"].get("from") and "session" in of["columns"].values():
            theirs = next(name for name, ours in of["columns"].items() if ours == "session")
            says = f'left out, since [columns] has "{theirs}" = "session"'
            self.wrong("session", "from", of["session"]["from"], says)
        if "clock_end_on" in of["dates"] and "clock_on" not in of["dates"]:
            right = "beside clock_on, the column with the day of the start"
            self.wrong("dates", "clock_end_on", of["dates"]["clock_end_on"], right)
        units = {key: one for key, one in of["units"].items() if key not in MEASURES}
        measures = {key: one for key, one in of["units"].items() if key in MEASURES}
        return Layout(
            columns=of["columns"],
            values=of["values"],
            units=Units(**units, measures=measures),
            dates=Dates(**of["dates"]),
            session_from=tuple(of["session"].get("from", ())),
            fill_down=tuple(of["fill_down"].get("columns", ())),
            lists=of["lists"],
            baits=tuple(of["baits"].get("names", ())),
            rows=of["rows"],
            sheets=tuple(of["file"].get("sheets", ())),
            table=of["file"].get("table"),
            name=self.name,
        )

    def entries(self, section: str, entries: Mapping[str, Any]) -> dict[str, Any]:
        """The entries of a section, each as its rule has it; one text is a list of it."""
        rules, found = _SECTIONS[section], {}
        for key, value in entries.items():
            rule = rules.get(_ANY) or rules.get(key)
            if rule is None:
                self.wrong(section, key, value, _one_of(rules, key))
            found[key] = [value] if rule is _COLUMNS and isinstance(value, str) else value
            if callable(rule[0]):
                if not rule[0](found[key]):
                    self.wrong(section, key, value, str(rule[1]))
            elif not isinstance(value, str) or value not in rule:
                self.wrong(section, key, value, _one_of(map(str, rule), value))
        return found

    def values(self, _: str, entries: Mapping[str, Any]) -> dict[str, dict[str, str]]:
        found: dict[str, dict[str, str]] = {}
        for column, texts in entries.items():
            if column not in COLUMNS:
                self.wrong("values", column, texts, _one_of(COLUMNS, column))
            if not isinstance(texts, dict):
                self.wrong("values", column, texts, _a_section(f"values.{column}"))
            found[column] = {}
            for theirs, value in texts.items():
                text, right = str(value).strip(), ""
                if isinstance(value, bool) or not isinstance(value, str | int | float):
                    right = str(_TEXT[1])
                elif text:
                    try:
                        cell_reader(COLUMNS[column])(text)
                    except CellFault as fault:
                        right = str(fault)
                if right:
                    self.wrong(f"values.{column}", theirs, value, right)
                found[column][theirs.strip()] = text
        return found

    def check_columns(self, entries: Mapping[str, str]) -> None:
        """Each of ours once; what is of a rod or bait beside what says which was out."""
        groups = Layout(columns=entries).groups
        marks = [mark for mark in (ROD, BAIT) if any(mark in name for name in groups)]
        needed = {ROD: "variant", BAIT: "fish"}
        for theirs, ours in entries.items():
            taken = next(name for name, one in entries.items() if one == ours)
            right = ""
            if taken != theirs and ours not in ("fish", KEEP, LEAVE_OUT):
                right = (
                    f'another column of ours, "keep" or "leave out": "{taken}" is {ours} already'
                )
            elif ours == KEEP and theirs in COLUMNS:
                right = (
                    f'"{theirs}" or "leave out": a column of that name is read as ours, so that it '
                    "cannot be kept unread"
                )
            elif theirs in groups and (
                ours not in OF_A_ROD or theirs.count(ROD) + theirs.count(BAIT) != 1
            ):
                right = f"one of {', '.join(OF_A_ROD)}: what each rod, or bait, has of its own"
            elif groups and ours in ("fish", "lost") and theirs not in groups:
                right = (
                    f'"keep", or {marks[0]} in its name: a count of {ours} for the whole row '
                    "cannot be shared out in it"
                )
            if right:
                self.wrong("columns", theirs, ours, right)
        for mark in marks:
            if len(marks) > 1 or needed[mark] not in groups.values():
                right = f'with another name with {mark} as "{needed[mark]}"'
                self.wrong("columns", next(iter(groups)), dict(groups), right)

    def wrong(self, section: str, key: str, found: object, right: str) -> NoReturn:
        entry = f"{f'[{section}]' if section else ''} {key}".strip()
        text = f'"{found}"' if isinstance(found, str) else str(found)
        said = f"found {text[:60]}; " if found is not None else ""
        raise UnusableFile(f"{self.name}: {entry}: {said}should be {right}.")


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
    parts = [_wrapped(notes.get(("", ""), ()))]
    for name in dict.fromkeys([*sections, *after]):
        entries = sections.get(name, {})
        lines = _wrapped(notes.get((name, ""), ()))
        if not (entries or lines or after.get(name)):
            continue
        # Its name is in force without entries too: taking the # off an entry is then enough.
        lines.append(f"[{name}]")
        for key, value in entries.items():
            lines += [*_wrapped(notes.get((name, key), ())), entry_line(name, key, value)]
        lines += [f"# {_FORBIDDEN.sub(' ', line)}" for line in after.get(name, ())]
        parts.append(lines)
    return "\n\n".join("\n".join(lines) for lines in parts if lines) + "\n"


def _content(layout: Layout) -> dict[str, Mapping[str, Any]]:
    """What a layout says, by the sections of its file; a section may be empty."""
    usual = {**vars(Units()), **vars(Dates()), "measures": layout.units.measures}
    units, dates = (
        {key: value for key, value in vars(one).items() if value != usual[key]}
        for one in (layout.units, layout.dates)
    )
    lists: dict[str, dict[str, Any]] = {
        "file": {"sheets": layout.sheets, "table": layout.table},
        "baits": {"names": layout.baits},
        "session": {"from": layout.session_from},
        "fill_down": {"columns": layout.fill_down},
    }
    told = {name: {k: v for k, v in entries.items() if v} for name, entries in lists.items()}
    return {
        "file": told.pop("file"),
        "columns": layout.columns,
        **told,
        "lists": layout.lists,
        "rows": layout.rows,
        "units": {**units, **layout.units.measures},
        "dates": dates,
        **{f"values.{ours}": texts for ours, texts in layout.values.items()},
    }


def merged(*entries: Entries) -> dict[str, dict[str, Any]]:
    """Entries of layouts together, the later ones in force."""
    found: dict[str, dict[str, Any]] = {}
    for sections in entries:
        for name, of_section in sections.items():
            found[name] = {**found.get(name, {}), **of_section}
    return found


def with_entries(layout: Layout, entries: Entries) -> Layout:
    """The layout with further entries in its sections; UnusableFile where these cannot stand."""
    content: dict[str, dict[str, Any]] = {"values": {}}
    for name, of_section in merged(_content(layout), entries).items():
        held = {key: list(v) if isinstance(v, tuple) else v for key, v in of_section.items()}
        section, _, ours = name.partition(".")
        content.setdefault(section, {}).update({ours: held} if ours else held)
    return _Reader(layout.name).layout(content)


def entry_line(section: str, key: str, value: object) -> str:
    """One entry as it stands in its section of the file."""
    quoted = section in ("columns", "lists") or section.startswith("values.")
    return f"{toml_value(key) if quoted else key} = {toml_value(value)}"


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
