"""Bytes to text to records: the encoding and the separator of a file are told from its content."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from itertools import islice
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.log.files.header import find_header, is_filled, is_known

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_NO_TEXT = re.compile(r"[\x00-\x08\x0e-\x1a\x1c-\x1f\x7f]")
FALLBACK = "windows-1252"

MAX_CELL = 2**24
csv.field_size_limit(MAX_CELL)

SEPARATORS = {",": "a comma", ";": "a semicolon", "\t": "a tab"}
SAMPLE = 60
SAMPLE_SIZE = 200_000
"""Rows and characters from which the separator is told."""
_STATED = re.compile(r"sep=([,;\t|])(?:\r\n|\n|\r)", re.IGNORECASE)
_LINE = re.compile(r"[^\r\n]*")


def decoded(file: Path, content: bytes) -> tuple[str, str]:
    """The text of a file and the encoding it was read by; UnusableFile where it is no text."""
    no_text = UnusableFile(f"{file}: this is not a text file; save the table as CSV UTF-8.")
    name = next((name for mark, name in _MARKS if content.startswith(mark)), "utf-8")
    try:
        text = content.decode(name)
    except UnicodeDecodeError:
        if name != "utf-8" or b"\0" in content:
            raise no_text from None
        name = FALLBACK
        text = content.decode(name, "replace")
        # In bytes that are no UTF-8 a control character means that they are no text at all.
        if "\ufffd" in text or _NO_TEXT.search(text):
            raise no_text from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise UnusableFile(
            f"{file}: line {line} holds a NUL character, so this is not a text file or a damaged "
            "one; save the table as CSV UTF-8."
        )
    return text, name


def first_odd_row(rows: list[list[str]]) -> int | None:
    """The number of the first row with a character beyond ASCII; None where there is none."""
    for number, row in enumerate(rows, start=1):
        if not all(map(str.isascii, row)):
            return number
    return None


def records(file: Path, text: str) -> tuple[list[list[str]], str]:
    """The cells of every record, blank lines included, and the separator they were told by.

    A record's place is its row. Raises UnusableFile where two separators fit equally, quotation
    marks do not close or a cell is endless.
    """
    stated = _STATED.match(text)
    if stated:
        # A line for the spreadsheet program, which takes it as no row.
        text = text[stated.end() :]
    separator = stated[1] if stated else _found(file, text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        return list(reader), separator
    except csv.Error as error:
        says = f"the quotation marks do not close ({error})"
        if "limit" in str(error):
            says = f"a cell of more than {MAX_CELL:,} characters; a quotation mark may be missing"
        raise UnusableFile(f"{file}: line {reader.line_num}: {says}.") from None


def _found(file: Path, text: str) -> str:
    """The separator of a text: the one that gives a header and rows of its width."""
    text = text[:SAMPLE_SIZE]
    first = next((line[0] for line in _LINE.finditer(text) if line[0].strip(" ,;\t")), "")
    present = [mark for mark in SEPARATORS if mark in first]
    if present == [","] and any(map(is_known, first.split(","))):
        return ","
    fits = {mark: fit for mark in SEPARATORS if (fit := _fit(text, mark)) is not None}
    if not fits:
        return ","
    left = [mark for mark, fit in fits.items() if fit == max(fits.values())]
    if len(left) > 1:
        both = " or by ".join(SEPARATORS[mark] for mark in left)
        raise UnusableFile(
            f"{file}: the cells may be separated by {both}: both fit. Write sep=; (or sep=,) "
            "as a first line of its own, or save the table as a workbook."
        )
    return left[0]


def _fit(text: str, mark: str) -> tuple[bool, bool] | None:
    """How well a separator fits the first rows, the better the greater; None where not at all.

    Whether it gives two names that the format knows; whether nearly all rows are as wide as the
    header, and no other separator stands in that.
    """
    try:
        rows = list(islice(csv.reader(io.StringIO(text, newline=""), delimiter=mark), SAMPLE))
    except csv.Error:
        return None
    header = find_header(rows)
    if header is None or len(header.names) < 2:
        return None
    widths = Counter(len(row) for row in rows[header.index + 1 :] if is_filled(row))
    usual, count = widths.most_common(1)[0] if widths else (len(header.names), 0)
    if usual == 1:
        return None
    whole = count >= 0.9 * widths.total() and usual >= len(header.names)
    others = {*SEPARATORS} - {mark}
    clean = not any(others & {*cell} for cell in rows[header.index])
    return sum(map(is_known, header.names)) >= 2, whole and clean
