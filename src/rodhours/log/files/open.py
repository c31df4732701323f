"""The files that a path stands for, and their bytes, bounded: no devices, no pipes, no giants."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.log.tables import TABLES

TEXT_FILES = (".csv", ".tsv", ".txt")
WORKBOOKS = (".xlsx", ".xlsm", ".ods", ".xls")

MEBIBYTE = 2**20
MAX_TEXT_MIB = 100
"""A text file beyond this is no trip log: it would hold more than a million stints."""
MAX_WORKBOOK_MIB = 400
"""What a workbook may hold, packed or unpacked."""

OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""A compound file: an old workbook, or an encrypted one."""
_ZIP = (b"PK\x03\x04", b"PK\x05\x06")


def files_of(path: Path, hints: list[str]) -> list[Path]:
    """The files to read, in order; `hints` takes what was left aside.

    Raises UnusableFile where there is nothing to read.
    """
    try:
        if not path.exists():
            raise UnusableFile(f"{path}: no such file.")
        whole = path.is_dir()
        inside = sorted(path.iterdir()) if whole else [path]
    except OSError as error:
        raise _cannot_be_read(path, error) from None
    except ValueError:
        raise UnusableFile(f"{str(path)!r}: no such file.") from None
    inside = [file for file in inside if not (whole and file.name.startswith(("~$", ".")))]
    read = (*TEXT_FILES[:2], *WORKBOOKS)
    # A binary workbook is among them to be refused: nothing is left out in silence.
    found = [file for file in inside if not whole or file.suffix.lower() in (*read, ".xlsb")]
    for file in found:
        try:
            str(file).encode()
        except UnicodeEncodeError:
            raise UnusableFile(f"{file}: this name is no readable text; rename the file.") from None
    if not whole:
        return found
    named = [f for f in found if f.suffix.lower() == ".csv" and f.stem.lower() in TABLES]
    if any(file.stem.lower() == "stints" for file in named):
        # One log as four files; a workbook beside them may well be the same log again.
        aside = [file.name for file in found if file not in named]
        if aside:
            taken = ", ".join(file.name for file in named)
            hints.append(f"{path}: took {taken}; left aside: {', '.join(aside)}.")
        return named
    if not found:
        raise UnusableFile(f"{path}: this folder holds no table ({', '.join(read)}).")
    texts = [file.name for file in inside if file.suffix.lower() == ".txt"]
    if texts:
        left = ", ".join(texts)
        hints.append(f"{path}: left aside: {left} (name a .txt file itself to read it).")
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
                raise UnusableFile(f"{file}: not a file that can be read as a table.")
            content = b"" if state.st_size > limit else opened.read(limit + 1)
    except OSError as error:
        raise _cannot_be_read(file, error) from None
    if state.st_size > limit or len(content) > limit:
        raise _too_large(file, max(state.st_size, len(content)), MAX_WORKBOOK_MIB)
    return content


def is_text(file: Path, content: bytes) -> bool:
    """Whether the content is text and no workbook, whatever the file is called.

    Raises UnusableFile where it is neither, or text beyond its limit.
    """
    if content.startswith((*_ZIP, OLD_WORKBOOK)):
        return False
    if len(content) > MAX_TEXT_MIB * MEBIBYTE:
        raise _too_large(file, len(content), MAX_TEXT_MIB)
    return True


def _too_large(file: Path, size: int, limit: int) -> UnusableFile:
    mebibytes = f"{size // MEBIBYTE:,} MiB; a trip log of this kind may have {limit} MiB at most"
    return UnusableFile(f"{file}: {mebibytes}.")


def _cannot_be_read(path: Path, error: OSError) -> UnusableFile:
    return UnusableFile(f"{path}: cannot be read ({error.strerror or type(error).__name__}).")
