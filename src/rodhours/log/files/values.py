"""The values of a workbook as text; where reading could crash, from a process apart.

Run as a module it reads a workbook from stdin and writes its sheets as JSON to stdout.
"""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

from rodhours.errors import UnusableFile

Texts = dict[str, list[list[str]]]
"""The cells of each sheet as text, from A1 on."""

PATIENCE_S = 120
MEMORY = 4 * 2**30
_DAMAGED = 4
"""How the process apart ends where there are no values."""
_ISO_DURATION = re.compile(r"(-?)PT(\d{1,7})H(\d{1,2})M(\d{1,2}(?:\.\d+)?)S", re.ASCII)
_DAYS_NOUGHT = (
    (datetime(1899, 12, 31), datetime(1900, 3, 1)),
    (datetime(1904, 1, 1), datetime(1904, 3, 1)),
)
"""The day from which a spreadsheet counts, by each reckoning, and until when a date is hours."""


class Unreadable(Exception):
    """The library cannot read the workbook."""


def values(content: bytes) -> Texts:
    """Every worksheet in the order of the workbook; Unreadable where that fails."""
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
        raise Unreadable from None
    return {name: [list(map(as_text, row)) for row in rows] for name, rows in found.items()}


def values_apart(file: Path, content: bytes) -> Texts:
    """The same from a process of its own, within bounds of time and memory.

    The records of .xls say how much room they want, and the library takes their word: a damaged
    file can end the process that reads it.
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
        raise UnusableFile(
            f"{file}: this workbook takes more than {PATIENCE_S} seconds to read; save the table "
            "as .xlsx or CSV."
        ) from None
    if done.returncode:
        raise Unreadable
    found: Texts = json.loads(done.stdout)
    return found


def as_text(cell: Any) -> str:
    """Whole numbers without decimals, dates and times in ISO 8601, durations as `36:30`.

    A spreadsheet keeps a duration as days from its day nought: a time of day that runs past 24
    hours is a date of early 1900 (or 1904, by the other reckoning), and is written as the
    hours that it is.
    """
    if isinstance(cell, str):
        return cell
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, timedelta):
        return duration(cell)
    if isinstance(cell, date) and not isinstance(cell, datetime) and cell.year < 1905:
        cell = datetime(cell.year, cell.month, cell.day)
    if isinstance(cell, datetime):
        # Spreadsheets keep times as fractions of a day, a hair off the whole second.
        cell = (cell + timedelta(milliseconds=500)).replace(microsecond=0)
        for nought, end in _DAYS_NOUGHT:
            if cell < end and (nought <= cell or nought.year < 1900):
                return duration(cell - nought)
        return str(cell.isoformat(timespec="seconds" if cell.second else "minutes"))
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, time):
        return duration(datetime.combine(date.min, cell) - datetime.min)
    return str(cell)


def duration(span: timedelta) -> str:
    """Hours and minutes (and seconds, where they are not zero): `05:30`, `36:30`."""
    total = round(span / timedelta(seconds=1))
    hours, rest = divmod(abs(total), 3600)
    minutes, seconds = divmod(rest, 60)
    sign = "-" if total < 0 else ""
    return f"{sign}{hours:02d}:{minutes:02d}" + (f":{seconds:02d}" if seconds else "")


def iso_duration(text: str) -> str:
    """A duration as .ods files keep it, PT36H30M00S, as `36:30`; any other text as it is."""
    parts = _ISO_DURATION.fullmatch(text)
    if not parts:
        return text
    span = timedelta(hours=int(parts[2]), minutes=int(parts[3]), seconds=float(parts[4]))
    return duration(-span if parts[1] else span)


def percentage(text: str) -> str:
    """The text of a number that the sheet shows as a percentage: 0.2 is 20%."""
    try:
        return f"{as_text(round(float(text) * 100, 9))}%"
    except ValueError:
        return text


def _main() -> int:
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    try:
        found = values(sys.stdin.buffer.read())
    except (Unreadable, MemoryError):
        return _DAMAGED
    sys.stdout.buffer.write(json.dumps(found).encode("ascii"))
    return 0


if __name__ == "__main__":
    sys.exit(_main())
