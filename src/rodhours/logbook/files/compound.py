"""Compound files: the streams in them, and whether what they hold is encrypted.

.xls workbooks are compound files, and so is any newer workbook that has a password.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.logbook.files.marks import Marks
from rodhours.logbook.files.unpacking import damaged, protected
from rodhours.logbook.files.xls_marks import Encrypted, xls_marks
from rodhours.wording import files as words

_END = 0xFFFFFFF0
"""Sector numbers from here on are no sectors ([MS-CFB] 2.1)."""


def compound_marks(file: Path, content: bytes) -> dict[str, Marks]:
    """The marks of an .xls workbook by sheet.

    Raises UnusableFile for a password, a damaged file and a compound file that is no workbook.
    """
    try:
        streams = _Streams(content)
        if "EncryptedPackage" in streams.found or "EncryptionInfo" in streams.found:
            raise protected(file)
        name = next((name for name in ("Workbook", "Book") if name in streams.found), None)
        if name is None:
            raise UnusableFile(words.no_workbook(str(file)))
        return xls_marks(streams.read(name))
    except Encrypted:
        raise protected(file) from None
    except (struct.error, IndexError, ValueError, MemoryError):
        raise damaged(file) from None


class _Streams:
    """The streams of a compound file by name, after [MS-CFB] sections 2.2 to 2.6."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        shift, mini_shift = struct.unpack_from("<HH", content, 30)
        if shift not in (9, 12) or mini_shift != 6:
            raise ValueError("unknown sector size")
        self._size = 1 << shift
        self._mini_size = 1 << mini_shift
        directory, _, self._cutoff, mini_table = struct.unpack_from("<IIII", content, 48)
        self._table = self._read_table()
        self.found: dict[str, tuple[int, int]] = {}
        root = (_END, 0)
        entries = self._chain(directory)
        for start in range(0, len(entries) - 127, 128):
            (length,) = struct.unpack_from("<H", entries, start + 64)
            kind = entries[start + 66]
            place = struct.unpack_from("<II", entries, start + 116)
            if kind == 5:
                root = place
            elif kind == 2 and 2 <= length <= 64:
                name = entries[start : start + length - 2].decode("utf-16-le", "replace")
                self.found.setdefault(name, place)
        small = self._chain(mini_table)
        self._mini_table = struct.unpack(f"<{len(small) // 4}I", small)
        self._mini = self._chain(root[0])

    def read(self, name: str) -> bytes:
        """The bytes of a stream."""
        first, size = self.found[name]
        if size >= self._cutoff:
            return self._chain(first)[:size]
        pieces = [
            self._mini[number * self._mini_size : (number + 1) * self._mini_size]
            for number in _walk(first, self._mini_table)
        ]
        return b"".join(pieces)[:size]

    def _sector(self, number: int) -> bytes:
        start = (number + 1) * self._size
        return self._content[start : start + self._size]

    def _read_table(self) -> tuple[int, ...]:
        numbers = list(struct.unpack_from("<109I", self._content, 76))
        further, _ = struct.unpack_from("<II", self._content, 68)
        seen: set[int] = set()
        while further < _END and further not in seen:
            seen.add(further)
            words = struct.unpack(f"<{self._size // 4}I", self._sector(further))
            numbers.extend(words[:-1])
            further = words[-1]
        table = b"".join(self._sector(number) for number in numbers if number < _END)
        return struct.unpack(f"<{len(table) // 4}I", table[: len(table) // 4 * 4])

    def _chain(self, first: int) -> bytes:
        return b"".join(self._sector(number) for number in _walk(first, self._table))


def _walk(first: int, table: tuple[int, ...]) -> Iterator[int]:
    """The sector numbers of a chain; ValueError where it runs in a circle."""
    steps = 0
    while first < _END:
        yield first
        first = table[first]
        steps += 1
        if steps > len(table):
            raise ValueError("a chain without end")
