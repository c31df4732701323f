"""Layout files: TOML to a layout, or the entry that is wrong; a layout to TOML with comments.

The file is the angler's own work, so nothing in it is passed over: an unknown section, key or
value is an error. It is written here, since the libraries for it write no comments.
"""

from __future__ import annotations

import codecs
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
from rodhours.log.cells.cell import cell_reader
from rodhours.log.cells.dates import DATE_FORMS
from rodhours.log.cells.hours import HOURS_FORMS
from rodhours.log.cells.times import TIME_FORMS
from rodhours.log.cells.weights import WEIGHT_FORMS
from rodhours.log.layout.layout import (
    COLUMNS,
    DECIMAL_MARKS,
    KEEP,
    LEAVE_OUT,
    LIST_MARKS,
    MARKS,
    MEASURES,
    ROD,
    THOUSANDS_MARKS,
    Dates,
    Layout,
    Units,
)
from rodhours.log.tables import STINTS, TABLES
from rodhours.near import near_names

SECTIONS = (
    *("file", "columns", "session", "fill_down", "lists", "wide", "rows", "units", "dates"),
    "values",
)
CLOCK_DAYS = ("clock_on", "clock_end_on")
SEPARATORS = (",", ";", "\t")
LONGEST_FILE = 1_000_000
WIDTH = 96
_A_TEXT = "a text in quotation marks"
_COLUMN_NAMES = 'names of columns in the file, each once, such as ["Date", "Water"]'
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


class _Reader:
    """Checks entry by entry; every fault ends in `wrong`."""

    def __init__(self, text: str, name: str) -> None:
        self.lines = text.splitlines()
        self.name = name

    def layout(self, content: Mapping[str, Any]) -> Layout:
        for section, entries in content.items():
            if section not in SECTIONS:
                self.wrong(section, "", None, _one_of(SECTIONS, near_names(section, SECTIONS, 1)))
            if not isinstance(entries, dict):
                self.wrong("", section, entries, _a_section(section))
        of = {section: content.get(section, {}) for section in SECTIONS}
        columns = self.columns(of["columns"])
        wide = self.wide(of["wide"], {ours: theirs for theirs, ours in columns.items()})
        session_from = self.names("session", "from", of["session"])
        fill_down = self.names("fill_down", "columns", of["fill_down"])
        if session_from and "session" in columns.values():
            theirs = next(name for name, ours in columns.items() if ours == "session")
            says = f'left out, since [columns] has "{theirs}" = "session"'
            self.wrong("session", "from", list(session_from), says)
        return Layout(
            columns=columns,
            values=self.values(of["values"]),
            units=self.units(of["units"]),
            dates=self.dates(of["dates"]),
            session_from=session_from,
            fill_down=fill_down,
            lists={
                theirs: self.choice("lists", theirs, mark, LIST_MARKS)
                for theirs, mark in of["lists"].items()
            },
            wide=wide,
            rows=self.rows(of["rows"]),
            file=self.file(of["file"]),
            name=self.name,
        )

    def wrong(self, section: str, key: str, found: object, right: str) -> NoReturn:
        entry = f"{f'[{section}]' if section else ''} {key}".strip()
        line = self.line(section, key)
        where = f"{self.name}, line {line}" if line is not None else self.name
        said = f"found {_shown(found)}; " if found is not None else ""
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

    def known(self, section: str, entries: Mapping[str, Any], keys: Iterable[str]) -> None:
        keys = tuple(keys)
        for key, value in entries.items():
            if key not in keys:
                self.wrong(section, key, value, _one_of(keys, near_names(key, keys, 1)))

    def text(self, section: str, key: str, value: Any) -> str:
        if not isinstance(value, str):
            self.wrong(section, key, value, _A_TEXT)
        return value

    def choice(self, section: str, key: str, value: Any, allowed: Iterable[str]) -> str:
        allowed = tuple(allowed)
        if not isinstance(value, str) or value not in allowed:
            near = near_names(value, allowed, 1) if isinstance(value, str) else []
            self.wrong(section, key, value, _one_of(allowed, near))
        return str(value)

    def names(self, section: str, key: str, entries: Mapping[str, Any]) -> tuple[str, ...]:
        self.known(section, entries, (key,))
        value = entries.get(key, [])
        if isinstance(value, str):
            value = [value]
        if (
            not isinstance(value, list)
            or not all(isinstance(one, str) and one.strip() for one in value)
            or len(set(value)) < len(value)
        ):
            self.wrong(section, key, value, _COLUMN_NAMES)
        return tuple(value)

    def columns(self, entries: Mapping[str, Any]) -> dict[str, str]:
        columns: dict[str, str] = {}
        allowed = (*COLUMNS, KEEP, LEAVE_OUT)
        taken: dict[str, str] = {}
        for theirs, value in entries.items():
            ours = self.choice("columns", theirs, value, allowed)
            if not theirs.strip():
                self.wrong("columns", theirs, value, _COLUMN_NAMES)
            if ours in taken:
                self.wrong("columns", theirs, value, _ours_twice(ours, taken[ours]))
            if ours == KEEP and theirs in COLUMNS:
                says = (
                    f'"{theirs}" or "leave out": a column of that name is read as ours, so that it '
                    "cannot be kept unread"
                )
                self.wrong("columns", theirs, value, says)
            if ours not in (KEEP, LEAVE_OUT):
                taken[ours] = theirs
            columns[theirs] = ours
        return columns

    def wide(self, entries: Mapping[str, Any], taken: Mapping[str, str]) -> dict[str, str]:
        allowed = [name for name in STINTS.names if name not in ("session", "angler", "rod")]
        self.known("wide", entries, allowed)
        for ours, pattern in entries.items():
            if self.text("wide", ours, pattern).count(ROD) != 1:
                self.wrong(
                    "wide",
                    ours,
                    pattern,
                    'their column names with {rod} in place of the rod, such as "rod {rod} bait"',
                )
            if ours in taken:
                self.wrong("wide", ours, pattern, _ours_twice(ours, taken[ours]))
        for counted in ("fish", "lost"):
            if entries and counted in taken:
                says = (
                    f"in [wide], with a pattern for each rod: a count of {counted} for the whole "
                    "row cannot be shared out among the rods"
                )
                self.wrong("columns", taken[counted], counted, says)
        if entries and "variant" not in entries:
            self.wrong(
                "wide",
                "",
                dict(entries),
                'a pattern for the bait too, such as variant = "rod {rod} bait"',
            )
        if len(set(entries.values())) < len(entries):
            self.wrong("wide", "", dict(entries), "another pattern for each column")
        return dict(entries)

    def rows(self, entries: Mapping[str, Any]) -> dict[str, str]:
        self.known("rows", entries, (*MARKS, "rods"))
        return {
            key: self.choice("rows", key, value, MARKS[key])
            if key in MARKS
            else self.text("rows", key, value)
            for key, value in entries.items()
        }

    def values(self, entries: Mapping[str, Any]) -> dict[str, dict[str, str]]:
        self.known("values", entries, COLUMNS)
        for column, texts in entries.items():
            if not isinstance(texts, dict):
                self.wrong("values", column, texts, _a_section(f"values.{column}"))
        return {
            column: {theirs.strip(): self.value(column, theirs, ours) for theirs, ours in t.items()}
            for column, t in entries.items()
        }

    def value(self, column: str, key: str, value: Any) -> str:
        section = f"values.{column}"
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            self.wrong(section, key, value, _A_TEXT)
        text = str(value).strip()
        try:
            if text:
                cell_reader(COLUMNS[column], workbook=False)(text)
        except CellFault as fault:
            self.wrong(section, key, value, str(fault))
        return text

    def units(self, entries: Mapping[str, Any]) -> Units:
        self.known("units", entries, ("hours", "weight", "decimal", "thousands", *MEASURES))
        hours = entries.get("hours", list(Units.hours))
        hours = [hours] if isinstance(hours, str) else hours
        if not isinstance(hours, list) or not hours:
            self.wrong("units", "hours", hours, _one_of(HOURS_FORMS, []))
        forms = tuple(self.choice("units", "hours", one, HOURS_FORMS) for one in hours)
        if {"decimal", "days"} <= set(forms):
            self.wrong(
                "units", "hours", hours, '"decimal" or "days", not both: a bare 1.5 would be either'
            )
        marks = {"decimal": DECIMAL_MARKS, "thousands": THOUSANDS_MARKS}
        allowed = {**MEASURES, **marks, "weight": WEIGHT_FORMS}
        stated = {
            key: self.choice("units", key, entries[key], right)
            for key, right in allowed.items()
            if key in entries
        }
        measures = {column: stated[column] for column in MEASURES if column in stated}
        of_numbers = {key: stated[key] for key in marks if key in stated}
        units = Units(forms, stated.get("weight"), measures=measures, **of_numbers)
        if units.decimal == units.thousands:
            self.wrong(
                "units", "thousands", units.thousands, "another mark than that of the decimals"
            )
        return units

    def dates(self, entries: Mapping[str, Any]) -> Dates:
        self.known("dates", entries, ("form", "pivot", "zone", *CLOCK_DAYS, "clock", "year"))
        form = self.choice("dates", "form", entries.get("form", Dates.form), DATE_FORMS)
        pivot = entries.get("pivot", Dates.pivot)
        if isinstance(pivot, bool) or not isinstance(pivot, int) or not 0 <= pivot <= 100:
            self.wrong(
                "dates",
                "pivot",
                pivot,
                "0 to 100: from which year of two digits on the 1900s are meant",
            )
        zone = entries.get("zone")
        if zone is not None and not _can(ZoneInfo, self.text("dates", "zone", zone)):
            self.wrong(
                "dates", "zone", zone, 'a time zone by its name, such as "Europe/Berlin" or "UTC"'
            )
        days = {key: self.text("dates", key, entries[key]) for key in CLOCK_DAYS if key in entries}
        if "clock_end_on" in days and "clock_on" not in days:
            self.wrong(
                "dates",
                "clock_end_on",
                days["clock_end_on"],
                "beside clock_on, the column with the day of the start",
            )
        clock = self.choice("dates", "clock", entries.get("clock", Dates.clock), TIME_FORMS)
        year = entries.get("year")
        if year is not None and (type(year) is not int or year not in LOG_YEARS):
            self.wrong("dates", "year", year, "the year of the first date, such as 2025")
        return Dates(form, pivot, zone, clock=clock, year=year, **days)

    def file(self, entries: Mapping[str, Any]) -> dict[str, object]:
        self.known("file", entries, _FILE)
        for key, value in entries.items():
            fits, right = _FILE[key]
            if not fits(value):
                self.wrong("file", key, value, right)
        return dict(entries)


def _can(read: Callable[[Any], object], value: object) -> bool:
    """Whether a library takes a name."""
    try:
        return isinstance(value, str) and bool(read(value))
    except (LookupError, ValueError, OSError):
        return False


_FILE: Mapping[str, tuple[Callable[[Any], bool], str]] = {
    "separator": (lambda value: value in SEPARATORS, '",", ";" or "\\t"'),
    "encoding": (
        lambda value: _can(codecs.lookup, value),
        'the name of an encoding, such as "utf-8" or "windows-1252"',
    ),
    "header_row": (
        lambda value: type(value) is int and value >= 1,
        "the number of the row with the column names, as the spreadsheet shows it",
    ),
    "sheets": (
        lambda value: (
            isinstance(value, list) and value != [] and all(isinstance(one, str) for one in value)
        ),
        'the names of sheets, such as ["April", "May"]',
    ),
    "table": (
        lambda value: isinstance(value, str) and value in TABLES,
        '"stints", "sessions", "catches" or "variants"',
    ),
}
"""What an entry under [file] may be, and what would be right, in the order they are written in."""


def _one_of(allowed: Iterable[str], near: Sequence[str]) -> str:
    meant = f' (did you mean "{near[0]}"?)' if near else ""
    quoted = [f'"{name}"' for name in allowed]
    return f"one of {', '.join(quoted)}{meant}"


def _ours_twice(ours: str, theirs: str) -> str:
    return f'another column of ours, "keep" or "leave out": "{theirs}" is {ours} already'


def _a_section(name: str) -> str:
    return f"a section: [{name}] on a line of its own, its entries below"


def _shown(found: object) -> str:
    text = f'"{found}"' if isinstance(found, str) else str(found)
    return text if len(text) <= 60 else f"{text[:57]}..."


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
        "file": {key: layout.file[key] for key in _FILE if key in layout.file},
        "columns": layout.columns,
        "session": {"from": layout.session_from} if layout.session_from else {},
        "fill_down": {"columns": layout.fill_down} if layout.fill_down else {},
        "lists": layout.lists,
        "wide": layout.wide,
        "rows": layout.rows,
        "units": _units(layout.units),
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


def _units(units: Units) -> dict[str, object]:
    entries = _differing(
        {"hours": units.hours, "weight": units.weight}, {"hours": Units.hours, "weight": None}
    )
    if len(units.hours) == 1 and "hours" in entries:
        entries["hours"] = units.hours[0]
    if (units.decimal, units.thousands) != (Units.decimal, Units.thousands):
        entries |= {"decimal": units.decimal, "thousands": units.thousands}
    return {**entries, **units.measures}


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


def one_line(text: str, longest: int = 40) -> str:
    """A cell as it can stand in a comment: in one line, without what TOML forbids there."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= longest else f"{line[: longest - 3]}..."


def _wrapped(lines: Sequence[str]) -> list[str]:
    """Comments that are no entries, in lines that any editor shows whole."""
    return [
        f"# {part}"
        for line in lines
        for part in textwrap.wrap(_FORBIDDEN.sub(" ", line), WIDTH, break_on_hyphens=False)
    ]
