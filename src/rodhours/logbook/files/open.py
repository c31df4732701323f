"""The files that a path stands for, and their bytes, bounded: no devices, no pipes, no giants."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.logbook.tables import TABLES
from rodhours.wording import files as words

TEXT_FILES = (".csv", ".tsv", ".txt")
WORKBOOKS = (".xlsx", ".xlsm", ".ods", ".xls")

MEBIBYTE = 2**20
MAX_TEXT_MIB = 100
"""A text file beyond this is no trip log: it would hold more than a million stints."""
MAX_WORKBOOK_MIB = 400
"""What a workbook may hold, packed or unpacked."""

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ZIP = (b"PK\x03\x04", b"PK\x05\x06")
_OTHER = (
    (b"%PDF", "a PDF"),
    (b"SQLite format 3\0", "an SQLite database (a logbook?)"),
    (b"\x1f\x8b", "packed with gzip"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
)


@dataclass(frozen=True)
class FileForm:
    """How a file is to be read; None means: find it out.

    `encoding` and `separator` (one of `,` `;` and tab) concern text files, `sheets` (names, in
    the order wanted) workbooks. `header_row` is the row that names the columns, numbered as the
    spreadsheet shows it; where names stand in two rows, the lower one.
    """

    encoding: str | None = None
    separator: str | None = None
    header_row: int | None = None
    sheets: tuple[str, ...] | None = None


class Content(Enum):
    """What the first bytes of a file say it is."""

    TEXT = "text"
    ZIPPED = "a zipped workbook"
    COMPOUND = "a compound file: an old or an encrypted workbook"


def files_of(path: Path, hints: list[str]) -> list[Path]:
    """The files to read, in order; `hints` takes what was left aside.

    Raises UnusableFile where there is nothing to read.
    """
    try:
        if not path.is_dir():
            if not path.exists():
                raise UnusableFile(words.no_such_file(str(path)))
            return [path]
        inside = sorted(file for file in path.iterdir() if not file.name.startswith(("~$", ".")))
    except OSError as error:
        raise UnusableFile(
            words.cannot_be_read(str(path), error.strerror or type(error).__name__)
        ) from None
    except ValueError:
        raise UnusableFile(words.no_such_file(repr(str(path)))) from None
    found = [
        file for file in inside if file.suffix.lower() in (*TEXT_FILES[:2], *WORKBOOKS, ".xlsb")
    ]
    named = [f for f in found if f.suffix.lower() == ".csv" and f.stem.lower() in TABLES]
    if any(file.stem.lower() == "stints" for file in named):
        # One log as four files; a workbook beside them may well be the same log again.
        aside = [file.name for file in found if file not in named]
        if aside:
            hints.append(words.took_the_tables(str(path), [file.name for file in named], aside))
        return named
    texts = [file.name for file in inside if file.suffix.lower() == ".txt"]
    if not found:
        raise UnusableFile(words.no_table_inside(str(path), (*TEXT_FILES[:2], *WORKBOOKS), texts))
    if texts:
        hints.append(words.texts_left_aside(str(path), texts))
    return found


def read_bytes(file: Path) -> bytes:
    """The whole content of a regular file.

    Raises UnusableFile for what is no regular file, cannot be opened or is too large; a pipe
    is refused without waiting for it.
    """
    limit = MAX_WORKBOOK_MIB * MEBIBYTE
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        with os.fdopen(os.open(file, flags), "rb") as opened:
            state = os.fstat(opened.fileno())
            if not stat.S_ISREG(state.st_mode):
                raise UnusableFile(words.no_plain_file(str(file)))
            content = b"" if state.st_size > limit else opened.read(limit + 1)
    except OSError as error:
        raise UnusableFile(
            words.cannot_be_read(str(file), error.strerror or type(error).__name__)
        ) from None
    if state.st_size > limit or len(content) > limit:
        raise _too_large(file, max(state.st_size, len(content)), MAX_WORKBOOK_MIB)
    return content


def kind(file: Path, content: bytes) -> Content:
    """What the content is, whatever the file is called.

    Raises UnusableFile where it is neither text nor a workbook, or text beyond its limit.
    """
    if content.startswith(_ZIP):
        return Content.ZIPPED
    if content.startswith(_OLE):
        return Content.COMPOUND
    for start, what in _OTHER:
        if content.startswith(start):
            raise UnusableFile(words.is_something_else(str(file), what))
    if len(content) > MAX_TEXT_MIB * MEBIBYTE:
        raise _too_large(file, len(content), MAX_TEXT_MIB)
    return Content.TEXT


def _too_large(file: Path, size: int, limit: int) -> UnusableFile:
    return UnusableFile(words.too_many_mebibytes(str(file), size // MEBIBYTE, limit))
