"""The values of an old workbook (.xls), read by a library in a process apart, within bounds.

The records of .xls say how much room they want, and the library takes their word: a damaged file
can end the process that reads it. Run as a module it reads one from stdin, and writes its sheets
as JSON to stdout.
"""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.log.files.workbook import Sheet, as_text, bounded, damaged, protected

PATIENCE_S = 120
MEMORY = 4 * 2**30
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_LOCKED = re.compile(rb"\x09\x08\x10\x00.{16}(?:\x86\x00{3})?\x2f\x00", re.DOTALL)
"""Begin of the workbook, write protection or none, encryption: [MS-XLS] 2.1.7.20.3."""


def read_old_sheets(file: Path, content: bytes, hints: list[str]) -> list[Sheet]:
    """The sheets of a compound file, as `read_sheets` gives those of others: the values alone.

    `hints` takes that this is so. Raises UnusableFile as `read_sheets` does.
    """
    if _ENCRYPTED in content or _LOCKED.search(content):
        raise protected(file)
    if not any(name.encode("utf-16-le") in content for name in ("Workbook\0", "Book\0")):
        raise UnusableFile(f"{file}: this file is no workbook; save the table as .xlsx or CSV.")
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-m", __spec__.name],
            input=content,
            capture_output=True,
            timeout=PATIENCE_S,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        )
    except subprocess.TimeoutExpired:
        raise UnusableFile(
            f"{file}: this workbook takes more than {PATIENCE_S} seconds to read; save the table "
            "as .xlsx or CSV."
        ) from None
    if done.returncode:
        raise damaged(file)
    hints.append(
        f"{file}: an .xls workbook gives its values alone: a formula that shows an error, or was "
        "saved without its value, reads as an empty cell, and 20 % as 0.2. Save it as .xlsx where "
        "it has any."
    )
    sheets = {name: [(row, 1) for row in rows] for name, rows in json.loads(done.stdout)}
    return [Sheet(name, list(bounded(file, name, rows))) for name, rows in sheets.items()]


def _main() -> int:
    from python_calamine import CalamineWorkbook, SheetTypeEnum

    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(sys.stdin.buffer.read()))
        found = [
            (sheet.name, book.get_sheet_by_name(sheet.name).to_python(skip_empty_area=False))
            for sheet in book.sheets_metadata
            if sheet.typ == SheetTypeEnum.WorkSheet
        ]
    except BaseException:  # a panic of the library is not even an Exception
        return 1
    texts = [(name, [list(map(as_text, row)) for row in rows]) for name, rows in found]
    sys.stdout.buffer.write(json.dumps(texts).encode("ascii"))
    return 0


if __name__ == "__main__":
    sys.exit(_main())
