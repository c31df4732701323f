"""Run as a program: changes of a logbook killed at random moments, or made two at once.

Each run is a fork of this process, so that it begins at once; SIGKILL comes at a random moment of
the time that the change needs. Prints one JSON object: how many runs ended how.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sys
import time
from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from trip_logs import season, write_flat

from rodhours.log.export import export_logbook
from rodhours.log.importing import import_paths
from rodhours.log.logbook import Logbook, open_logbook

BATCH = {"variant": "plain", "date": "2025-03-20"}


def fork(change: Callable[[], object]) -> int:
    child = os.fork()
    if child:
        return child
    try:
        change()
    except BaseException:
        os._exit(1)
    os._exit(0)


def killed(change: Callable[[], object], after: float) -> bool:
    """Make the change in a process of its own that is killed after so many seconds; was it?"""
    child = fork(change)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    status = os.waitpid(child, 0)[1]
    assert os.WIFSIGNALED(status) or os.waitstatus_to_exitcode(status) == 0
    return os.WIFSIGNALED(status)


def in_book(path: Path, change: Callable[[Logbook], object]) -> Callable[[], object]:
    def run() -> None:
        with open_logbook(path) as book:
            # SQLite's own memory is made small, so that pages are on disk before the commit.
            book._connection.execute("PRAGMA cache_size = 5")
            change(book)

    return run


def runs(folder: Path, count: int, seed: int, sessions: int) -> dict[str, dict[str, int]]:
    """Kill each kind of change so many times in turn; how often it was whole or not there."""
    rng = random.Random(seed)
    old = write_flat(folder / "old.csv", season(sessions))
    more = season(2 * sessions)
    for row in more["stints"]:
        row["moon"] = "new"
    new = write_flat(folder / "new.csv", more)
    base = folder / "base.sqlite"
    import_paths([old], base)
    work, out = folder / "logbook.sqlite", folder / "out"

    def whole_import() -> None:
        plain = Logbook._insert

        def insert(book: Logbook, *arguments: object) -> None:
            book._connection.execute("PRAGMA cache_size = 5")
            plain(book, *arguments)

        Logbook._insert = insert
        import_paths([new], work, replace=True)

    def write_out() -> None:
        with open_logbook(work) as book:
            export_logbook(book, out, force=True)

    changes: dict[str, tuple[Path, Callable[[], object]]] = {
        "import": (base, whole_import),
        "undo": (base, in_book(work, lambda book: book.undo())),
        "rename": (base, in_book(work, lambda book: book.rename_variant("plain", "Plain"))),
        "opened key": (
            base,
            in_book(work, lambda book: book.open_key("MANO", {"KADE": "plain"}, 6)),
        ),
        "batch": (base, in_book(work, lambda book: book.add_batch(BATCH, [15.2, 15.6]))),
        "export": (base, write_out),
        "export over another": (base, write_out),
    }
    import_paths([new], folder / "new.sqlite")
    with open_logbook(folder / "new.sqlite") as book:
        export_logbook(book, folder / "earlier")

    def clear() -> None:
        for path in (*folder.glob("logbook.sqlite*"), *folder.glob(".*.part")):
            shutil.rmtree(path) if path.is_dir() else path.unlink()
        shutil.rmtree(out, ignore_errors=True)
        if name == "export over another":
            shutil.copytree(folder / "earlier", out)

    def state() -> Any:
        if name.startswith("export"):
            files = out.glob("[!.]*") if out.exists() else ()
            return {path.name: path.read_bytes() for path in files}
        with open_logbook(work) as book:
            sizes = [batch["diameters_mm"] for batch in book.batches()]
            standing = [change.kind for change in book.changes() if change.undone_at is None]
            return book.content_sha256(), sizes, standing

    found: dict[str, Counter[str]] = {name: Counter() for name in changes}
    for name, (start, change) in changes.items():
        clear()
        shutil.copy(start, work)
        before = state()
        began = time.perf_counter()
        os.waitpid(fork(change), 0)
        needs = time.perf_counter() - began
        after = state()
        assert before != after, name
        for _ in range(count):
            clear()
            shutil.copy(start, work)
            was_killed = killed(change, rng.uniform(0, needs))
            found[name]["killed"] += was_killed
            left = [Path(f"{work}-journal").exists(), *folder.glob("**/.*.part")]
            found[name]["unfinished on disk"] += any(left)
            end = state()
            if name == "export over another" and "stints.csv" not in end:
                # Cut off between two files: without stints nobody takes it for a log.
                assert all(one in (before[of], after[of]) for of, one in end.items())
                found[name]["without stints"] += 1
                end = before
            assert end in (before, after), name
            found[name]["all" if end == after else "none"] += 1
    return {name: dict(counts) for name, counts in found.items()}


def at_once(folder: Path, rounds: int) -> int:
    """Two imports begun together into one new logbook, so many times; how often both arrived."""
    logs = []
    for number in range(2):
        log = season(30)
        log["catches"] = []
        for table in ("stints", "sessions"):
            for row in log[table]:
                row["session"] = f"{number} {row['session']}"
        for row in (*log["stints"], *log["variants"]):
            row["variant"] += f" of season {number}"
        logs.append(write_flat(folder / f"{number}.csv", log))
    both = 0
    for number in range(rounds):
        path = folder / f"round {number}.sqlite"
        children = [fork(partial(import_paths, [log], path)) for log in logs]
        assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
        with open_logbook(path) as book:
            both += book.counts().sessions == 60 and len(book.changes()) == 2
    return both


if __name__ == "__main__":
    place, kind, size = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    if kind == "kills":
        print(json.dumps(runs(place, size, seed=11, sessions=int(sys.argv[4]))))
    else:
        print(json.dumps({"both": at_once(place, size)}))
