"""The ledger of batches in the logbook: recorded, listed, taken off.

All functions take a connection, inside a transaction where they write.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.errors import UsageError
from rodhours.logbook.batch_codes import batch_key, next_code
from rodhours.logbook.schema import BATCH_DATA, quoted
from rodhours.logbook.store_changes import now


def batches(run: sqlite3.Connection) -> list[tuple[Any, ...]]:
    """(batch, *BATCH_DATA, diameters) of every batch, the oldest first."""
    rows = run.execute(
        f"SELECT id, batch, {quoted(BATCH_DATA)} FROM batches WHERE removed_at IS NULL "
        "ORDER BY date, id"
    ).fetchall()
    measured: dict[int, list[float]] = {row[0]: [] for row in rows}
    for number, diameter in run.execute(
        "SELECT batch_id, diameter_mm FROM diameters ORDER BY batch_id, bait"
    ):
        if number in measured:
            measured[number].append(diameter)
    return [(*row[1:], tuple(measured[row[0]])) for row in rows]


def add_batch(
    run: sqlite3.Connection,
    values: Mapping[str, Any],
    diameters: Sequence[float],
    code: str | None,
) -> str:
    """Record a batch; the code that its bag gets. UsageError where the code given was used."""
    used = [row[0] for row in run.execute("SELECT batch FROM batches")]
    if code is None:
        code = next_code(values["variant"], used)
    elif batch_key(code) in map(batch_key, used):
        raise UsageError(
            f"The code {code} was given to a batch before; see rodhours batch list. "
            "Leave out --code to have a free one."
        )
    names = ("batch", *BATCH_DATA, "added_at")
    row = {**values, "batch": code, "added_at": now()}
    number = run.execute(
        f"INSERT INTO batches ({quoted(names)}) VALUES ({', '.join('?' * len(names))})",
        [row.get(name) for name in names],
    ).lastrowid
    run.executemany(
        "INSERT INTO diameters VALUES (?, ?, ?)",
        ((number, bait, one) for bait, one in enumerate(diameters, start=1)),
    )
    return code


def remove_batch(run: sqlite3.Connection, code: str) -> str:
    """Mark a batch as taken off; its code as it stood there. UsageError where there is none."""
    held = [row[0] for row in run.execute("SELECT batch FROM batches WHERE removed_at IS NULL")]
    found = [one for one in held if batch_key(one) == batch_key(code)]
    if not found:
        raise UsageError(f"There is no batch {code}; see rodhours batch list.")
    run.execute("UPDATE batches SET removed_at = ? WHERE batch = ?", (now(), found[0]))
    return str(found[0])
