"""What `rodhours export` did, what it could not carry, and why it would not write."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rodhours.wording.history import some
from rodhours.wording.numbers import listed, tallied

NOTHING_TO_EXPORT = "The logbook holds no stints, so there is nothing to export."


def exported(files: Sequence[str], rows: Mapping[str, int]) -> str:
    """Which files were written, and the rows of each table."""
    counts = listed([f"{tallied(count, 'row')} of {name}" for name, count in rows.items()])
    return f"Exported {counts}:\n" + "\n".join(f"  {file}" for file in files)


def comes_back(same: bool, problem: str | None) -> str:
    """What importing the export into a new logbook gives."""
    if same:
        return "Checked: importing this into a new logbook gives the same log."
    why = f" ({problem})" if problem else ""
    return (
        "Checked: importing this into a new logbook does not give quite the same log"
        f"{why}. Keep the logbook file itself."
    )


def not_carried(left_out: Sequence[str], batches: int) -> str | None:
    """What the open format has no place for; None where there is nothing of the kind."""
    parts = []
    if left_out:
        parts.append(
            f"that {some(left_out)} {'is' if len(left_out) == 1 else 'are'} left out of the "
            "answers (the rows are in it)"
        )
    if batches:
        noun = "batch" if batches == 1 else "batches"
        parts.append(f"the ledger of {batches:,} {noun}")
    if not parts:
        return None
    return f"Not in the export, for the open format has no place for it: {listed(parts)}."


def zones(names: Sequence[str]) -> str:
    """Which time zone the local times are of."""
    if len(names) == 1:
        how = "" if " " in names[0] else f": import it with --zone {names[0]}"
        return f"Its local times are of {names[0]}{how}"
    return (
        f"Its local times are of several zones ({listed(names)}), and an import takes one: across "
        "a clock change the hours of the others may not agree."
    )


def there_already(paths: Sequence[str]) -> str:
    """Files that would be overwritten."""
    return f"{listed(paths)}: there already, and left alone. Write over with --force."


def cannot_be_written(place: str, reason: str | None) -> str:
    """A place that cannot be written to."""
    return f"{place} cannot be written ({reason or 'the disk is full or gone'}). Nothing was left."


def is_a_folder(path: str) -> str:
    """A folder in place of a workbook."""
    return f"{path} is a folder; name a file that ends in .xlsx, or a folder without that ending."


def no_folder(path: str, folder: str) -> str:
    """A workbook in a folder that is not there."""
    return f"{path}: the folder {folder} does not exist."


def no_text_for_a_sheet(table: str, column: str, text: str) -> str:
    """A text that no workbook can hold as it is."""
    shown = text if len(text) <= 40 else text[:40] + "…"
    return (
        f"A workbook cannot hold a text as it is: {shown!r}, in {column} of {table}. "
        "Export to a folder of CSV files instead."
    )


def too_long_for_a_sheet(table: str, rows: int) -> str:
    """More rows than a sheet has."""
    return (
        f"{table} has {rows:,} rows, more than a sheet can hold. Export to a folder of CSV files "
        "instead."
    )
