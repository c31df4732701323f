"""A further column is one line in `tables`: nothing is counted otherwise, older files are read."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from trip_logs import Log, season, write_log

from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook

FURTHER = r'''
import json, sys, types
from pathlib import Path

import rodhours.log

place, tasks = sys.argv[1], json.loads(sys.argv[2])
# The file that declares the tables, as if it had a line more for each kind.
MORE = """
from dataclasses import replace
for name in ("STINTS", "SESSIONS", "CATCHES", "VARIANTS", "BATCHES"):
    table = globals()[name]
    further = [Column(f"{table.name}_{kind.name}", kind, "more") for kind in Kind]
    own = list(table.columns)
    columns = own + further if PLACE == "last" else [own[0], *further, *own[1:]]
    globals()[name] = replace(table, columns=tuple(columns))
"""
source = (Path(rodhours.log.__file__).parent / "tables.py").read_text()
assert source.count("\nESSENTIAL = ") == 1
tables = types.ModuleType("rodhours.log.tables")
tables.PLACE = place
sys.modules[tables.__name__] = rodhours.log.tables = tables
exec(source.replace("\nESSENTIAL = ", MORE + "\nESSENTIAL = "), tables.__dict__)

from rodhours.log.export import export_logbook
from rodhours.log.frames import batches_frame, catches_frame, stint_frame, variants_frame
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook

def said(number, book, files):
    before = Path(book).read_bytes() if Path(book).exists() else b""
    if files:
        result = import_paths(files, book, zone="UTC")
        assert result.complete, result.problems
    with open_logbook(book) as held:
        fish, stints = catches_frame(held), stint_frame(held)
        out, again = f"{book}-out-{number}", f"{book}-again-{number}"
        export_logbook(held, Path(out))
        import_paths([out], again, zone="UTC")
        with open_logbook(again) as copy:
            same = copy.content_sha256() == held.content_sha256()
        filled = [stints, fish, variants_frame(held), batches_frame(held)]
        return {
            "counts": vars(held.counts()),
            "fish": int(stints["fish"].sum()),
            "outcomes": fish["outcome"].value_counts().to_dict(),
            "same log": same,
            "filled": sorted(n for one in filled for n in one if one[n].notna().any() and "_" in n),
            "batches": [batch["batch"] for batch in held.batches()],
            "baits": sorted(held.variants_fished()),
            "untouched": before == Path(book).read_bytes(),
        }


print(json.dumps([said(number, *task) for number, task in enumerate(tasks)]))
'''
VALUES = {
    "TEXT": "windy",
    "ROD": "2",
    "WHOLE": "4",
    "NUMBER": "2.5",
    "DATE": "2025-04-01",
    "MOMENT": "2025-04-01T06:30",
    "WEIGHT": "3 kg",
    "COMPASS": "SW",
    "OUTCOME": "lost",
}
BATCH = {"variant": "plain", "date": "2025-03-20", "eggs": 4}


def with_lost_fish(sessions: int) -> Log:
    """A season whose fish stand in catches alone, one lost on each trip."""
    log = season(sessions)
    for row in log["stints"]:
        del row["fish"]
    for row in log["sessions"]:
        fish = {"session": row["session"], "rod": "1", "outcome": "lost"}
        log["catches"].append(fish)
    return log


def further(place: str, *tasks: tuple[Path, list[Path]]) -> list[dict[str, Any]]:
    """What a program with a column of each kind more in each table says of logbooks in turn, each
    with the files that go in first."""
    given = json.dumps([(str(book), [*map(str, files)]) for book, files in tasks])
    done = subprocess.run(
        [sys.executable, "-c", FURTHER, place, given],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    said: list[dict[str, Any]] = json.loads(done.stdout)
    return said


@pytest.mark.parametrize("place", [pytest.param("last", marks=pytest.mark.full), "second"])
def test_a_column_of_each_kind_in_each_table_counts_nothing_otherwise(
    tmp_path: Path, place: str
) -> None:
    """New logbook or one begun before, read, changed, exported: the fish are those of the rows."""
    log = with_lost_fish(6)
    landed = len(log["catches"]) - 6
    files = write_log(tmp_path / "log", log)
    before, new = tmp_path / "before.sqlite", tmp_path / "new.sqlite"
    assert import_paths(files, before, zone="UTC").complete
    with open_logbook(before) as book:
        book.add_batch(BATCH)
        book.rename_variant("plain", "Plain")
        digest = book.content_sha256()
    more = with_lost_fish(8)
    for name, table in more.items():
        more[name] = [row for row in table if row.get("session", "trip 7") in ("trip 7", "trip 8")]
    for name in ("stints", "sessions", "catches"):
        for row in more[name]:
            row.update({f"{name}_{kind}": value for kind, value in VALUES.items()})
    grow = [*write_log(tmp_path / "more", more)]
    read, begun, grown = further(place, (before, []), (new, [*files]), (before, grow))
    assert read["untouched"]
    assert (read["counts"]["stints"], read["counts"]["fish"], read["fish"]) == (18, landed, landed)
    assert read["outcomes"] == {"landed": landed, "lost": 6}
    assert (read["batches"], read["same log"]) == (["P-1"], True)
    assert read["baits"] == ["Plain", "pellet-10", "pellet-20"]
    for name in ("counts", "fish", "outcomes", "same log"):
        assert begun[name] == read[name]
    assert grown["counts"]["sessions"] == 8
    assert grown["fish"] == len(with_lost_fish(8)["catches"]) - 8
    filled = {f"{table}_{kind}" for table in ("stints", "sessions", "catches") for kind in VALUES}
    assert filled <= set(grown["filled"])
    assert grown["same log"] is True
    # Its own program reads the file on, without the columns that it does not know.
    with open_logbook(before) as book:
        assert book.undo(4) is not None
        assert book.content_sha256() == digest


def test_a_mistake_of_the_program_is_not_called_damage(tmp_path: Path) -> None:
    """A statement that names no column of the file is raised as SQLite says it."""
    path = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "log", season(2)), path)
    with open_logbook(path) as book:
        with pytest.raises(sqlite3.OperationalError, match="no such column"):
            book._all("SELECT nothing_of_that_name FROM stints")
        with pytest.raises(sqlite3.OperationalError, match="no such table"), book.transaction():
            book._connection.execute("DELETE FROM nothing_of_that_name")
        assert book.counts().sessions == 2
