"""What `rodhours export` did, and what it could not carry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rodhours.log.change_texts import some
from rodhours.words.numbers import listed, tallied


def exported(files: Sequence[str], rows: Mapping[str, int]) -> str:
    """Which files were written, and the rows of each table."""
    counts = listed([f"{tallied(count, 'row')} of {name}" for name, count in rows.items()])
    return f"Exported {counts}:\n" + "\n".join(f"  {file}" for file in files)


def not_carried(left_out: Sequence[str], batches: int, no_place: Sequence[str]) -> str | None:
    """What the open format has no place for; None where there is nothing of the kind."""
    parts = list(no_place)
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
    return f"Not in the export, for its form has no place for it: {listed(parts)}."


def zones(names: Sequence[str]) -> str:
    """Which time zone the local times are of."""
    if len(names) == 1:
        how = "" if " " in names[0] else f": import it with --zone {names[0]}"
        return f"Its local times are of {names[0]}{how}"
    return (
        f"Its local times are of several zones ({listed(names)}), and an import takes one: across "
        "a clock change the hours of the others may not agree."
    )
