"""The bytes of a file, bounded: no devices, no pipes, nothing that would not fit into memory."""

from __future__ import annotations

import os
import stat
from enum import Enum
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.wording import files as words

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


class Content(Enum):
    """What the first bytes of a file say it is."""

    TEXT = "text"
    ZIPPED = "a zipped workbook"
    COMPOUND = "a compound file: an old or an encrypted workbook"


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
