"""A TOML layout file to a `Layout`, or the entry that is wrong, what was found and what is right.

The file is the angler's own work, so nothing in it is passed over: an unknown section, key or
value is an error.
"""

from __future__ import annotations

import codecs
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, NoReturn
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rodhours.errors import UnusableFile
from rodhours.logbook.layouts.layout import (
    COLUMNS,
    DECIMAL_MARKS,
    KEEP,
    LEAVE_OUT,
    MEASURES,
    ROD,
    THOUSANDS_MARKS,
    Dates,
    Layout,
    Units,
)
from rodhours.logbook.tables import STINTS
from rodhours.logbook.units.cells import cell_parser
from rodhours.logbook.units.dates import DATE_FORMS
from rodhours.logbook.units.faults import CellFault
from rodhours.logbook.units.hours import HOURS_FORMS
from rodhours.logbook.units.times import TIME_FORMS
from rodhours.logbook.units.weights import WEIGHT_FORMS
from rodhours.near import near_names
from rodhours.wording import layouts as words

SECTIONS = ("file", "columns", "session", "fill_down", "wide", "units", "dates", "values")
FILE_KEYS = ("separator", "encoding", "header_row", "sheets", "table")
CLOCK_DAYS = ("clock_on", "clock_end_on")
SEPARATORS = (",", ";", "\t")
LONGEST_FILE = 1_000_000


def load_layout(path: Path) -> Layout:
    """The layout in a TOML file; UnusableFile where it cannot be read or says what nobody knows."""
    try:
        if path.stat().st_size > LONGEST_FILE:
            raise UnusableFile(words.not_a_layout(str(path)))
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise UnusableFile(words.cannot_read(str(path), error.strerror or str(error))) from None
    except UnicodeDecodeError:
        raise UnusableFile(words.not_a_layout(str(path))) from None
    return parse_layout(text, str(path))


def parse_layout(text: str, name: str) -> Layout:
    """The layout in a TOML text; `name` is how errors call it."""
    try:
        content = tomllib.loads(text.replace("\r\n", "\n"))
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise UnusableFile(words.not_toml(name, str(error))) from None
    return _Reader(text, name).layout(content)


class _Reader:
    """Checks entry by entry; every fault ends in `wrong`."""

    def __init__(self, text: str, name: str) -> None:
        self.lines = text.splitlines()
        self.name = name

    def layout(self, content: Mapping[str, Any]) -> Layout:
        for section, entries in content.items():
            if section not in SECTIONS:
                self.wrong(section, "", None, words.one_of(SECTIONS, _near(section, SECTIONS)))
            if not isinstance(entries, dict):
                self.wrong("", section, entries, words.a_section(section))
        columns = self.columns(content.get("columns", {}))
        wide = self.wide(content.get("wide", {}), columns)
        session_from = self.names("session", "from", content.get("session", {}))
        fill_down = self.names("fill_down", "columns", content.get("fill_down", {}))
        if session_from and "session" in columns.values():
            theirs = next(name for name, ours in columns.items() if ours == "session")
            self.wrong("session", "from", list(session_from), words.session_twice(theirs))
        return Layout(
            columns=columns,
            values=self.values(content.get("values", {})),
            units=self.units(content.get("units", {})),
            dates=self.dates(content.get("dates", {})),
            session_from=session_from,
            fill_down=fill_down,
            wide=wide,
            file=self.file(content.get("file", {})),
            name=self.name,
        )

    def wrong(self, section: str, key: str, found: object, right: str) -> NoReturn:
        entry = f"[{section}]" if section else ""
        entry = f"{entry} {key}".strip()
        raise UnusableFile(
            words.wrong_entry(self.name, self.line(section, key), entry, _shown(found), right)
        )

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
                self.wrong(section, key, value, words.one_of(keys, _near(key, keys)))

    def text(self, section: str, key: str, value: Any) -> str:
        if not isinstance(value, str):
            self.wrong(section, key, value, words.A_TEXT)
        return value

    def choice(self, section: str, key: str, value: Any, allowed: Iterable[str]) -> str:
        allowed = tuple(allowed)
        if not isinstance(value, str) or value not in allowed:
            near = _near(value, allowed) if isinstance(value, str) else None
            self.wrong(section, key, value, words.one_of(allowed, near))
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
            self.wrong(section, key, value, words.COLUMN_NAMES)
        return tuple(value)

    def columns(self, entries: Mapping[str, Any]) -> dict[str, str]:
        columns: dict[str, str] = {}
        allowed = (*COLUMNS, KEEP, LEAVE_OUT)
        taken: dict[str, str] = {}
        for theirs, value in entries.items():
            ours = self.choice("columns", theirs, value, allowed)
            if not theirs.strip():
                self.wrong("columns", theirs, value, words.COLUMN_NAMES)
            if ours in taken:
                self.wrong("columns", theirs, value, words.ours_twice(ours, taken[ours]))
            if ours == KEEP and theirs in COLUMNS:
                self.wrong("columns", theirs, value, words.keep_is_ours(theirs))
            if ours not in (KEEP, LEAVE_OUT):
                taken[ours] = theirs
            columns[theirs] = ours
        return columns

    def wide(self, entries: Mapping[str, Any], columns: Mapping[str, str]) -> dict[str, str]:
        allowed = tuple(name for name in STINTS.names if name not in ("session", "angler", "rod"))
        self.known("wide", entries, allowed)
        for ours, pattern in entries.items():
            if self.text("wide", ours, pattern).count(ROD) != 1:
                self.wrong("wide", ours, pattern, words.A_PATTERN)
            if ours in columns.values():
                theirs = next(name for name, target in columns.items() if target == ours)
                self.wrong("wide", ours, pattern, words.ours_twice(ours, theirs))
        for counted in ("fish", "lost"):
            if entries and counted in columns.values():
                theirs = next(name for name, target in columns.items() if target == counted)
                self.wrong("columns", theirs, counted, words.not_split_among_rods(counted))
        if entries and "variant" not in entries:
            self.wrong("wide", "", dict(entries), words.WIDE_NEEDS_VARIANT)
        if len(set(entries.values())) < len(entries):
            self.wrong("wide", "", dict(entries), words.PATTERNS_DIFFER)
        return dict(entries)

    def values(self, entries: Mapping[str, Any]) -> dict[str, dict[str, str]]:
        self.known("values", entries, COLUMNS)
        values: dict[str, dict[str, str]] = {}
        for column, texts in entries.items():
            if not isinstance(texts, dict):
                self.wrong("values", column, texts, words.a_section(f"values.{column}"))
            values[column] = {
                theirs.strip(): self.value(column, theirs, ours) for theirs, ours in texts.items()
            }
        return values

    def value(self, column: str, key: str, value: Any) -> str:
        section = f"values.{column}"
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            self.wrong(section, key, value, words.A_TEXT)
        text = str(value).strip()
        try:
            if text:
                cell_parser(COLUMNS[column], workbook=False)(text)
        except CellFault as fault:
            self.wrong(section, key, value, str(fault))
        return text

    def units(self, entries: Mapping[str, Any]) -> Units:
        self.known("units", entries, ("hours", "weight", "decimal", "thousands", *MEASURES))
        hours = entries.get("hours", list(Units.hours))
        hours = [hours] if isinstance(hours, str) else hours
        if not isinstance(hours, list) or not hours:
            self.wrong("units", "hours", hours, words.one_of(HOURS_FORMS, None))
        forms = tuple(self.choice("units", "hours", one, HOURS_FORMS) for one in hours)
        if {"decimal", "days"} <= set(forms):
            self.wrong("units", "hours", hours, words.DECIMAL_OR_DAYS)
        weight = entries.get("weight")
        if weight is not None:
            weight = self.choice("units", "weight", weight, WEIGHT_FORMS)
        decimal = self.choice("units", "decimal", entries.get("decimal", "."), DECIMAL_MARKS)
        thousands = self.choice("units", "thousands", entries.get("thousands", ""), THOUSANDS_MARKS)
        if decimal == thousands:
            self.wrong("units", "thousands", thousands, words.MARKS_DIFFER)
        measures = {
            column: self.choice("units", column, entries[column], allowed)
            for column, allowed in MEASURES.items()
            if column in entries
        }
        return Units(forms, weight, decimal, thousands, measures)

    def dates(self, entries: Mapping[str, Any]) -> Dates:
        self.known("dates", entries, ("form", "pivot", "zone", *CLOCK_DAYS, "clock"))
        form = self.choice("dates", "form", entries.get("form", Dates.form), DATE_FORMS)
        pivot = entries.get("pivot", Dates.pivot)
        if isinstance(pivot, bool) or not isinstance(pivot, int) or not 0 <= pivot <= 100:
            self.wrong("dates", "pivot", pivot, words.A_PIVOT)
        zone = entries.get("zone")
        if zone is not None:
            zone = self.text("dates", "zone", zone)
            try:
                ZoneInfo(zone)
            except (ZoneInfoNotFoundError, ValueError, OSError):
                self.wrong("dates", "zone", zone, words.A_ZONE)
        days = {key: self.text("dates", key, entries[key]) for key in CLOCK_DAYS if key in entries}
        if "clock_end_on" in days and "clock_on" not in days:
            self.wrong("dates", "clock_end_on", days["clock_end_on"], words.END_DAY_NEEDS_START)
        clock = self.choice("dates", "clock", entries.get("clock", Dates.clock), TIME_FORMS)
        return Dates(form, pivot, zone, clock=clock, **days)

    def file(self, entries: Mapping[str, Any]) -> dict[str, object]:
        self.known("file", entries, FILE_KEYS)
        checks: dict[str, tuple[Callable[[Any], bool], str]] = {
            "separator": (lambda v: v in SEPARATORS, words.A_SEPARATOR),
            "encoding": (_is_encoding, words.AN_ENCODING),
            "header_row": (
                lambda v: isinstance(v, int) and not isinstance(v, bool) and v >= 1,
                words.A_ROW,
            ),
            "sheets": (
                lambda v: isinstance(v, list) and v != [] and all(isinstance(s, str) for s in v),
                words.SHEET_NAMES,
            ),
            "table": (
                lambda v: v in ("stints", "sessions", "catches", "variants"),
                words.A_TABLE,
            ),
        }
        for key, value in entries.items():
            fits, right = checks[key]
            if not fits(value):
                self.wrong("file", key, value, right)
        return dict(entries)


def _is_encoding(value: object) -> bool:
    try:
        return isinstance(value, str) and bool(codecs.lookup(value))
    except LookupError:
        return False


def _near(name: str, known: Iterable[str]) -> str | None:
    close = near_names(name, known, most=1)
    return close[0] if close else None


def _shown(found: object) -> str | None:
    if found is None:
        return None
    text = f'"{found}"' if isinstance(found, str) else str(found)
    return text if len(text) <= 60 else f"{text[:57]}..."
