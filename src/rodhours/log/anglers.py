"""Whose log it is, said for whole files: rows without an angler get that name, others are named.

So two people's trip 1 stay two trips, since a session is known by angler and label together.
"""

from __future__ import annotations

from rodhours.errors import UsageError
from rodhours.log.cells.texts import label
from rodhours.log.table import Log


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
