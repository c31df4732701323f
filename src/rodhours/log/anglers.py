"""Whose log it is, said for whole files: rows without an angler get that name, others are named.

So two people's trip 1 stay two trips, since a session is known by angler and label together.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from rodhours.counts import listed
from rodhours.errors import UsageError
from rodhours.log.cells.texts import label
from rodhours.log.table import Log


def folders_of_anglers(paths: Iterable[Path]) -> dict[str | None, list[Path]]:
    """The folders inside these, by the angler whom each is named after.

    UsageError for a path that is no folder with folders in it, and for files beside those.
    """
    folders: dict[str | None, list[Path]] = {}
    for path in paths:
        inside = sorted(path.iterdir()) if path.is_dir() else []
        inside = [one for one in inside if not one.name.startswith((".", "~$"))]
        if not inside or not all(one.is_dir() for one in inside):
            beside = [one.name for one in inside if not one.is_dir()]
            raise UsageError(
                f"--angler-from-folder takes a folder that holds a folder for each angler. {path} "
                + (f"holds {listed(beside[:3])} beside them." if beside else "holds none.")
            )
        for one in inside:
            folders.setdefault(label(one.name), []).append(one)
    return folders


def stamp_angler(log: Log, name: str) -> None:
    """Write the angler into every row that names none; note a problem where another is named.

    Raises UsageError for an empty name.
    """
    name = label(name)
    if not name:
        raise UsageError("--angler takes the name of the angler whose log the files are.")
    for table, rows in log.tables.items():
        anglers = rows.columns.get("angler")
        if anglers is None:
            continue
        if set(anglers) - {None, name}:
            for position, angler in enumerate(anglers):
                if angler is not None and angler != name:
                    says = f"{name} or empty, since --angler says that these files are {name}'s"
                    log.problem(table, position, "angler", says)
        rows.columns["angler"] = [angler or name for angler in anglers]
