"""A zipped workbook, unpacked within bounds: passwords and bombs are named, nothing runs.

The sizes in the directory are summed first; since a directory can lie, every part is then
unpacked within what is left and counted.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.log.files.open import MAX_WORKBOOK_MIB, MEBIBYTE


def unpack(file: Path, content: bytes) -> dict[str, bytes]:
    """The XML parts of a zipped workbook by name, none of them with entities.

    Raises UnusableFile where it is damaged, no workbook, protected by a password, or unpacks
    to more than the limit.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            entries = packed.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, struct.error, EOFError):
        raise damaged(file) from None
    names = {entry.filename for entry in entries}
    if len(names) < len(entries):
        raise damaged(file)
    if any(entry.flag_bits & 1 for entry in entries) or "encrypted-package" in names:
        raise protected(file)
    if sum(entry.file_size for entry in entries) > MAX_WORKBOOK_MIB * MEBIBYTE:
        raise too_large(file)
    if "xl/workbook.bin" in names:
        raise binary(file)
    if not names & {"xl/workbook.xml", "content.xml"}:
        raise UnusableFile(f"{file}: a zip file without a table in it, not a workbook.")
    left = MAX_WORKBOOK_MIB * MEBIBYTE
    parts: dict[str, bytes] = {}
    for entry in entries:
        part = _unpacked(file, content, entry, left)
        left -= len(part)
        if _is_wanted(entry.filename):
            parts[entry.filename] = part
    if b"encryption-data" in parts.pop("META-INF/manifest.xml", b""):
        raise protected(file)
    # Without a document type there is no entity to grow; a NUL would be an encoding that hides it.
    if any(b"<!DOCTYPE" in part or b"\0" in part for part in parts.values()):
        raise damaged(file)
    return parts


def damaged(file: Path) -> UnusableFile:
    """The workbook cannot be read."""
    return UnusableFile(f"{file}: this workbook is damaged or unfinished and cannot be read.")


def protected(file: Path) -> UnusableFile:
    """The workbook is encrypted."""
    says = "this workbook is protected by a password; save a copy without one"
    return UnusableFile(f"{file}: {says}.")


def binary(file: Path) -> UnusableFile:
    """The workbook is of binary parts."""
    return UnusableFile(f"{file}: a binary workbook (.xlsb) is not read; save it as .xlsx.")


def too_large(file: Path) -> UnusableFile:
    """The workbook unpacks to more than the limit."""
    return UnusableFile(
        f"{file}: this workbook unpacks to more than {MAX_WORKBOOK_MIB} MiB; no trip log is that "
        "large, so nothing of it was read."
    )


def _is_wanted(name: str) -> bool:
    """Whether any library parses the part: what only its own program reads may hold anything."""
    return name in ("content.xml", "META-INF/manifest.xml", "[Content_Types].xml") or (
        name.startswith(("xl/", "docProps/", "_rels/")) and name.endswith((".xml", ".rels"))
    )


def _unpacked(file: Path, content: bytes, entry: zipfile.ZipInfo, left: int) -> bytes:
    """One part, of at most `left` bytes, whatever the directory says of its size."""
    start = entry.header_offset
    head = content[start : start + 30]
    if len(head) < 30 or head[:4] != b"PK\x03\x04":
        raise damaged(file)
    start += 30 + sum(struct.unpack("<HH", head[26:30]))
    packed = content[start : start + entry.compress_size]
    if len(packed) < entry.compress_size:
        raise damaged(file)
    part, whole = packed, True
    if entry.compress_type == zipfile.ZIP_DEFLATED:
        stream = zlib.decompressobj(-zlib.MAX_WBITS)
        try:
            part = stream.decompress(packed, left + 1)
        except zlib.error:
            raise damaged(file) from None
        whole = stream.eof
    elif entry.compress_type != zipfile.ZIP_STORED:
        says = "packed in a way that spreadsheets do not use; save the workbook again"
        raise UnusableFile(f"{file}: {says}.")
    if len(part) > left:
        raise too_large(file)
    if not whole:
        raise damaged(file)
    return part
