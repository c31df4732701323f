"""Logs in an angler's own columns, their layouts in short, and the stints that came of them."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from rodhours.log.frames import stint_frame
from rodhours.log.importing import ImportResult, import_paths
from rodhours.log.logbook import open_logbook


def toml(columns: str, *sections: str) -> str:
    """A layout file: `Their name=ours`, separated by commas, and its other sections."""
    pairs = [pair.strip().split("=") for pair in columns.split(",")]
    lines = [f'"{theirs}" = "{ours}"' for theirs, ours in pairs]
    return "\n".join(["[columns]", *lines, *sections]) + "\n"


def made_from(*names: str) -> str:
    """The section that makes a session from columns."""
    return f"[session]\nfrom = {list(names)}".replace("'", '"')


def dates(*entries: str, form: str = "day-month-year") -> str:
    """The section of dates."""
    return "\n".join(["[dates]", f'form = "{form}"', *entries])


def read(folder: Path, log: str, layout: str, name: str = "trips.csv") -> ImportResult:
    """Import a log by a layout, both as written in the test; its rows add up."""
    (folder / name).write_text(log, encoding="utf-8")
    (folder / "trips.toml").write_text(layout, encoding="utf-8")
    result = import_paths(
        [folder / name], folder / "logbook.sqlite", layouts=[folder / "trips.toml"], sure=True
    )
    assert result.rows_read == (
        result.rows_imported + result.rows_already_there + result.rows_rejected
    )
    return result


def stints(folder: Path, columns: str) -> list[tuple[object, ...]]:
    """These columns of the stints in a folder's logbook, sorted; None where there is nothing."""
    with open_logbook(folder / "logbook.sqlite") as book:
        frame = stint_frame(book).reset_index(drop=True)
    frame["date"] = frame["date"].dt.strftime("%Y-%m-%d")
    frame = frame.reindex(columns=columns.split()).astype(object)
    rows = frame.where(pd.notna(frame), None).itertuples(index=False, name=None)
    return sorted(rows, key=str)
