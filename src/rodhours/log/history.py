"""The history of the logbook: every change, and which of them stand.

What holds is what the last change still standing says: of a session a version, of a recipe its
row or some of its cells, of a label another one, of a mark on a session whether it is there.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

IMPORT, RENAME, OPENED_KEY = "import", "rename", "opened-key"
LEAVE_OUT, TAKE_BACK = "leave-out", "take-back"
BATCH_ADDED, BATCH_REMOVED = "batch-added", "batch-removed"
DROP_WAITING = "drop-waiting"
REFERENCE = "reference"
STATED_END = "stated-end"
"""The kinds of change."""


@dataclass(frozen=True)
class FileRead:
    """A file of an import; `sha256` is the digest of its bytes, None where it was not kept."""

    file: str
    sha256: str | None = None


@dataclass(frozen=True)
class Change:
    """One change of the logbook.

    `made_at` and `undone_at` are UTC in ISO 8601; `rows` and `sessions` count what it brought
    when it was made; `details` holds what belongs to its kind: `old` and `new` of a rename, `plan`
    and `codes` of an opened key, `session`, `angler` and `because` of a session left out or taken
    back in, `batch` and `variant` of a batch, `variant` of a reference and whether it was
    `automatic`, `until_trip` and the question of a stated end.
    """

    id: int
    kind: str
    made_at: str
    undone_at: str | None
    zone: str | None
    files: tuple[FileRead, ...]
    rows: int
    sessions: int
    details: Mapping[str, Any] = field(default_factory=dict)

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours history --json` lists."""
        aside = ("codes", "replace", "as_new", "waiting")
        own = asdict(self)
        details = own.pop("details")
        return own | {name: value for name, value in details.items() if name not in aside}


def files_read(files: Iterable[str]) -> tuple[FileRead, ...]:
    """Each file once, in order, with the digest of its bytes; None where it is gone by now."""
    return tuple(FileRead(file, _sha256(Path(file))) for file in dict.fromkeys(files))


def _sha256(file: Path) -> str | None:
    try:
        with file.open("rb") as content:
            return hashlib.file_digest(content, "sha256").hexdigest()
    except OSError:
        return None


def now() -> str:
    """This moment as the logbook writes it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def record(
    run: sqlite3.Connection,
    kind: str,
    *,
    zone: str | None = None,
    files: Sequence[FileRead] = (),
    rows: int = 0,
    sessions: int = 0,
    details: Mapping[str, Any] | None = None,
) -> int:
    """Enter a change into the history; its number."""
    values = {
        "kind": kind,
        "made_at": now(),
        "zone": zone,
        "files": json.dumps([asdict(file) for file in files], ensure_ascii=False),
        "rows": rows,
        "sessions": sessions,
        "details": json.dumps(dict(details or {}), ensure_ascii=False),
    }
    marks = ", ".join(f":{name}" for name in values)
    done = run.execute(f"INSERT INTO changes ({', '.join(values)}) VALUES ({marks})", values)
    return int(done.lastrowid or 0)


def changes(run: sqlite3.Connection, *kinds: str) -> list[Change]:
    """Every change, or those of these kinds, the oldest first."""
    wanted = f" WHERE kind IN ({', '.join('?' * len(kinds))})" if kinds else ""
    rows = run.execute(f"SELECT * FROM changes{wanted} ORDER BY id", kinds)
    return [
        Change(
            **{
                **dict(row),
                "files": tuple(FileRead(**file) for file in json.loads(row["files"])),
                "details": json.loads(row["details"]),
            }
        )
        for row in rows
    ]


def standing(run: sqlite3.Connection, *kinds: str) -> list[Change]:
    """The changes of these kinds that were not taken back, the oldest first."""
    return [change for change in changes(run, *kinds) if change.undone_at is None]
