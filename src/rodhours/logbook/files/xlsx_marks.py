"""The marks of .xlsx and .xlsm sheets, from their XML.

A sheet without formulas, errors and percentages is only searched for them, which is fast; the
others are read cell by cell.
"""

from __future__ import annotations

import re
from collections import Counter

from rodhours.logbook.files.marks import MAX_CELLS, MAX_TEXT, Marks
from rodhours.logbook.files.xml_events import Attributes, BadXml, read_events, related_parts

_TELLING = (b"<f>", b"<f ", b"<f/", b't="e"', b"t='e'", b":c ", b":c>", b":row")
"""Formulas, errors, and elements with a prefix, whose names are not looked for here."""
_ROW = re.compile(rb"<row\s[^<>]*?\br\s*=\s*[\"'](\d+)")
_FAR = re.compile(rb"r=[\"'](?:[A-Z]{2,}\d|[A-Z](?:[2-9]\d{5}|\d{7}))")
"""A cell beyond column Z or row 199,999."""
_VALUE = re.compile(rb"<(?:\w+:)?v>(\d{1,9})</")
_REFERENCE = re.compile(r"([A-Z]{1,3})(\d{1,7})")
_PERCENT_IDS = ("9", "10")
_QUOTED = re.compile(r"\"[^\"]*\"|\\.")
NEAR_COLUMNS = 26
_AFTER_NAME = (b" ", b">", b"/", b"\n", b"\t", b"\r")


def xlsx_marks(parts: dict[str, bytes]) -> dict[str, Marks]:
    """The marks of each worksheet by its name; BadXml where a part is damaged."""
    percent = _percent_styles(parts.get("xl/styles.xml"))
    found = {name: _sheet_marks(parts[part], percent) for name, part in _sheet_parts(parts).items()}
    size = _shared_text(parts, set(_sheet_parts(parts).values()))
    for marks in found.values():
        marks.text = max(marks.text, size)
    return found


def _shared_text(parts: dict[str, bytes], sheets: set[str]) -> int:
    """At most how many bytes the shared texts come to, each as often as cells refer to it.

    Where that is plainly small, the longest one for every cell.
    """
    lengths = [len(text) for text in parts.get("xl/sharedStrings.xml", b"").split(b"</si>")]
    crude = max(lengths) * sum(parts[sheet].count(b"</") for sheet in sheets)
    if crude <= MAX_TEXT:
        return crude
    size = 0
    for sheet in sheets:
        for number, times in Counter(_VALUE.findall(parts[sheet])).items():
            if int(number) < len(lengths):
                size += times * lengths[int(number)]
    return size


def _sheet_parts(parts: dict[str, bytes]) -> dict[str, str]:
    """The part that holds each sheet."""
    targets = related_parts(parts.get("xl/_rels/workbook.xml.rels"))
    found: dict[str, str] = {}

    def sheet(name: str, attributes: Attributes) -> None:
        if name == "sheet":
            found[attributes.get("name", "")] = targets.get(attributes.get("id", ""), "")

    read_events(parts["xl/workbook.xml"], sheet)
    spelt = {name.replace("\\", "/").lower(): name for name in parts}
    for name, part in found.items():
        if part.lower() not in spelt:
            raise BadXml(f"no part for the sheet {name}")
        found[name] = spelt[part.lower()]
    return found


def _percent_styles(styles: bytes | None) -> frozenset[str]:
    """The cell styles (their numbers) that show a value as a percentage."""
    if styles is None:
        return frozenset()
    codes = set(_PERCENT_IDS)
    percent: set[str] = set()
    number = -1

    def start(name: str, attributes: Attributes) -> None:
        nonlocal number
        if name == "numFmt" and "%" in _QUOTED.sub("", attributes.get("formatCode", "")):
            codes.add(attributes.get("numFmtId", ""))
        elif name == "cellXfs":
            number = 0
        elif name == "cellStyles":
            number = -1
        elif name == "xf" and number >= 0:
            if attributes.get("numFmtId") in codes:
                percent.add(str(number))
            number += 1

    read_events(styles, start)
    return frozenset(percent)


def _sheet_marks(data: bytes, percent: frozenset[str]) -> Marks:
    if _is_plain(data, percent):
        return Marks()
    return _read(data, percent)


def _is_plain(data: bytes, percent: frozenset[str]) -> bool:
    """Whether a search shows that there is nothing to mark, and the sheet is not far-flung."""
    if data.lstrip()[:1] != b"<" or any(telling in data for telling in _TELLING):
        return False
    if percent:
        styles = "|".join(sorted(percent)).encode()
        if re.search(rb"s=[\"'](?:" + styles + rb")[\"']", data):
            return False
    cells = sum(data.count(b"<c" + after) for after in _AFTER_NAME)
    if cells != data.count(b"<c r=") or _FAR.search(data):
        return False
    numbers = (int(number[:9]) for number in _ROW.findall(data))
    rows = max(max(numbers, default=0), data.count(b"<row"))
    return rows * NEAR_COLUMNS <= MAX_CELLS


def _read(data: bytes, percent: frozenset[str]) -> Marks:
    marks = Marks()
    row = column = 0
    kind = style = ""
    formula = inside = filled = False
    value: list[str] = []

    def start(name: str, attributes: Attributes) -> None:
        nonlocal row, column, kind, style, formula, inside, filled
        if name == "c":
            place = _REFERENCE.fullmatch(attributes.get("r", ""))
            if place:
                row, column = int(place[2]), _column(place[1])
            elif "r" in attributes:
                raise BadXml(f"a cell called {attributes['r'][:20]}")
            else:
                column += 1
            kind, style = attributes.get("t", "n"), attributes.get("s", "0")
            formula = filled = False
            value.clear()
        elif name == "row":
            number = attributes.get("r", str(row + 1))
            if not (number.isascii() and number.isdigit() and len(number) <= 7):
                raise BadXml(f"a row called {number[:20]}")
            row, column = int(number), 0
        elif name == "f":
            formula = filled = True
        elif name in ("v", "t"):
            inside = filled = True

    def text(found: str) -> None:
        if inside:
            value.append(found)

    def end(name: str) -> None:
        nonlocal inside
        if name in ("v", "t"):
            inside = False
        elif name == "c":
            shown = "".join(value).strip()
            if filled:
                marks.reach(row, column)
            if formula and not shown and kind != "str":
                marks.unsaved.append((row, column))
            if kind == "e" and shown:
                marks.errors[row, column] = shown
            elif kind == "n" and shown and style in percent:
                marks.percentages.add((row, column))

    read_events(data, start, end, text)
    return marks


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
