"""Bytes to text: UTF-8, UTF-16 with its mark, Windows-1252 where nothing else fits."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from rodhours.errors import UnusableFile, UsageError
from rodhours.wording import files as words

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_NO_TEXT = re.compile(r"[\x00-\x08\x0e-\x1a\x1c-\x1f\x7f]")
FALLBACK = "windows-1252"


def decoded(file: Path, content: bytes, encoding: str | None = None) -> tuple[str, str]:
    """The text of a file and the encoding it was read by, `encoding` where that is given.

    Raises UnusableFile where the bytes are no text, UsageError for an unknown encoding.
    """
    if encoding is not None:
        return _stated(file, content, encoding), encoding
    for mark, name in _MARKS:
        if content.startswith(mark):
            text = _strict(file, content, name)
            break
    else:
        name = "utf-8"
        try:
            text = content.decode(name)
        except UnicodeDecodeError:
            name = FALLBACK
            if b"\0" in content:
                raise _no_text(file) from None
            text = _strict(file, content, name)
            # In bytes that are no UTF-8 a control character means that they are no text at all.
            if _NO_TEXT.search(text):
                raise _no_text(file) from None
    return _without_nul(file, text), name


def first_odd_row(rows: list[list[str]]) -> int | None:
    """The number of the first row with a character beyond ASCII; None where there is none."""
    for number, row in enumerate(rows, start=1):
        if not all(map(str.isascii, row)):
            return number
    return None


def _stated(file: Path, content: bytes, encoding: str) -> str:
    try:
        info = codecs.lookup(encoding)
        text = content.decode(info.name) if info.name != "utf-8" else content.decode("utf-8-sig")
    except LookupError:
        raise UsageError(words.no_such_encoding(encoding)) from None
    except ValueError:
        raise UnusableFile(words.not_that_encoding(str(file), encoding)) from None
    return _without_nul(file, text.removeprefix("\ufeff"))


def _strict(file: Path, content: bytes, encoding: str) -> str:
    try:
        return content.decode(encoding)
    except UnicodeDecodeError:
        raise _no_text(file) from None


def _without_nul(file: Path, text: str) -> str:
    where = text.find("\0")
    if where < 0:
        return text
    raise UnusableFile(words.nul_character(str(file), text.count("\n", 0, where) + 1))


def _no_text(file: Path) -> UnusableFile:
    return UnusableFile(words.no_text(str(file)))
