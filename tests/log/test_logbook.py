"""The logbook file: what is refused, what survives a kill, the digest."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from trip_logs import season, write_flat, write_log

from rodhours.errors import UnusableLogbook
from rodhours.log import logbook as store
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from rodhours.log.tables import VERSION


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    """A logbook with four sessions."""
    path = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "log", season(4)), path)
    return path


def test_a_missing_logbook_says_how_to_start(tmp_path: Path) -> None:
    """Reading a logbook that is not there creates nothing."""
    with pytest.raises(UnusableLogbook, match="rodhours import FILE"):
        open_logbook(tmp_path / "logbook.sqlite")
    assert list(tmp_path.iterdir()) == []


def test_foreign_newer_and_damaged_files_are_left_alone(tmp_path: Path, logbook: Path) -> None:
    """Text, another program's database, another layout, a cut or scribbled file: refused."""
    good = logbook.read_bytes()
    foreign = tmp_path / "foreign.sqlite"
    with sqlite3.connect(foreign) as other:
        other.execute("CREATE TABLE sessions (id)")
    text = tmp_path / "text.sqlite"
    text.write_text("session,hours\n" * 200)
    newer, older = tmp_path / "newer.sqlite", tmp_path / "older.sqlite"
    for path, layout in ((newer, VERSION + 1), (older, VERSION - 1)):
        path.write_bytes(good)
        with sqlite3.connect(path) as other:
            other.execute(f"PRAGMA user_version = {layout}")
    cut = tmp_path / "cut.sqlite"
    cut.write_bytes(good[: len(good) // 2])
    scribbled = tmp_path / "scribbled.sqlite"
    scribbled.write_bytes(good[:4096] + bytes(len(good) - 4096))
    for path, says in (
        (foreign, "another program"),
        (text, "not a logbook"),
        (newer, "newer version.*Update rodhours"),
        (older, "older version.*Import your files again into a new logbook"),
        (cut, "damaged"),
        (scribbled, "damaged"),
        (tmp_path, "not a file"),
    ):
        before = path.read_bytes() if path.is_file() else None
        with pytest.raises(UnusableLogbook, match=says):
            open_logbook(path)
        with pytest.raises(UnusableLogbook, match=says):
            import_paths([tmp_path / "log"], path)
        assert (path.read_bytes() if path.is_file() else None) == before


def test_settings_are_remembered(logbook: Path) -> None:
    """A setting outlives the open file, can be changed and forgotten, and is no content."""
    before = None
    for value in (None, "full", "new", None):
        with open_logbook(logbook) as book:
            before = before or book.content_sha256()
            book.set_setting("moon", value)
        with open_logbook(logbook) as book:
            assert (book.setting("moon"), book.content_sha256()) == (value, before)


def test_the_reference_is_a_change(logbook: Path) -> None:
    """It stands in the history, is no content, and undone the one before holds; one that nobody
    named goes by its number alone."""
    with open_logbook(logbook) as book:
        before, imports = book.content_sha256(), len(book.changes())
        assert book.reference() is None
        book.set_reference("plain", automatic=True)
        book.set_reference("plain")
        book.set_reference("pellet-10")
        kinds = [change.kind for change in book.changes()[imports:]]
        assert (book.reference(), kinds) == ("pellet-10", ["reference"] * 2)
        assert book.content_sha256() == before
        book.undo()
        assert book.reference() == "plain"
        book.undo(imports + 1)
        assert book.reference() is None


def test_counts_are_those_of_the_rows(logbook: Path) -> None:
    """Sessions, stints, fish and dates counted from the rows of the season themselves."""
    log = season(4)
    with open_logbook(logbook) as book:
        counts = book.counts()
    assert (counts.sessions, counts.stints, counts.variants) == (4, 12, 3)
    assert counts.fish == sum(int(row["fish"]) for row in log["stints"]) == len(log["catches"])
    assert (counts.first_date, counts.last_date) == ("2025-04-01", "2025-04-04")


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("stints", "fish", "6"),
        ("stints", "hours", "6.1"),
        ("stints", "moon", "9"),
        ("sessions", "venue", "Third Water"),
        ("catches", "species", "tench"),
        ("variants", "boil_s", "91"),
    ],
)
def test_the_digest_sees_every_value(
    tmp_path: Path, logbook: Path, table: str, column: str, value: str
) -> None:
    """One other value anywhere in the log is another digest."""
    log = season(4)
    if column == "fish":
        log["catches"] = []
    log[table][0][column] = value
    other = tmp_path / "other.sqlite"
    assert import_paths(write_log(tmp_path / "other", log), other).complete
    with open_logbook(logbook) as a, open_logbook(other) as b:
        assert a.content_sha256() != b.content_sha256()


KILLED = """
import os, signal, sys
from pathlib import Path
from rodhours.log import logbook as store
from rodhours.log.importing import import_paths

log, path, moment = Path(sys.argv[1]), Path(sys.argv[2]), int(sys.argv[3])
plain = store.Logbook._insert

def insert(self, table, columns, change):
    global moment
    # SQLite's own memory is made small, so that pages are on disk long before the commit.
    self._connection.execute("PRAGMA cache_size = 5")
    for start in range(0, len(next(iter(columns.values()))), 20):
        part = {name: column[start : start + 20] for name, column in columns.items()}
        plain(self, table, part, change)
        moment -= len(next(iter(part.values())))
        if moment < 0:
            os.kill(os.getpid(), signal.SIGKILL)

store.Logbook._insert = insert
import_paths([log], path, replace=True)
"""


def kill_an_import(new: Path, logbook: Path, moment: int) -> bool:
    """Import in a process of its own that is killed at that moment; whether it was."""
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(new), str(logbook), str(moment)], capture_output=True
    )
    assert done.returncode in (0, -signal.SIGKILL), done.stderr.decode()
    return done.returncode != 0


def test_a_first_import_that_is_killed_leaves_no_half_logbook(tmp_path: Path) -> None:
    """A kill while the file is begun leaves an empty logbook that the next import fills."""
    new = write_flat(tmp_path / "new.csv", season(150))
    logbook = tmp_path / "logbook.sqlite"
    assert kill_an_import(new, logbook, 500)
    assert logbook.with_name("logbook.sqlite-journal").exists()
    assert import_paths([new], logbook, dry_run=True).rows_imported == 450
    with pytest.raises(UnusableLogbook, match="rodhours import FILE"):
        open_logbook(logbook)
    assert not kill_an_import(new, logbook, 10**9)
    with open_logbook(logbook) as book:
        assert book.counts().sessions == 150


def test_a_busy_logbook_says_so(logbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that does not end is reported in plain words, and nothing is changed."""
    monkeypatch.setattr(store, "BUSY_SECONDS", 0.05)
    other = sqlite3.connect(logbook, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    path = write_flat(logbook.parent / "more.csv", season(6))
    with pytest.raises(UnusableLogbook, match="busy"):
        import_paths([path], logbook)
    other.execute("ROLLBACK")
    other.close()
    with open_logbook(logbook) as book:
        assert book.counts().sessions == 4


LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), resource.RLIM_INFINITY))
sys.argv = ["rodhours", *sys.argv[2:]]
from rodhours.cli.main import run
run()
"""


@pytest.mark.parametrize(
    "command",
    ["import", *(pytest.param(one, marks=pytest.mark.full) for one in ("workbook", "export"))],
)
def test_a_disk_without_room_is_said_in_one_line(tmp_path: Path, command: str) -> None:
    """Files that cannot grow: exit code 4, one line, and the logbook as it was."""
    path = tmp_path / "logbook.sqlite"
    import_paths([write_flat(tmp_path / "old.csv", season(30))], path)
    new = write_flat(tmp_path / "new.csv", season(90))
    with open_logbook(path) as book:
        before = book.content_sha256()
    arguments = {
        "import": ["import", str(new)],
        "export": ["export", str(tmp_path / "out")],
        "workbook": ["export", str(tmp_path / "out.xlsx")],
    }[command]
    room = path.stat().st_size if command == "import" else 1500
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(room), *arguments, "--logbook", str(path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 4, done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.glob("out*"))
    assert not list(tmp_path.glob(".*part*"))
    with open_logbook(path) as book:
        assert book.content_sha256() == before
