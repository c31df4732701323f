"""Which sheets of a workbook are the log, and which are left aside."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.log.files.header import find_header, is_filled, is_known
from rodhours.log.files.open import FileForm
from rodhours.log.files.workbook import Sheet
from rodhours.log.tables import TABLES

ALIKE = 0.6
"""The share of names that sheets must have in common to be parts of one log."""


def chosen_sheets(
    file: Path, filled: dict[str, Sheet], form: FileForm, hints: list[str]
) -> list[str]:
    """The sheets to read: those stated, those named as tables, the only one, or those alike.

    `filled` are the sheets with something in them, `hints` takes what was left aside.
    Raises LayoutNeeded where nothing tells which it is, UnusableFile for a stated sheet that is
    not there.
    """
    if form.sheets is not None:
        missing = [name for name in form.sheets if name not in filled]
        if missing:
            raise UnusableFile(
                f"{file}: no sheet {missing[0]} with something in it. Sheets with something in "
                f"them: {', '.join(filled) or 'none'}."
            )
        known = list(dict.fromkeys(form.sheets))
    else:
        known = [name for name in filled if name.strip().lower() in TABLES]
        if any(name.strip().lower() == "stints" for name in known):
            pass
        elif len(filled) <= 1:
            return list(filled)
        elif not known:
            known = _alike(filled, form) or _only_log(filled, form)
            if not known:
                needed = LayoutNeeded(
                    f"{file}: no sheet is called stints. Sheets with something in them: "
                    f"{', '.join(filled)}. Call the one with the log stints, or state its name in "
                    "a layout file."
                )
                needed.table, needed.sheets = (str(file), None), tuple(filled)
                raise needed
            read = f"read as one log: the sheets {', '.join(known)}."
            if len(known) == 1:
                read = f"read the sheet {known[0]}, which alone has columns of a trip log."
            hints.append(f"{file}: {read}")
    aside = [name for name in filled if name not in known]
    if aside:
        hints.append(sheets_aside(str(file), aside))
    return known


def sheets_aside(file: str, names: Sequence[str]) -> str:
    """What is said of sheets that are no part of the log."""
    return f"{file}: left aside the sheets {', '.join(names)}."


def _only_log(filled: dict[str, Sheet], form: FileForm) -> list[str]:
    """The one sheet that has rows under at least two names of the format; else none."""
    found = []
    for sheet in filled.values():
        header = find_header(sheet.rows, _stated(form))
        if header is None or sum(map(is_known, header.names)) < 2:
            continue
        if any(map(is_filled, sheet.rows[header.index + 1 :])):
            found.append(sheet.name)
    return found if len(found) == 1 else []


def _stated(form: FileForm) -> int | None:
    return form.header_row - 1 if form.header_row is not None else None


def _alike(filled: dict[str, Sheet], form: FileForm) -> list[str]:
    """The sheets that have the columns of one log, as with a sheet for each month.

    Those that share most of their names with the largest set of equal headers; none where
    fewer than two do, or two sets are equally large.
    """
    names: dict[str, frozenset[str]] = {}
    for sheet in filled.values():
        header = find_header(sheet.rows, _stated(form))
        if header is not None:
            found = frozenset(name.casefold() for name in header.names if name)
            if len(found) > 1:
                names[sheet.name] = found

    def near(one: frozenset[str], other: frozenset[str]) -> bool:
        return len(one & other) >= ALIKE * len(one | other)

    groups = {
        frozenset(name for name, found in names.items() if near(found, centre))
        for centre in set(names.values())
    }
    largest = max(map(len, groups), default=0)
    if largest < 2 or [len(group) for group in groups].count(largest) > 1:
        return []
    group = max(groups, key=len)
    return [name for name in filled if name in group]
