"""The values of a workbook, read by python-calamine; where that could crash, in a process apart.

Run as a module it reads a workbook from stdin and writes its sheets as JSON to stdout.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from rodhours.errors import UnusableFile
from rodhours.logbook.files.cells import as_text
from rodhours.wording import files as words

Texts = dict[str, list[list[str]]]
"""The cells of each sheet as text, from A1 on."""

PATIENCE_S = 120
MEMORY = 4 * 2**30
_PASSWORD, _DAMAGED = 3, 4
"""How the process apart ends where there are no values."""


class Unreadable(Exception):
    """The library cannot read the workbook."""


class Locked(Exception):
    """The library says that the workbook has a password."""


def values(content: bytes) -> Texts:
    """Every worksheet in the order of the workbook; Unreadable or Locked where that fails."""
    from python_calamine import CalamineWorkbook, SheetTypeEnum

    found: dict[str, list[list[Any]]] = {}
    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(content))
        for sheet in workbook.sheets_metadata:
            if sheet.typ == SheetTypeEnum.WorkSheet:
                cells = workbook.get_sheet_by_name(sheet.name)
                found[sheet.name] = cells.to_python(skip_empty_area=False)
    except BaseException as error:
        # The library's own error classes differ between its versions, and a panic in it is
        # not even an Exception.
        if isinstance(error, KeyboardInterrupt | SystemExit | MemoryError):
            raise
        raise (Locked if "password" in str(error).lower() else Unreadable) from None
    return {name: [list(map(as_text, row)) for row in rows] for name, rows in found.items()}


def values_apart(file: Path, content: bytes) -> Texts:
    """The same from a process of its own, within bounds of time and memory.

    The records of .xls say how much room they want, and the library takes their word:
    a damaged file can end the process that reads it.
    """
    if not sys.executable:
        return values(content)
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-m", __spec__.name],
            input=content,
            capture_output=True,
            timeout=PATIENCE_S,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        )
    except subprocess.TimeoutExpired:
        raise UnusableFile(words.too_slow(str(file), PATIENCE_S)) from None
    if done.returncode == _PASSWORD:
        raise Locked
    if done.returncode:
        raise Unreadable
    found: Texts = json.loads(done.stdout)
    return found


def _main() -> int:
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    try:
        found = values(sys.stdin.buffer.read())
    except Locked:
        return _PASSWORD
    except (Unreadable, MemoryError):
        return _DAMAGED
    sys.stdout.buffer.write(json.dumps(found).encode("ascii"))
    return 0


if __name__ == "__main__":
    sys.exit(_main())
