"""The rejects file: every refused row as it was, with its address and reason.

One CSV beside the logbook for all tables of an import. Its name follows from its content, so
the same refusals give the same file, and no rejects file is ever overwritten.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from rodhours.log.sheets import REJECTS_ADDRESS
from rodhours.log.table import FileTable
from rodhours.spreadsheet_cells import csv_text
from rodhours.whole_files import write_together

Reject = tuple[FileTable, int, str]
"""A raw table, a position in it and the reason."""


def rejects_content(rejects: Iterable[Reject]) -> str:
    """The CSV text: address and reason, then the cells under their own column names.

    Where a column of the log is called like one of the address columns, the name is the second
    of the two; cells beyond the header stand under `cell 9` and so on.
    """
    rows = [(raw, index, reason, raw.cells(index)) for raw, index, reason in rejects]
    names: dict[str, int] = {}
    for raw, _, _, cells in rows:
        for name in _names(raw, len(cells)):
            names.setdefault(name, len(names))
    lines: list[list[object]] = [[*REJECTS_ADDRESS, *names]]
    for raw, index, reason, cells in rows:
        line = [""] * len(names)
        for name, cell in zip(_names(raw, len(cells)), cells, strict=False):
            line[names[name]] = cell
        lines.append([raw.file, raw.sheet or "", raw.table, raw.rows[index], reason, *line])
    return csv_text(lines)


def _names(raw: FileTable, width: int) -> list[str]:
    count = max(width, len(raw.header))
    header = [*raw.header, *[""] * (count - len(raw.header))]
    return [name or f"cell {number}" for number, name in enumerate(header, start=1)]


def write_rejects(rejects: Iterable[Reject], logbook: Path) -> Path:
    """Write the rejects beside the logbook and return the file; an equal file is left as it is."""
    content = rejects_content(rejects).encode("utf-8-sig")
    digest = hashlib.sha256(content).hexdigest()[:12]
    target = logbook.with_name(f"{logbook.stem}-rejects-{digest}.csv")
    if target.exists():
        return target
    write_together({target.name: content}, target.parent)
    return target
